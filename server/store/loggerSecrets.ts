/** What a logger signs in with at our broker: 128 random bits, shown once; only their hash is kept. */
import { createHash, randomBytes, timingSafeEqual } from 'node:crypto'
import type { Database } from './open.ts'
import { inTransaction, statement } from './unitsOfWork.ts'

const SECRET_BYTES = 16

/** Random bits need no slow hash: there is nothing to guess. */
export const hashOf = (secret: string): string => createHash('sha256').update(secret, 'utf8').digest('hex')

export const newSecret = (): string => randomBytes(SECRET_BYTES).toString('hex')

/**
 * A new secret in place of the old one.
 * @returns null when no logger of this key is in service
 */
export async function renewSecret(db: Database, loggerKey: string): Promise<string | null> {
  const secret = newSecret()
  const { changes } = inTransaction(db, () =>
    statement(db, 'update loggers set secret_hash = ? where key = ? and retired_at is null').run(
      hashOf(secret),
      loggerKey,
    ),
  )
  return changes === 0 ? null : secret
}

/** From now on nobody signs in by this key. */
export async function revokeSecret(db: Database, loggerKey: string): Promise<void> {
  inTransaction(db, () => statement(db, 'update loggers set secret_hash = null where key = ?').run(loggerKey))
}

const NOBODY = hashOf('nobody')

/** Takes the same time whether the key is known or not. */
export async function checkSecret(db: Database, loggerKey: string, secret: string): Promise<boolean> {
  const kept = statement(db, 'select secret_hash from loggers where key = ? and retired_at is null')
    .pluck()
    .get(loggerKey) as string | null | undefined
  const same = timingSafeEqual(Buffer.from(hashOf(secret)), Buffer.from(kept ?? NOBODY))
  return same && typeof kept === 'string'
}
