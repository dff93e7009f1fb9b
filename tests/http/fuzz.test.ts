/**
 * Every address of the OpenAPI document, asked with values made from its own schema: such as fit, such as just fit, and
 * mutated ones. Nothing of it may break the service, tell of its insides, or touch a house that was not asked about.
 */
import { homedir, tmpdir } from 'node:os'
import type { FastifyInstance, InjectOptions } from 'fastify'
import { expect, test } from 'vitest'
import type { ServiceParts } from '../../server/cli/runService.ts'
import { CODES } from '../../server/http/errors.ts'
import { insertLetter } from '../../server/store/letters.ts'
import { packageFolder } from '../../server/store/packageFolder.ts'
import { openNotice } from '../support/ownedHouse.ts'
import { HOSTILE_TEXTS, type Schema, schemaValues, type Values } from '../support/schemaValues.ts'
import { seeded } from '../support/seeded.ts'
import { DAY, HOUR, madeReadings, swing } from '../support/series.ts'
import { filesForm } from '../support/service.ts'
import { type Ask, OTHER_CANARY, PASSWORD, PEOPLE, type SignedInService, signedInService } from '../support/signedIn.ts'
import { storeTestHouse, TEST_HOUSE } from '../support/studiedHouse.ts'

const NOW = Date.UTC(2026, 5, 1)
const EACH = { fitting: 24, borderline: 12, mutated: 28 }
/** They have tests of their own: streams and forms are not made from a schema, and some would sign out whoever asks. */
const LEFT_OUT = [
  'get /api/live',
  'post /api/houses/{id}/files',
  'post /api/loggers/{key}/photo',
  'delete /api/sign-in',
  'post /api/account/password',
]
/**
 * A check ends after hours of readings; nobody sent a message that was refused, or fetched a station; codes, links and
 * sessions are not guessed; and what an owner chooses is not for a contractor.
 */
const NEVER_WELL = [
  'post /api/checks/{id}/finish',
  'delete /api/refused-messages/{id}',
  'post /api/stations/look',
  'post /api/sign-in/first',
  'post /api/sign-in/link',
  'post /api/sign-in/password',
  'delete /api/account/sessions/{id}',
  'put /api/houses/{id}/letter-choice',
]
/** What is said of the house that nobody asks about is told to nobody else. */
const CANARIES = ['Kept house', 'kept-1', OTHER_CANARY, 'other-l1']
/** What a request can do nothing about. The last is said of a weather station's address, not of the service. */
const MAY_FAIL = ['NOT_READY', 'BUSY', 'CROWDED', 'DISK_FULL', 'NOT_FETCHED']
const INSIDES = [packageFolder(), tmpdir(), homedir(), process.cwd()].filter((path) => path.length > 1)

/** Values that exist, by the field, or by method, path and field. */
type Known = Record<string, unknown[]>

interface Route {
  method: 'get' | 'post' | 'put' | 'patch' | 'delete'
  path: string
  parameters: { name: string; in: 'path' | 'query'; required?: boolean; schema: Schema }[]
  body: Schema | undefined
}

test('whatever is asked of any address, the service answers in its own words and loses nothing', {
  timeout: 180_000,
}, async () => {
  const service = await signedIn()
  const { parts } = service
  const contractor = service.as('contractor')
  const known = await furnish(service, contractor)
  const kept = await told(parts, contractor)
  const values = schemaValues(seeded(20_260_601), known)
  const routes = routesOf(parts.app)
  expect(routes.length).toBeGreaterThan(35)

  const faults: string[] = []
  const tally = new Map<string, Map<string, number>>()
  for (const route of routes) {
    const name = `${route.method} ${route.path}`
    const seen = new Map<string, number>()
    tally.set(name, seen)
    await refresh(contractor, known, [...tally.keys()].at(-2) ?? 'nothing')
    const ask = route.path.startsWith('/api/sign-in') ? service.as('nobody') : contractor
    for (const [kind, count] of Object.entries(EACH)) {
      // Nothing can be varied about the demo house, and each time its whole folder is looked through.
      for (let i = 0; i < (route.path === '/api/demo-house' ? 1 : count); i++) {
        const asked = request(route, { values, known }, kind as keyof typeof EACH)
        const answer = await ask(asked)
        const fault = wrong(answer)
        if (fault)
          faults.push(
            `${fault}: ${kind} ${JSON.stringify(asked).slice(0, 1500)} → ${answer.statusCode} ${answer.body.slice(0, 400)}`,
          )
        if (fault) continue
        const outcome = answer.statusCode < 400 ? 'well' : answer.json().code
        seen.set(outcome, (seen.get(outcome) ?? 0) + 1)
      }
    }
  }
  expect(faults).toEqual([])
  // A fuzz that is refused at the door everywhere would find nothing.
  const never = [...tally].filter(([, seen]) => !seen.has('well')).map(([name]) => name)
  expect(never.sort()).toEqual([...NEVER_WELL].sort())
  expect(await told(parts, contractor)).toEqual(kept)
  // What was taken in meanwhile does not keep anybody from looking at it.
  for (const url of ['round', 'loggers', 'stations', 'checks', 'houses/test-house', 'houses/test-house/placing']) {
    expect((await contractor(`/api/${url}`)).statusCode, url).toBe(200)
  }
})

test.each(['technician', 'owner'] as const)(
  '%s: whatever is asked, no word of a house that is not theirs is told',
  {
    timeout: 180_000,
  },
  async (who) => {
    const service = await signedIn()
    const known = await furnish(service, service.as('contractor'))
    const kept = await told(service.parts, service.as('contractor'))
    const names = {
      ...known,
      id: ['own-house', 'own-house', 'kept-house', 'other-house', '1', '2', '3'],
      key: ['own-l1', 'own-l2', 'kept-1', 'other-l1'],
    }
    const values = schemaValues(seeded(20_260_602), names)
    const faults: string[] = []
    let well = 0
    for (const route of routesOf(service.parts.app)) {
      if (route.path.startsWith('/api/sign-in')) continue // would make somebody else of whoever asks
      const ask = service.as(who)
      for (let i = 0; i < 12; i++) {
        const asked = request(route, { values, known: names }, i < 8 ? 'fitting' : 'mutated')
        const answer = await ask(asked)
        const canary = answer.statusCode < 400 ? CANARIES.find((word) => answer.body.includes(word)) : undefined
        const fault = canary === undefined ? wrong(answer) : `tells "${canary}"`
        if (fault) faults.push(`${fault}: ${JSON.stringify(asked).slice(0, 800)} → ${answer.body.slice(0, 400)}`)
        if (answer.statusCode < 400) well++
      }
    }
    expect(faults).toEqual([])
    expect(well).toBeGreaterThan(30)
    expect(await told(service.parts, service.as('contractor'))).toEqual(kept)
  },
)

function signedIn(): Promise<SignedInService> {
  let steady = 0
  return signedInService({ now: () => NOW, steadyMs: () => (steady += 3_600_000) })
}

/** The house asked about changes with every route. */
async function refresh(ask: Ask, known: Known, last: string): Promise<void> {
  const { house, version } = (await ask('/api/houses/test-house')).json()
  const told = await ask('/api/houses/test-house/history')
  expect(told.statusCode, `the history after ${last}: ${told.body}`).toBe(200)
  const { entries } = told.json()
  const undoable = entries.filter(({ undo }: { undo: string }) => undo === 'possible')
  Object.assign(known, {
    entry: [String(undoable[0]?.id ?? 1)],
    'put /api/houses/{id} body': [{ house: { ...house, name: 'Another name' }, version, what: 'a test' }],
  })
}

/** A house to be asked about and changed, and one that nobody names. @returns values known to exist, by field */
async function furnish(service: SignedInService, ask: Ask): Promise<Known> {
  const { db, queue } = service.parts
  const prey = await storeTestHouse(db, TEST_HOUSE, {
    'l1/air': monthOf(NOW - 40 * DAY, 18, 80),
  })
  const keep = {
    ...TEST_HOUSE,
    key: 'kept-house',
    name: 'Kept house',
    loggers: [{ key: 'kept-1', probes: [{ key: 'air', placements: [{ spot: 'crawl/low', from: '2023-01-01' }] }] }],
  }
  await storeTestHouse(db, keep, {
    'kept-1/air': monthOf(NOW - 90 * DAY, 16, 85),
  })
  const csv = 'time,temperature °C,rh %\n2026-05-01 00:00:00,18,70\n2026-05-01 01:00:00,999,71\n'
  const form = filesForm([
    { name: 'a.csv', bytes: csv },
    { name: 'b.csv', bytes: csv.replaceAll('05-01', '05-02') },
  ])
  const dropped = await ask({ method: 'POST', url: '/api/houses/test-house/files', ...form })
  const [first, second] = dropped.json().files
  const [probe] = Object.values(first.look.understanding.probes as { probeKey: string }[])
  const probes = { [probe!.probeKey]: { probeId: prey.probes[0]!.id } }
  const begun = await ask({
    method: 'POST',
    url: `/api/houses/test-house/files/${first.file}/store`,
    payload: { answers: first.answers, probes },
  })
  await queue.ended(begun.json().jobId)
  const post = async (url: string, payload: object) => {
    const answer = await ask({ method: 'POST', url, payload })
    expect(answer.statusCode, answer.body).toBe(201)
    return answer.json()
  }
  for (const key of ['spare', 'other', 'third', 'hung']) {
    await post('/api/loggers', { key, probes: ['air'], hasRadio: true, intervalS: 300 })
  }
  const hang = { house: 'test-house', at: '2026-05-20T10:00', probes: [{ probe: 'air', spot: 'out/north' }] }
  await ask({ method: 'POST', url: '/api/loggers/hung/place', payload: hang })
  for (const key of ['hill', 'dale'])
    await post('/api/stations', { key, name: key, kind: 'file', quantities: ['tempC'] })
  const url = 'http://127.0.0.1:9/{from}/{to}'
  await post('/api/stations', {
    key: 'brook',
    name: 'Brook',
    kind: 'https',
    quantities: ['tempC'],
    url,
    timeZone: 'UTC',
    answers: {},
  })
  const check = await post('/api/checks', { kind: 'salt', salt: 'NaCl', probes: ['third/air'] })
  const picture = filesForm([{ name: 'a.jpg', bytes: Buffer.of(0xff, 0xd8, 0xff, 1) }])
  const { hash } = (await ask({ method: 'POST', url: '/api/loggers/l1/photo', ...picture })).json()
  const notice = openNotice(db, { house: 'test-house', watch: 'damp', urgency: 'soon', sinceAt: NOW })
  openNotice(db, { house: 'kept-house', watch: 'damp', urgency: 'soon', sinceAt: NOW })
  const letter = await letterGivenUp(service)
  const house = (await ask('/api/houses/test-house')).json()
  const spare = { ...house.house, key: 'another-house', loggers: [], stations: [] }
  return {
    id: ['test-house', 'test-house', '1', String(prey.probes[0]!.id)],
    key: ['spare', 'l1', 'l2', 'hill'],
    file: [second.file],
    house: [house.house, spare],
    version: [house.version],
    hash: [hash],
    probes: [probes],
    probe: ['l1/air', 'air'],
    spot: ['crawl/low', 'crawl/mid'],
    at: [NOW, NOW - 3_600_000, '2026-05-20T10:00'],
    from: ['2026-05-01', String(NOW - 30 * DAY)],
    answers: [first.answers, {}],
    // None of them leaves this machine: each is refused by its form or its address, or nobody listens there.
    url: [
      'http://127.0.0.1:9/a.csv',
      'https://10.0.0.1/a.csv',
      'https://[::1]/',
      'ftp://here/',
      'https://127.0.0.1:9/{from}',
    ],
    timeZone: ['America/New_York', 'UTC', 'Nowhere/At all'],
    salt: ['NaCl', 'none'],
    ...Object.fromEntries(
      ['get /api/checks/{id}', 'post /api/checks/{id}/finish', 'post /api/checks/{id}/give-up'].map((route) => [
        `${route} id`,
        [String(check.id)],
      ]),
    ),
    'get /api/letters/{id} id': [letter],
    'post /api/letters/{id}/again id': [letter],
    'post /api/notices/{id}/acknowledge id': [String(notice)],
    'post /api/notices/{id}/snooze id': [String(notice)],
    // Not the contractor: the oldest of too many sessions ends, which is the one that asks here.
    'post /api/sign-in body': [{ email: PEOPLE['technician elsewhere'].email, password: PASSWORD }],
    // Number 1 is the one that asks here.
    'delete /api/account/sessions/{id} id': ['9999'],
    email: [PEOPLE.contractor.email, 'somebody@example.com'],
    houses: [['test-house'], []],
    'post /api/houses/{id}/links id': ['other-house'],
    'delete /api/houses/{id}/links/{link} id': ['other-house'],
    'delete /api/houses/{id}/links/{link} link': ['1', '2', '3'],
    personId: [service.id('owner of the other house')],
    'delete /api/people/{id} id': [String(service.id('owner'))],
    'post /api/checks body': [{ kind: 'side by side', probes: ['l1/air', 'l2/air'] }],
    'post /api/loggers body': [{ probes: ['air'], hasRadio: true, intervalS: 300 }],
    'post /api/loggers/{key}/place key': ['spare'],
    'post /api/loggers/{key}/place body': [
      { house: 'test-house', at: '2026-05-20T10:00', probes: [{ probe: 'air', spot: 'crawl/mid' }] },
    ],
    'post /api/loggers/{key}/pick-up key': ['hung'],
    'post /api/loggers/{key}/pick-up body': [{}],
    'post /api/loggers/{key}/swap key': ['spare', 'other'],
    'post /api/loggers/{key}/swap body': [{ with: 'other' }, { with: 'spare' }],
    'post /api/stations/{key}/backfill key': ['brook'],
    'post /api/stations/{key}/backfill body': [{ from: '2026-05-01' }],
    'delete /api/stations/{key} key': ['dale'],
    'put /api/stations/{key}/houses/{id} key': ['hill'],
  }
}

const monthOf = (from: number, meanC: number, meanPct: number) =>
  madeReadings({ from, to: from + 30 * DAY, everyMs: HOUR, tempC: swing(meanC, 3), rhPct: swing(meanPct, 5) })

/** What is stored of the house that nobody asked about. */
async function told({ db }: ServiceParts, ask: Ask): Promise<unknown> {
  const [house, history] = [await ask('/api/houses/kept-house'), await ask('/api/houses/kept-house/history')]
  const rows = db.raw
    .prepare(
      `select r.* from readings r join probes p on p.id = r.probe_id join loggers l on l.id = p.logger_id
       where l.key = 'kept-1' order by 1, 2`,
    )
    .all()
  expect([house.statusCode, history.statusCode, rows.length > 500]).toEqual([200, 200, true])
  return { house: house.json(), history: history.json(), rows }
}

async function letterGivenUp({ parts: { db }, id }: SignedInService): Promise<string> {
  const to = { personId: id('owner'), toAddress: PEOPLE.owner.email, toName: PEOPLE.owner.name }
  const words = { kind: 'soon', subject: 'A letter', text: 'Words', html: 'Words' }
  insertLetter(db, { ...to, ...words, onceKey: 'a letter', createdAt: NOW })
  db.raw.prepare(`update letters set state = 'given up'`).run()
  return String(db.raw.prepare('select id from letters').pluck().get())
}

const ORDER = ['get', 'patch', 'put', 'post', 'delete']

/** What changes things comes after what only asks; the demo house last, for every list is longer with it. */
function routesOf(app: FastifyInstance): Route[] {
  const { paths = {} } = app.swagger() as unknown as { paths?: Record<string, Record<string, Operation>> }
  const late = ({ path, method }: Route) => (path === '/api/demo-house' ? 9 : ORDER.indexOf(method))
  return Object.entries(paths)
    .flatMap(([path, methods]) =>
      Object.entries(methods).map(
        ([method, { parameters = [], requestBody }]): Route => ({
          method: method as Route['method'],
          path,
          parameters,
          body: requestBody?.content['application/json']?.schema,
        }),
      ),
    )
    .filter(({ method, path }) => !LEFT_OUT.includes(`${method} ${path}`))
    .sort((a, b) => late(a) - late(b))
}

interface Fuzzer {
  values: Values
  known: Known
}

interface Operation {
  parameters?: Route['parameters']
  requestBody?: { content: Record<string, { schema: Schema }> }
}

function request(route: Route, { values, known }: Fuzzer, kind: keyof typeof EACH): InjectOptions {
  const { method, path, parameters, body } = route
  const own = (name: string) => (known[`${method} ${path} ${name}`] ? `${method} ${path} ${name}` : name)
  const borderline = kind === 'borderline'
  const bend = kind === 'mutated' ? values.pick(body ? ['body', 'body', 'body', 'address'] : ['address']) : ''
  const query: [string, string][] = []
  let url = path
  for (const { name, in: place, required, schema } of parameters) {
    const bent = bend === 'address' && values.pick([true, false])
    const value = String(bent ? values.pick(HOSTILE_TEXTS) : values.make(schema, own(name), borderline)).replace(
      /\p{Surrogate}/gu,
      '\ufffd',
    )
    if (place === 'path') url = url.replace(`{${name}}`, encodeURIComponent(value) || '%20')
    else if (required || values.pick([true, false])) query.push([name, value])
  }
  if (bend === 'address' && values.pick([true, false]))
    query.push([values.pick(['units', 'x', '__proto__', 'from']), 'x'])
  if (query.length > 0) url += `?${query.map((pair) => pair.map(encodeURIComponent).join('=')).join('&')}`
  const asked: InjectOptions = { method: method.toUpperCase() as 'GET', url }
  if (body === undefined) return asked
  const fitting = values.make(body, own('body'), borderline)
  const payload = JSON.stringify(bend === 'body' ? values.mutate(fitting) : fitting)
  return { ...asked, payload, headers: { 'content-type': 'application/json' } }
}

/** @returns what is wrong with the answer; undefined when nothing is */
function wrong({ statusCode, body, headers }: Awaited<ReturnType<FastifyInstance['inject']>>): string | undefined {
  if (/\n\s+at .+:\d+|node_modules|\.[jt]s:\d/.test(body)) return 'a stack trace'
  if (INSIDES.some((path) => body.includes(path))) return 'a path of this machine'
  if (statusCode < 400) return undefined
  if (!String(headers['content-type']).startsWith('application/json')) return 'an error that is no JSON'
  const { code, message, hint } = JSON.parse(body) as Record<string, unknown>
  const said = [message, hint].every((text) => typeof text === 'string' && text.length > 0)
  if (!said || !Object.hasOwn(CODES, String(code))) return 'an error without code, message and hint'
  if (CODES[code as keyof typeof CODES].status !== statusCode) return 'a code with the status of another'
  return statusCode >= 500 && !MAY_FAIL.includes(String(code)) ? 'a fault of the program' : undefined
}
