/** Secrets that the service gives out: random, and kept as hashes alone. */
import { createHash, randomBytes, timingSafeEqual } from 'node:crypto'

const SECRET_BYTES = 32

/** 256 random bits, as an address or a cookie can carry them. */
export const newSecret = (): string => randomBytes(SECRET_BYTES).toString('base64url')

/** Random bits need no slow hash: there is nothing to guess. */
export const hashOf = (secret: string): string => createHash('sha256').update(secret, 'utf8').digest('hex')

/** Takes the same time wherever they differ, and whatever their lengths. */
export const sameSecret = (one: string, other: string): boolean =>
  timingSafeEqual(Buffer.from(hashOf(one)), Buffer.from(hashOf(other)))
