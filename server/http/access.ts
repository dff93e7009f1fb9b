/**
 * Who may call which route. Every route declares it in its config; the service does not start while one does not, and a
 * request is turned away before its body is read. What is out of somebody's reach is answered as if it were not there.
 */
import '@fastify/cookie'
import type { FastifyInstance, FastifyRequest, RouteOptions } from 'fastify'
import type { Caller, Role } from '../people/types.ts'
import type { Reach, Thing } from '../store/reach.ts'
import { reaches } from './caller.ts'
import { ServiceError } from './errors.ts'
import { notAllowed, notSignedIn } from './refusals.ts'
import { cameFromAfar, fromOurPages, refuseForeignPage } from './strangers.ts'

export interface Access {
  /** `anyone` needs not be signed in, and is not asked who they are. */
  who: 'anyone' | readonly Role[]
  /** Anyone may, but those who are known are answered otherwise. */
  looksWho?: true
  /** What the address is about: only those who reach its house get on. */
  about?: { kind: Thing['kind']; param: string }
  /** What the body or the query names beside; looked at once they are read. */
  mentions?: (request: FastifyRequest) => Thing[]
  /** Programs whose token is for readings alone may call it. */
  takesReadings?: true
  /** Only for people at a browser: no token reaches it. */
  inPerson?: true
}

declare module 'fastify' {
  interface FastifyContextConfig {
    /** Left out, the service does not start. */
    access?: Access
  }
}

const EVERYBODY = ['contractor', 'technician', 'owner'] as const
const CREW = ['contractor', 'technician'] as const

export const ANYONE: Access = { who: 'anyone' }
export const ANYONE_LOOKED_AT: Access = { who: 'anyone', looksWho: true }
export const SIGNED_IN: Access = { who: EVERYBODY }
/** What everybody does about themselves alone. */
export const IN_PERSON: Access = { who: EVERYBODY, inPerson: true }
export const CONTRACTOR: Access = { who: ['contractor'] }
export const CONTRACTOR_IN_PERSON: Access = { who: ['contractor'], inPerson: true }
/** Contractors and technicians; the route itself shows each what is within reach. */
export const CREW_IN_REACH: Access = { who: CREW }
/** Everybody who reaches the house in the address, its owner too. */
export const AT_HOUSE: Access = { who: EVERYBODY, about: { kind: 'house', param: 'id' } }
export const CREW_AT_HOUSE: Access = { who: CREW, about: { kind: 'house', param: 'id' } }
export const CREW_AT_LOGGER: Access = { who: CREW, about: { kind: 'logger', param: 'key' } }
export const CREW_AT_IMPORT: Access = { who: CREW, about: { kind: 'import', param: 'id' } }
export const CREW_AT_CHECK: Access = { who: CREW, about: { kind: 'check', param: 'id' } }

/** Everybody who reaches the house of the notice in the address, its owner too. */
export const AT_NOTICE: Access = { who: EVERYBODY, about: { kind: 'notice', param: 'id' } }

export type Identify = (shown: { cookie?: string; bearer?: string }) => Promise<Caller | null>

/** How somebody comes in: people sign in, or whoever sits at this machine is taken for the contractor, as for the demo. */
export type Door = { kind: 'sign-in'; identify: Identify; publicUrl: string } | { kind: 'open on this machine' }

/** Whoever sits at the machine that the demo runs on. */
export const THIS_MACHINE: Caller = {
  personId: 0,
  name: 'the pages',
  email: '',
  role: 'contractor',
  houses: 'all',
  via: 'this machine',
  scope: 'write',
  sessionId: null,
}

/** Name of the session's cookie; over TLS a browser keeps it for this very host. */
export const cookieName = (publicUrl: string): string =>
  publicUrl.startsWith('https:') ? '__Host-underjoist' : 'underjoist'

const BEARER = /^Bearer +(\S{1,200})$/i
const READS: ReadonlySet<string> = new Set(['GET', 'HEAD'])

/** Must come before the routes. */
export function guardRoutes(app: FastifyInstance, door: Door, reach: Reach): void {
  const routes: RouteOptions[] = []
  app.addHook('onRoute', (route) => void routes.push(route))
  app.addHook('onReady', async () => {
    const undeclared = routes
      .filter(({ config }) => config?.access === undefined)
      .map(({ method, url }) => `${method} ${url}`)
    if (undeclared.length > 0) throw new Error(`No access is declared for ${undeclared.join(', ')} (http/access.ts).`)
  })

  app.decorateRequest('caller', null)
  app.decorateRequest('whoNow', function (this: FastifyRequest) {
    return whoCalls(this, door)
  })
  app.addHook('onRequest', async (request) => {
    if (request.is404) return
    const access = request.routeOptions.config.access!
    // The parts of a page come by the dozen; and a cookie that a form sends along whose page hides where it is counts for nothing.
    if (access.who === 'anyone' && !access.looksWho) return
    request.caller = await whoCalls(request, door)
    if (access.who === 'anyone') return
    const { caller } = request
    if (caller === null) throw notSignedIn()
    refuseByRole(caller, access, request.method)
    if (access.about === undefined) return
    const { kind, param } = access.about
    await refuseOutOfReach(caller, [{ kind, name: (request.params as Record<string, string>)[param] ?? '' }], reach)
  })
  app.addHook('preHandler', async (request) => {
    const { caller } = request
    const mentions = request.routeOptions.config.access?.mentions
    if (mentions !== undefined && caller !== null) await refuseOutOfReach(caller, mentions(request), reach)
  })
}

async function whoCalls(request: FastifyRequest, door: Door): Promise<Caller | null> {
  if (door.kind === 'open on this machine') {
    if (cameFromAfar(request)) return null
    refuseForeignPage(request)
    return THIS_MACHINE
  }
  const bearer = BEARER.exec(request.headers.authorization ?? '')?.[1]
  if (bearer !== undefined) return door.identify({ bearer })
  const cookie = request.cookies[cookieName(door.publicUrl)]
  if (cookie === undefined) return null
  // A cookie comes along whichever page asked; what changes something must come from one of ours.
  if (!READS.has(request.method)) fromOurPages(request, door.publicUrl)
  return door.identify({ cookie })
}

function refuseByRole({ role, via, scope }: Caller, access: Access, method: string): void {
  if (via === 'token') {
    if (access.inPerson) throw notAllowed('A token cannot do this: it is for people who signed in.')
    if (scope === 'read' && !READS.has(method)) throw notAllowed('This token may only read.')
    if (scope === 'readings' && !access.takesReadings) throw notAllowed('This token may only bring readings in.')
  }
  if (access.who !== 'anyone' && !access.who.includes(role)) throw notAllowed(`This is not for ${ROLE_WORDS[role]}.`)
}

const ROLE_WORDS: Record<Role, string> = {
  contractor: 'contractors',
  technician: 'technicians',
  owner: 'owners of a house',
}

/** Whether a thing is within somebody's reach; what is not there is not. */
export async function within(caller: Caller, thing: Thing, reach: Reach): Promise<boolean> {
  if (caller.houses === 'all') return true
  const houses = await reach(thing)
  return houses?.[thing.kind === 'photo' ? 'some' : 'every']((key) => reaches(caller, key)) ?? false
}

/** Things that are not there and things out of reach get the same answer. */
async function refuseOutOfReach(caller: Caller, things: readonly Thing[], reach: Reach): Promise<void> {
  for (const thing of things) if (!(await within(caller, thing, reach))) throw notThere(thing)
}

const NOT_THERE = {
  house: 'UNKNOWN_HOUSE',
  logger: 'UNKNOWN_LOGGER',
  probe: 'UNKNOWN_PROBE',
  station: 'UNKNOWN_STATION',
  import: 'UNKNOWN_IMPORT',
  photo: 'UNKNOWN_PHOTO',
  check: 'UNKNOWN_CHECK',
  notice: 'UNKNOWN_NOTICE',
} as const

export const notThere = ({ kind, name }: Thing): ServiceError =>
  new ServiceError(
    NOT_THERE[kind],
    `There is no ${kind} "${name}" within your reach.`,
    'Look at the houses that you were given.',
  )
