/** What the parts of the desk share: the database, the clock, and how a session, a code and an address come about. */
import type { CallerRow } from '../store/callers.ts'
import type { Database } from '../store/open.ts'
import type { CodeOfPerson } from '../store/personCodes.ts'
import type { NewSession } from '../store/sessions.ts'
import type { SendLetter } from './letters.ts'
import type { Passwords } from './passwords.ts'
import { hashOf, newSecret } from './secrets.ts'
import type { Throttle } from './throttle.ts'
import type { Caller, Client, SignedIn } from './types.ts'

const MINUTE = 60_000
const HOUR = 60 * MINUTE
const DAY = 24 * HOUR

/** Proposals: a technician who is out for two weeks signs in again, and everybody does every two months. */
export const IDLE_MS = 14 * DAY
export const SESSION_MS = 60 * DAY
/** When somebody was seen last is written so often at most. */
export const SEEN_EVERY_MS = MINUTE
export const CODE_MS = { invitation: 7 * DAY, 'forgotten password': HOUR } as const
/** Proposals. */
export const MOST_TOKEN_DAYS = 365
export const MOST_LINK_DAYS = 2 * 365
/** Of the link that comes with a hand-over. */
export const LINK_DAYS = 365
export const DAY_MS = DAY

const MOST_AGENT_CHARS = 200
const MOST_ADDRESS_CHARS = 64

export interface Parts {
  db: Database
  now: () => number
  /** Without a slash at its end. */
  publicUrl: string
  passwords: Passwords
  throttle: Throttle
  /** Left out where no letters go out. */
  sendLetter?: SendLetter
}

/** A secret and the row of its session, which is not stored yet. */
export function newSession(
  { address, agent }: Client,
  { now, until = Number.POSITIVE_INFINITY }: { now: number; until?: number },
): { secret: string; session: NewSession } {
  const secret = newSecret()
  const session = {
    secretHash: hashOf(secret),
    endsAt: Math.min(now + SESSION_MS, until),
    agent: agent.slice(0, MOST_AGENT_CHARS),
    address: address.slice(0, MOST_ADDRESS_CHARS),
  }
  return { secret, session }
}

/** A code to be handed over or mailed, and what is kept of it. */
export function newCode(kind: CodeOfPerson['kind'], now: number): { code: string; kept: CodeOfPerson } {
  const code = newSecret()
  return { code, kept: { kind, secretHash: hashOf(code), endsAt: now + CODE_MS[kind] } }
}

/** What stands behind "#" is sent to no server and written into no log. */
export const codeAddress = (publicUrl: string, code: string): string => `${publicUrl}/password#${code}`

export const callerBy = (
  { personId, name, email, role, houses }: CallerRow,
  how: Pick<Caller, 'via' | 'scope' | 'sessionId'>,
): Caller => ({
  personId,
  name,
  email,
  role,
  houses: role === 'contractor' ? 'all' : new Set(houses),
  ...how,
})

/** Somebody who just signed in by password. */
export const signedIn = (
  person: CallerRow,
  { sessionId, secret, endsAt }: { sessionId: number; secret: string; endsAt: number },
): SignedIn => ({ caller: callerBy(person, { via: 'password', scope: 'write', sessionId }), secret, endsAt })
