/**
 * Words that come back as they were given out: what an address in a letter carries is signed with a key of this
 * installation, so that nothing about it must be stored, and nobody else can make one.
 */
import { createHmac, randomBytes, timingSafeEqual } from 'node:crypto'
import type { Database } from '../store/open.ts'
import { keptServiceFact } from '../store/serviceFacts.ts'

export interface Signer {
  /** @param purpose what it is for: signed for one, it is good for no other */
  sign(purpose: string, words: readonly (string | number)[]): string
  /** @returns the words; null when it was not made here, or for something else */
  open(purpose: string, signed: string): string[] | null
}

const KEY_BYTES = 32
const MOST_CHARS = 500

export async function createSigner(db: Database): Promise<Signer> {
  const kept = await keptServiceFact(db, 'signing key', () => randomBytes(KEY_BYTES).toString('base64url'))
  const key = Buffer.from(kept, 'base64url')
  const macOf = (purpose: string, words: string) => createHmac('sha256', key).update(`${purpose}\n${words}`).digest()

  return {
    sign(purpose, words) {
      const text = JSON.stringify(words.map(String))
      return `${Buffer.from(text).toString('base64url')}.${macOf(purpose, text).toString('base64url')}`
    },
    open(purpose, signed) {
      const [words, mac, ...more] = signed.split('.')
      if (signed.length > MOST_CHARS || words === undefined || mac === undefined || more.length > 0) return null
      const text = Buffer.from(words, 'base64url').toString()
      const [given, own] = [Buffer.from(mac, 'base64url'), macOf(purpose, text)]
      if (given.length !== own.length || !timingSafeEqual(given, own)) return null
      return JSON.parse(text) as string[]
    },
  }
}
