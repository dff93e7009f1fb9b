/** The people's desk on a real database with two houses and a clock that tests turn; letters are kept to be read. */
import { createPeopleDesk } from '../../server/people/createPeopleDesk.ts'
import type { AccountLetter } from '../../server/people/letters.ts'
import { type Passwords, passwords } from '../../server/people/passwords.ts'
import { type Caller, type Client, PeopleError, type Role, type SignedIn } from '../../server/people/types.ts'
import { houses } from '../../server/store/schema.ts'
import { scratchDatabase } from './database.ts'

export const [MAPLE, BIRCH] = ['maple', 'birch'] as const
export const PASSWORD = 'wet joists dry slowly'
export const OTHER_PASSWORD = 'seven gravel buckets north'
export const HOME: Client = { address: '192.0.2.1', agent: 'a browser at home' }
export const AWAY: Client = { address: '203.0.113.9', agent: 'a browser elsewhere' }
export const BOSS = { name: 'Con Tractor', email: 'con@example.com' }
export const FIRM = 'Invented Drainage Company'
export const PUBLIC_URL = 'https://under.example'
export const MINUTE = 60_000
export const HOUR = 60 * MINUTE
export const DAY = 24 * HOUR

export function peopleDesk({ publicUrl = PUBLIC_URL, mail = true } = {}) {
  const db = scratchDatabase()
  for (const key of [MAPLE, BIRCH]) {
    db.orm
      .insert(houses)
      .values({ key, name: `Invented ${key} house`, timeZone: 'America/New_York', createdAt: 0 })
      .run()
  }
  const clock = { at: Date.UTC(2025, 5, 1) }
  const work = { hashes: 0, compared: 0 }
  const counting: Passwords = {
    hash(password) {
      work.hashes++
      return passwords.hash(password)
    },
    matches(password, kept) {
      work.compared++
      return passwords.matches(password, kept)
    },
  }
  const letters: AccountLetter[] = []
  const waits: number[] = []
  const now = () => clock.at
  const desk = createPeopleDesk({
    db,
    now,
    publicUrl,
    steadyMs: now,
    passwords: counting,
    wait: async (ms) => void waits.push(ms),
    ...(mail && { sendLetter: async (letter) => void letters.push(letter) }),
  })

  return {
    db,
    desk,
    clock,
    work,
    letters,
    waits,
    /** The firm's first contractor, signed in. */
    async begin(): Promise<SignedIn> {
      const code = (await desk.firstCode())!
      return desk.begin({ code, firm: FIRM, ...BOSS, password: PASSWORD }, HOME)
    },
    /** Somebody invited by the first contractor who chose {@link PASSWORD}; their address is made of the first name. */
    async join(by: Caller, name: string, role: Role, ofHouses: string[] = []): Promise<SignedIn> {
      const { invitation } = await desk.addPerson({ name, email: emailOf(name), role, houses: ofHouses }, by)
      return desk.setPassword({ code: secretOf(invitation), password: PASSWORD }, HOME)
    },
    /** Who a session's secret shows now. */
    who: ({ secret }: SignedIn) => desk.identify({ cookie: secret }),
    history: (house: string) =>
      db.raw
        .prepare(
          `select t.at, t.who, t.what, t.subject from history t join houses h on h.id = t.house_id where h.key = ?
           order by t.id`,
        )
        .all(house) as { at: number; who: string; what: string; subject: string }[],
  }
}

export const emailOf = (name: string): string => `${name.split(' ')[0]!.toLowerCase()}@example.com`

/** What stands behind "#". */
export const secretOf = (address: string): string => address.slice(address.indexOf('#') + 1)

/** The refusal that a promise ends with; a promise that is kept, or ends otherwise, fails the test. */
export async function refusal(promise: Promise<unknown>): Promise<PeopleError> {
  try {
    await promise
  } catch (error) {
    if (error instanceof PeopleError) return error
    throw error
  }
  throw new Error('Nobody was turned away.')
}
