/**
 * Words that come back as they were given out: what an address in a letter carries is signed with a key of this
 * installation, so that nothing about it must be stored, and nobody else can make one.
 */
import { createHmac, randomBytes } from 'node:crypto'
import type { Database } from '../store/open.ts'
import { keptServiceFact } from '../store/serviceFacts.ts'
import { sameSecret } from './secrets.ts'

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
  const sealed = (purpose: string, text: string): string => {
    const mac = createHmac('sha256', key).update(`${purpose}\n${text}`).digest('base64url')
    return `${Buffer.from(text).toString('base64url')}.${mac}`
  }
  return {
    sign: (purpose, words) => sealed(purpose, JSON.stringify(words.map(String))),
    open(purpose, signed) {
      if (signed.length > MOST_CHARS) return null
      const text = Buffer.from(signed.split('.')[0]!, 'base64url').toString()
      // Letter by letter as it was given out: what only decodes to the same is something else.
      return sameSecret(signed, sealed(purpose, text)) ? (JSON.parse(text) as string[]) : null
    },
  }
}
