/**
 * Every address of the OpenAPI document asked by everybody: who gets in is the table in permissions.md, which people can
 * read. What somebody is answered never holds a word of a house that is not theirs.
 */
import type { FastifyInstance } from 'fastify'
import { expect, test } from 'vitest'
import { storeReadings } from '../../server/store/readings.ts'
import { openNotice } from '../support/ownedHouse.ts'
import { DAY, HOUR, madeReadings, swing } from '../support/series.ts'
import { filesForm } from '../support/service.ts'
import {
  type Ask,
  OTHER_CANARY,
  OTHER_HOUSE,
  OWN_HOUSE,
  type SignedInService,
  signedInService,
} from '../support/signedIn.ts'
import { stepsOf } from '../support/studiedHouse.ts'

const NOW = Date.UTC(2026, 5, 1)

/** Those who ask about the own house and what is in it. */
const CALLERS: Record<string, (service: SignedInService) => Ask | Promise<Ask>> = {
  nobody: ({ as }) => as('nobody'),
  contractor: ({ as }) => as('contractor'),
  technician: ({ as }) => as('technician'),
  'technician elsewhere': ({ as }) => as('technician elsewhere'),
  owner: ({ as }) => as('owner'),
  'owner by link': ({ byLink }) => byLink('owner'),
  'owner elsewhere': ({ as }) => as('owner of the other house'),
  'token to read': ({ withToken }) => withToken('contractor', 'read'),
  'token for readings': ({ withToken }) => withToken('contractor', 'readings'),
}

/** Not in the document: what describes it, and the pages. */
const BESIDE = ['get /api/openapi.json', 'get /api/docs/', 'get /']
/** Nobody would be left to ask further. */
const SIGNING_OUT = 'delete /api/sign-in'
const METHODS = ['get', 'post', 'put', 'patch', 'delete']

test('who may call what is as the table says', { timeout: 240_000 }, async () => {
  const columns: string[][] = []
  let routes: string[] = []
  for (const [caller, asking] of Object.entries(CALLERS)) {
    const service = await signedInService({ now: () => NOW })
    const things = await furnish(service, OWN_HOUSE, 'own')
    routes = routesOf(service.parts.app)
    const ask = await asking(service)
    const column = []
    for (const route of routes) column.push(await answerTo(ask, route, things))
    columns.push([caller, ...column])
  }
  const rows = ['address', ...routes].map((route, i) => [route, ...columns.map((column) => column[i]!)])
  await expect(asTable(rows)).toMatchFileSnapshot('permissions.md')
})

test('what people of one house are answered holds no word of another', { timeout: 240_000 }, async () => {
  for (const who of ['technician', 'owner', 'owner by link', 'contractor'] as const) {
    const service = await signedInService({ now: () => NOW })
    const own = await furnish(service, OWN_HOUSE, 'own')
    const other = await furnish(service, OTHER_HOUSE, 'other')
    const canaries = [OTHER_CANARY, OTHER_HOUSE, 'other-l1', 'other.csv', 'Tess by the other hatch', other.hash!]
    const ask = await CALLERS[who]!(service)
    const told: string[] = []
    for (const route of routesOf(service.parts.app)) {
      if (route === 'get /api/live') continue
      for (const things of [own, other]) {
        const { method, url } = requestOf(route, things)
        const { body, statusCode } = await ask({ method, url })
        // What was asked for by its name is said back in a refusal.
        const said = statusCode < 400 ? body : ''
        for (const canary of canaries) if (said.includes(canary)) told.push(`${route} tells ${canary}`)
      }
    }
    if (who === 'contractor') expect(told.length).toBeGreaterThan(20)
    else expect(told).toEqual([])
  }
})

test('what a body names counts like what the address names', async () => {
  const service = await signedInService({ now: () => NOW })
  await furnish(service, OWN_HOUSE, 'own')
  await furnish(service, OTHER_HOUSE, 'other')
  const technician = service.as('technician')
  const air = { probes: ['air'], hasRadio: true, intervalS: 300 }
  const asked: [string, string, object, string][] = [
    ['POST', '/api/loggers', { ...air, house: OTHER_HOUSE }, 'UNKNOWN_HOUSE'],
    [
      'POST',
      '/api/loggers/own-l1/place',
      { house: OTHER_HOUSE, probes: [{ probe: 'air', spot: 'crawl/mid' }] },
      'UNKNOWN_HOUSE',
    ],
    ['POST', '/api/loggers/own-l1/swap', { with: 'other-l1' }, 'UNKNOWN_LOGGER'],
    ['POST', '/api/checks', { kind: 'side by side', probes: ['own-l1/air', 'other-l1/air'] }, 'UNKNOWN_LOGGER'],
    ['GET', `/api/loggers?house=${OTHER_HOUSE}`, {}, 'UNKNOWN_HOUSE'],
  ]
  for (const [method, url, payload, code] of asked) {
    const answer = await technician({ method: method as 'GET', url, ...(method !== 'GET' && { payload }) })
    expect([answer.statusCode, answer.json().code], url).toEqual([404, code])
  }
  const placed = { house: OWN_HOUSE, probes: [{ probe: 'air', spot: 'crawl/mid' }], at: '2026-05-31T10:00' }
  const own = await technician({ method: 'POST', url: '/api/loggers/own-l1/place', payload: placed })
  expect(own.statusCode, own.body).toBe(200)
})

test('what is not there and what is out of reach are answered alike', async () => {
  const service = await signedInService({ now: () => NOW })
  await furnish(service, OTHER_HOUSE, 'other')
  const ask = service.as('technician')
  for (const [there, absent] of [
    [`/api/houses/${OTHER_HOUSE}`, '/api/houses/no-house'],
    ['/api/loggers/other-l1', '/api/loggers/no-logger'],
  ] as const) {
    const [one, two] = [await ask(there), await ask(absent)]
    const name = (url: string) => url.split('/').at(-1)!
    expect(one.statusCode).toBe(404)
    expect(one.body.replaceAll(name(there), 'X')).toBe(two.body.replaceAll(name(absent), 'X'))
  }
})

type Things = Record<string, string>

/** Readings, an import, a photo, a check and a kept file of a house; all of them named after it. */
async function furnish({ parts, as }: SignedInService, house: string, prefix: string): Promise<Things> {
  const contractor = as('contractor')
  const probe = parts.db.raw
    .prepare('select p.id from probes p join loggers l on l.id = p.logger_id where l.key = ?')
    .pluck()
    .get(`${prefix}-l1`) as number
  const span = { from: NOW - 30 * DAY, to: NOW - DAY, everyMs: HOUR }
  await storeReadings(parts.db, stepsOf(probe, madeReadings({ ...span, tempC: swing(18, 3), rhPct: swing(80, 5) })))
  const post = async (url: string, options: object) => {
    const answer = await contractor({ method: 'POST', url, ...options })
    expect(answer.statusCode, `${url} ${answer.body}`).toBeLessThan(300)
    return answer.json()
  }
  const csv = 'time,temperature °C,rh %\n2026-05-01 00:00:00,18,70\n2026-05-01 01:00:00,999,71\n'
  const dropped = filesForm([
    { name: `${prefix}.csv`, bytes: csv },
    { name: `${prefix}.csv`, bytes: csv.replaceAll('05-01', '05-02') },
  ])
  const { files } = await post(`/api/houses/${house}/files`, dropped)
  const [readProbe] = Object.values(files[0].look.understanding.probes as { probeKey: string }[])
  const stored = { answers: files[0].answers, probes: { [readProbe!.probeKey]: { probeId: probe } } }
  const { importId, jobId } = await post(`/api/houses/${house}/files/${files[0].file}/store`, { payload: stored })
  await parts.queue.ended(jobId)
  const picture = filesForm([{ name: 'a.jpg', bytes: Buffer.from([0xff, 0xd8, 0xff, ...Buffer.from(prefix)]) }])
  const { hash } = await post(`/api/loggers/${prefix}-l1/photo`, picture)
  const check = await post('/api/checks', { payload: { kind: 'salt', salt: 'NaCl', probes: [`${prefix}-l2/air`] } })
  await post('/api/stations', { payload: { key: `${prefix}-hill`, name: house, kind: 'file', quantities: ['tempC'] } })
  await contractor({ method: 'PUT', url: `/api/stations/${prefix}-hill/houses/${house}` })
  await post(`/api/houses/${house}/visit`, { payload: { step: 'in', note: `Tess by the ${prefix} hatch` } })
  return {
    house,
    logger: `${prefix}-l1`,
    station: `${prefix}-hill`,
    probe: String(probe),
    import: String(importId),
    check: String(check.id),
    file: files[1].file,
    hash,
    notice: String(
      openNotice(parts.db, { house, watch: 'liquid water', urgency: 'urgent', sinceAt: NOW, body: { about: hash } }),
    ),
  }
}

function routesOf(app: FastifyInstance): string[] {
  const { paths = {} } = app.swagger() as { paths?: Record<string, object> }
  const routes = Object.entries(paths).flatMap(([path, methods]) =>
    Object.keys(methods).map((method) => `${method} ${path}`),
  )
  const rank = (route: string) => (route === SIGNING_OUT ? METHODS.length : METHODS.indexOf(route.split(' ')[0]!))
  const path = (route: string) => route.split(' ')[1]!
  // What changes things comes last; the table is put in order of the addresses afterwards.
  return [...routes, ...BESIDE].sort((a, b) => rank(a) - rank(b) || (path(a) < path(b) ? -1 : 1))
}

/** A number that no row has, for what belongs to one person alone. */
const NO_ROW = '987654321'

function requestOf(route: string, things: Things): { method: 'GET'; url: string } {
  const [method, path] = route.split(' ') as [string, string]
  const ids: [RegExp, string][] = [
    [/^\/api\/houses\/\{id\}/, things.house!],
    [/^\/api\/stations\/.*\{id\}/, things.house!],
    [/^\/api\/imports/, things.import!],
    [/^\/api\/checks/, things.check!],
    [/^\/api\/probes/, things.probe!],
    [/^\/api\/notices/, things.notice!],
  ]
  const url = path.replace(/\{(\w+)\}/g, (_, name: string) => {
    if (name === 'id') return ids.find(([pattern]) => pattern.test(path))?.[1] ?? NO_ROW
    if (name === 'key') return path.startsWith('/api/stations') ? things.station! : things.logger!
    return things[name] ?? NO_ROW
  })
  return { method: method.toUpperCase() as 'GET', url }
}

/** A stream never ends by itself. */
const STREAM_MS = 300

async function answerTo(ask: Ask, route: string, things: Things): Promise<string> {
  const waiting = new Promise<null>((resolve) => setTimeout(() => resolve(null), STREAM_MS).unref())
  const asked = ask(requestOf(route, things))
  const answer = await (route === 'get /api/live' ? Promise.race([asked, waiting]) : asked)
  if (answer === null) return 'yes'
  const code = answer.headers['content-type']?.toString().startsWith('application/json')
    ? answer.json().code
    : undefined
  if (code === 'NOT_SIGNED_IN') return 'sign in'
  if (code === 'NOT_ALLOWED') return 'no'
  if (['UNKNOWN_HOUSE', 'UNKNOWN_LOGGER', 'UNKNOWN_PROBE', 'UNKNOWN_IMPORT'].includes(code)) return 'not there'
  if (['UNKNOWN_PHOTO', 'UNKNOWN_CHECK', 'UNKNOWN_NOTICE'].includes(code)) return 'not there'
  expect(answer.statusCode, `${route}: ${answer.body.slice(0, 300)}`).toBeLessThan(500)
  return 'yes'
}

function asTable([head, ...rows]: string[][]): string {
  const line = (cells: string[]) => `| ${cells.join(' | ')} |`
  const sorted = rows.toSorted(([a = ''], [b = '']) => {
    const [left, right] = [a, b].map((route) => route.split(' ').reverse().join(' '))
    return left! < right! ? -1 : 1
  })
  return `# Who may call what

What each of them is answered who asks about one house and what is in it. **Technician** and **owner** are those of the
house, **elsewhere** those of another; tokens are a contractor's. *yes*: gets in (lists show what is within reach);
*sign in*: 401; *no*: 403; *not there*: 404, word for word as for what does not exist.
Written by permissions.test.ts, which fails where the service answers otherwise; change it by \`npx vitest run
tests/http/permissions.test.ts -u\`, and read what changed.

${line(head!)}
${line(head!.map(() => '---'))}
${sorted.map(line).join('\n')}
`
}
