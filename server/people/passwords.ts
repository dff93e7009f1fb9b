/**
 * Passwords are kept as argon2id hashes. Cost: 19 MiB, two passes, one lane, which OWASP's Password Storage Cheat Sheet
 * names as the least for argon2id (read as it is quoted in public; the sheet itself was not opened).
 */
import { hash, verify } from '@node-rs/argon2'

/** Argon2id; the library's own constant is a `const enum`, which erasable syntax cannot read. */
const ARGON2ID = 2
export const COST = { algorithm: ARGON2ID, memoryCost: 19_456, timeCost: 2, parallelism: 1 } as const

/** The hash of a password that nobody has, of the same cost: what is compared where there is no account. */
export const NOBODYS_HASH =
  '$argon2id$v=19$m=19456,t=2,p=1$gJcBDxfFrGSXm7+GAK+OFw$hOElh6xoftlxR+7prNde3XY6N1m7n7emziN7XdDUQ+8'

export interface Passwords {
  hash(password: string): Promise<string>
  /** @param kept null where there is no password; it takes as long and is never right */
  matches(password: string, kept: string | null): Promise<boolean>
}

/** Keyboards send the same letter in several ways; nothing else of a password is touched. */
const asTyped = (password: string): string => password.normalize('NFC')

export const passwords: Passwords = {
  hash: (password) => hash(asTyped(password), COST),
  async matches(password, kept) {
    const same = await verify(kept ?? NOBODYS_HASH, asTyped(password))
    return same && kept !== null
  },
}
