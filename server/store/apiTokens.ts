/** Tokens by which programs come in for a person. Only hashes of their secrets are here. */
import type { Database } from './open.ts'
import type { TokenScope } from './schema.ts'
import { inTransaction, statement } from './unitsOfWork.ts'

export interface ListedToken {
  id: number
  name: string
  scope: TokenScope
  createdAt: number
  endsAt: number
  usedAt: number | null
}

/** A proposal. */
export const MOST_TOKENS = 50

/** @returns null when the person has as many as one may have, or is not there */
export async function addToken(
  db: Database,
  personId: number,
  { name, scope, secretHash, endsAt }: { name: string; scope: TokenScope; secretHash: string; endsAt: number },
  now: number,
): Promise<number | null> {
  return inTransaction(db, () => {
    statement(db, 'delete from api_tokens where person_id = ? and (revoked_at is not null or ends_at <= ?)').run(
      personId,
      now,
    )
    const id = statement(
      db,
      `insert into api_tokens (person_id, name, scope, secret_hash, created_at, ends_at)
       select id, ?, ?, ?, ?, ? from people where id = ? and closed_at is null
         and (select count(*) from api_tokens where person_id = people.id) < ? returning id`,
    )
      .pluck()
      .get(name, scope, secretHash, now, endsAt, personId, MOST_TOKENS) as number | undefined
    return id ?? null
  })
}

/** Those that were not revoked, with those whose time is over: their owner wonders why a program stopped. */
export async function listTokens(db: Database, personId: number): Promise<ListedToken[]> {
  return statement(
    db,
    `select id, name, scope, created_at as createdAt, ends_at as endsAt, used_at as usedAt from api_tokens
     where person_id = ? and revoked_at is null order by id desc`,
  ).all(personId) as ListedToken[]
}

/** @returns false when the person has no such token */
export async function revokeToken(db: Database, personId: number, id: number, now: number): Promise<boolean> {
  return inTransaction(
    db,
    () =>
      statement(db, 'update api_tokens set revoked_at = ? where id = ? and person_id = ? and revoked_at is null').run(
        now,
        id,
        personId,
      ).changes > 0,
  )
}
