/** The one desk for everything about people: who comes in, and who may. */
import { setTimeout as delay } from 'node:timers/promises'
import type { Database } from '../store/open.ts'
import { createAccounts } from './accounts.ts'
import { createIdentify } from './identify.ts'
import type { SendLetter } from './letters.ts'
import { createOwnAccount } from './ownAccount.ts'
import type { Parts } from './parts.ts'
import { passwords as argon2id, type Passwords } from './passwords.ts'
import { createSignIn } from './signIn.ts'
import { createThrottle } from './throttle.ts'
import type { PeopleDesk } from './types.ts'

export interface PeopleDeskDeps {
  db: Database
  now: () => number
  /** The address that people open. */
  publicUrl: string
  /** Puts a letter into the outbox; left out, invitations are handed over and forgotten passwords are not mended. */
  sendLetter?: SendLetter
  /** Milliseconds that only grow, for what is slowed down. */
  steadyMs?: () => number
  wait?: (ms: number) => Promise<void>
  passwords?: Passwords
}

export function createPeopleDesk({
  db,
  now,
  publicUrl,
  sendLetter,
  steadyMs = () => performance.now(),
  wait = async (ms) => void (await delay(ms)),
  passwords = argon2id,
}: PeopleDeskDeps): PeopleDesk {
  const parts: Parts = {
    db,
    now,
    publicUrl: publicUrl.replace(/\/+$/, ''),
    passwords,
    throttle: createThrottle(steadyMs),
    ...(sendLetter && { sendLetter }),
  }
  return {
    ...createSignIn(parts, wait),
    ...createOwnAccount(parts),
    ...createAccounts(parts),
    identify: createIdentify(parts),
  }
}
