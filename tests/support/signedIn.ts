/** The whole service with people in it, each signed in as a browser is: what each may do is asked without a socket. */
import { join } from 'node:path'
import type { InjectOptions, LightMyRequestResponse } from 'fastify'
import { onTestFinished } from 'vitest'
import { buildService, type ServiceParts } from '../../server/cli/runService.ts'
import { cookieName } from '../../server/http/access.ts'
import type { Client, Role, SignedIn, TokenScope } from '../../server/people/types.ts'
import type { HouseTree } from '../../server/store/houseTree.ts'
import { scratchFolder } from './database.ts'
import { storeTestHouse, TEST_HOUSE } from './studiedHouse.ts'

/** What the people of the tests are about; the other house's name is found nowhere else. */
export const OWN_HOUSE = 'own-house'
export const OTHER_HOUSE = 'other-house'
export const OTHER_CANARY = 'Canary of the other house'

export const PEOPLE = {
  contractor: { name: 'Con Tractor', email: 'contractor@example.com', role: 'contractor', houses: [] },
  technician: { name: 'Tess Nician', email: 'technician@example.com', role: 'technician', houses: [OWN_HOUSE] },
  'technician elsewhere': {
    name: 'Ted Nician',
    email: 'elsewhere@example.com',
    role: 'technician',
    houses: [OTHER_HOUSE],
  },
  owner: { name: 'Olive Owner', email: 'owner@example.com', role: 'owner', houses: [OWN_HOUSE] },
  'owner of the other house': { name: 'Otto Owner', email: 'other@example.com', role: 'owner', houses: [OTHER_HOUSE] },
} as const satisfies Record<string, { name: string; email: string; role: Role; houses: string[] }>

export type Who = keyof typeof PEOPLE

export const PASSWORD = 'wet joists dry slowly'
export const FIRM = 'Invented Crawl Space Company'
const HERE: Client = { address: '127.0.0.1', agent: 'a test' }

export type Ask = (asked: InjectOptions | string) => Promise<LightMyRequestResponse>

export interface SignedInService {
  parts: ServiceParts
  publicUrl: string
  /** As the browser of somebody does it, from our own pages. */
  as(who: Who | 'nobody'): Ask
  /** As a program with a token of somebody's. */
  withToken(who: Who, scope: TokenScope): Promise<Ask>
  /** As an owner who came by a link. */
  byLink(who: 'owner' | 'owner of the other house'): Promise<Ask>
  id(who: Who): number
  /** What the browser sends, to be sent otherwise. */
  cookie(who: Who): string
}

export interface Made {
  publicUrl?: string
  now?: () => number
  steadyMs?: () => number
  /** Stored under its key in place of the plain one. */
  ownHouse?: Partial<HouseTree>
}

/** Two houses; a contractor, and for each house a technician and an owner, all with {@link PASSWORD}. */
export async function signedInService({
  publicUrl = 'https://under.example',
  now = Date.now,
  steadyMs,
  ownHouse = {},
}: Made = {}): Promise<SignedInService> {
  const databasePath = join(scratchFolder(), 'underjoist.db')
  const parts = await buildService({
    door: 'sign-in',
    databasePath,
    publicUrl,
    now,
    log: false,
    ...(steadyMs && { steadyMs }),
  })
  onTestFinished(() => parts.stop())
  parts.queue.start()
  await storeTestHouse(parts.db, { ...houseOf(OWN_HOUSE, 'Own house', 'own'), ...ownHouse })
  await storeTestHouse(parts.db, houseOf(OTHER_HOUSE, OTHER_CANARY, 'other'))

  const { people } = parts
  const { contractor, ...others } = PEOPLE
  const { name, email } = contractor
  const code = (await people.firstCode())!
  const first = await people.begin({ code, firm: FIRM, name, email, password: PASSWORD }, HERE)
  const signedIn = new Map<Who, SignedIn>([['contractor', first]])
  for (const [who, person] of Object.entries(others) as [Exclude<Who, 'contractor'>, (typeof others)['owner']][]) {
    const { invitation } = await people.addPerson({ ...person, houses: [...person.houses] }, first.caller)
    signedIn.set(who, await people.setPassword({ code: codeOf(invitation), password: PASSWORD }, HERE))
  }

  const cookie = (who: Who) => `${cookieName(publicUrl)}=${signedIn.get(who)!.secret}`
  const asking =
    (more: Record<string, string>): Ask =>
    async (asked) => {
      const { headers, ...options } = typeof asked === 'string' ? { url: asked } : asked
      return parts.app.inject({ ...options, headers: { origin: publicUrl, ...more, ...headers } })
    }
  return {
    parts,
    publicUrl,
    as: (who) => asking(who === 'nobody' ? {} : { cookie: cookie(who) }),
    async withToken(who, scope) {
      const { token } = await people.addToken(signedIn.get(who)!.caller, { name: `to ${scope}`, scope, days: 30 })
      return asking({ authorization: `Bearer ${token}` })
    },
    async byLink(who) {
      const { address } = await people.addLink(PEOPLE[who].houses[0], { personId: idOf(who), days: 30 }, first.caller)
      const { secret } = await people.enter(codeOf(address), HERE)
      return asking({ cookie: `${cookieName(publicUrl)}=${secret}` })
    },
    id: idOf,
    cookie,
  }

  function idOf(who: Who): number {
    return signedIn.get(who)!.caller.personId
  }
}

/** The secret part of an address stands behind its "#". */
export const codeOf = (address: string): string => address.slice(address.indexOf('#') + 1)

/** A logger hangs in one house alone, so each house's have names of their own. */
const houseOf = (key: string, name: string, prefix: string): HouseTree => ({
  ...TEST_HOUSE,
  key,
  name,
  loggers: TEST_HOUSE.loggers?.map((logger) => ({ ...logger, key: `${prefix}-${logger.key}` })),
})
