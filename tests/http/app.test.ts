import cookie from '@fastify/cookie'
import Fastify from 'fastify'
import { expect, onTestFinished, test } from 'vitest'
import { ANYONE, guardRoutes } from '../../server/http/access.ts'
import { type AppDeps, buildApp } from '../../server/http/app.ts'
import { CODES } from '../../server/http/errors.ts'
import { createIntake } from '../../server/ingest/intake.ts'
import { receiptCsv } from '../../server/ingest/receiptCsv.ts'
import { StoreError } from '../../server/store/errors.ts'
import { addImport, findImport } from '../../server/store/imports.ts'
import { addProbes, scratchDatabase } from '../support/database.ts'

const NOW = Date.UTC(2026, 5, 1)
const T0 = Date.UTC(2026, 4, 1)

async function appOn(more: Partial<AppDeps> = {}) {
  const db = scratchDatabase()
  const [probe] = addProbes(db, 1) as [number]
  const intake = createIntake(db, { now: () => NOW })
  const imports = {
    find: (id: number) => findImport(db, id),
    lines: async () => [],
    receiptCsv: (id: number) => receiptCsv(db, id),
  }
  const app = await buildApp({
    door: { kind: 'open on this machine' },
    reach: async () => undefined,
    intake,
    imports,
    findings: async () => undefined,
    health: async () => [],
    ...more,
  })
  onTestFinished(() => app.close())
  const post = (body: unknown, id: number | string = probe) =>
    app.inject({ method: 'POST', url: `/api/probes/${id}/readings`, payload: body as object })
  return { app, db, probe, post, intake }
}

test('many readings, or one without brackets, are answered with a receipt', async () => {
  const { post } = await appOn()
  const many = await post([
    { at: T0, tempC: 20.5, rhPct: 71 },
    { at: T0 + 300_000, tempC: 20.6 },
  ])
  expect([many.statusCode, many.json()]).toEqual([200, { stored: 2, repeated: 0, filled: 0, differs: [], refused: [] }])
  const one = await post({ at: T0, tempC: 21 })
  expect(one.json()).toEqual({
    stored: 0,
    repeated: 0,
    filled: 0,
    differs: [{ row: 0, at: T0, quantity: 'tempC', kept: 20.5, offered: 21 }],
    refused: [],
  })
})

test('readings that cannot be are refused one by one, with reason and fix, and the others are stored', async () => {
  const { post } = await appOn()
  const answer = await post([{ at: T0, tempC: 20 }, { at: 5, tempC: 20 }, { at: T0 + 1 }, { at: T0 + 2, rhPct: 700 }])
  expect(answer.statusCode).toBe(200)
  const { stored, refused } = answer.json()
  expect(stored).toBe(1)
  expect(refused.map((r: { row: number; value: number | null }) => [r.row, r.value])).toEqual([
    [1, 5],
    [2, null],
    [3, 700],
  ])
  for (const { reason, fix } of refused) expect([reason, fix].every((text) => /\.$/.test(text))).toBe(true)
})

test.each([
  ['null where a number belongs', [{ at: T0, tempC: null }], 'BAD_REQUEST', 'body/0/tempC'],
  [
    'a number in quotes',
    [
      { at: T0, tempC: 20 },
      { at: T0, tempC: '20' },
    ],
    'BAD_REQUEST',
    'body/1/tempC',
  ],
  ['a field it does not know', [{ at: T0, temperature: 20 }], 'BAD_REQUEST', 'body/0'],
  ['no instant', [{ tempC: 20 }], 'BAD_REQUEST', 'body/0'],
  ['an empty list', [], 'BAD_REQUEST', 'body'],
  ['too many', Array.from({ length: 10_001 }, () => ({ at: T0, tempC: 20 })), 'BAD_REQUEST', 'body'],
])('%s is refused whole, and the place is named', async (_, body, code, where) => {
  const { post, db } = await appOn()
  const answer = await post(body)
  expect(answer.statusCode).toBe(400)
  expect(answer.json()).toMatchObject({ code, where })
  expect(Object.keys(answer.json()).sort()).toEqual(['code', 'hint', 'message', 'where'])
  expect(db.raw.prepare('select count(*) n from readings').get()).toEqual({ n: 0 })
})

test('an unknown probe, a malformed number, another address and a broken body each have a code of their own', async () => {
  const { app, post } = await appOn()
  expect((await post([{ at: T0, tempC: 20 }], 999)).json()).toMatchObject({
    code: 'UNKNOWN_PROBE',
    message: 'There is no probe 999.',
  })
  expect((await post([{ at: T0, tempC: 20 }], '1e3')).json()).toMatchObject({ code: 'BAD_REQUEST', where: 'params/id' })
  expect((await app.inject('/nothing/here')).json()).toMatchObject({ code: 'NOT_FOUND' })
  const url = '/api/probes/1/readings'
  const send = (payload: string, type: string) =>
    app.inject({ method: 'POST', url, payload, headers: { 'content-type': type } })
  expect((await send('{"at": 1,', 'application/json')).json()).toMatchObject({ code: 'BAD_JSON' })
  expect((await send('at=1', 'application/x-www-form-urlencoded')).json()).toMatchObject({ code: 'NOT_JSON' })
  expect((await send('at=1', 'text/plain')).statusCode).toBe(415)
  const huge = await send(`[${'{"at":1,"tempC":20},'.repeat(300_000)}{"at":1}]`, 'application/json')
  expect(huge.json()).toMatchObject({ code: 'TOO_LARGE' })
})

test.each([
  [new StoreError('disk full', 'The disk is full.', 'Free some space.'), 507, 'DISK_FULL', 'The disk is full.'],
  [new StoreError('busy', 'Locked.', 'Close the other program.'), 503, 'BUSY', 'Locked.'],
  [new Error('secret at /home/somebody'), 500, 'UNEXPECTED', 'Something went wrong in the program.'],
])(
  'trouble of the store is answered as %s, and what nobody foresaw keeps its text to the log',
  async (error, status, code, message) => {
    const receive = async () => {
      throw error
    }
    const { post } = await appOn({ intake: { receive } })
    const answer = await post([{ at: T0, tempC: 20 }])
    expect([answer.statusCode, answer.json().code, answer.json().message]).toEqual([status, code, message])
  },
)

test('health is ok, or says what is wrong', async () => {
  const { app } = await appOn()
  expect((await app.inject('/healthz')).json()).toEqual({ status: 'ok' })
  const ill = await appOn({ health: async () => ['The database cannot be read.'] })
  const answer = await ill.app.inject('/healthz')
  expect([answer.statusCode, answer.json().code, answer.json().message]).toEqual([
    503,
    'NOT_READY',
    'The database cannot be read.',
  ])
  // Through a proxy a stranger could ask: paths and addresses are not for them.
  const afar = await ill.app.inject({ url: '/healthz', headers: { 'x-forwarded-for': '203.0.113.9' } })
  expect([afar.statusCode, afar.json().message]).toEqual([503, 'Something keeps the service from its work.'])
})

test('where nobody signs in, only this machine is let in, and no page of another', async () => {
  const { app } = await appOn()
  const codeOf = async (headers: Record<string, string>, method: 'GET' | 'POST' = 'GET') =>
    (await app.inject({ method, url: '/api/houses/none/findings', headers })).json().code
  expect(await codeOf({})).toBe('UNKNOWN_HOUSE')
  for (const header of ['x-forwarded-for', 'forwarded', 'x-real-ip', 'via']) {
    expect(await codeOf({ [header]: '127.0.0.1' }), header).toBe('NOT_SIGNED_IN')
  }
  const from = (origin: string) =>
    app.inject({ method: 'POST', url: '/api/probes/1/readings', payload: [], headers: { origin } })
  expect((await from('https://pages.example')).json().code).toBe('WRONG_HOST')
  expect((await from('http://127.0.0.1:8484')).json().code).not.toBe('WRONG_HOST')
})

test('the service does not start while a route says nothing of who may call it', async () => {
  const open = Fastify()
  await open.register(cookie)
  guardRoutes(open, { kind: 'open on this machine' }, async () => undefined)
  open.get('/declared', { config: { access: ANYONE } }, async () => 'yes')
  open.get('/forgotten', async () => 'no')
  await expect(open.ready()).rejects.toThrow(/GET \/forgotten/)
})

test('an import and its receipt can be fetched, and one that is not there says so', async () => {
  const { app, db, probe, intake } = await appOn()
  const id = await addImport(db, { houseId: null, fileName: 'a.csv', fileBytes: 10, startedAt: T0 })
  const columns = { at: Float64Array.of(T0, T0 + 1), tempC: Float64Array.of(20, 200) }
  await intake.receiveImported(id, [{ probeId: probe, columns, lines: Uint32Array.of(2, 3) }], [])
  expect((await app.inject(`/api/imports/${id}`)).json()).toMatchObject({ fileName: 'a.csv', stored: 1, refused: 1 })
  const receipt = await app.inject(`/api/imports/${id}/receipt.csv`)
  expect(receipt.headers['content-type']).toBe('text/csv; charset=utf-8')
  expect(receipt.headers['content-disposition']).toBe(`attachment; filename="receipt-${id}.csv"`)
  expect(receipt.body.split('\r\n')[1]).toMatch(/^3,refused,"air temperature is 200, expected -60 to 90 °C\."/)
  for (const url of ['/api/imports/99', '/api/imports/99/receipt.csv']) {
    expect((await app.inject(url)).json()).toMatchObject({ code: 'UNKNOWN_IMPORT', where: 'params/id' })
  }
})

test('a page that points its own host name at this machine gets nothing', async () => {
  const { app } = await appOn()
  const answer = await app.inject({ url: '/healthz', headers: { host: 'pages.example:8080' } })
  expect([answer.statusCode, answer.json().code]).toEqual([403, 'WRONG_HOST'])
})

test('every code has a status of failure and says what it means', () => {
  for (const [code, { status, means }] of Object.entries(CODES)) {
    expect(code).toMatch(/^[A-Z_]+$/)
    expect(status).toBeGreaterThanOrEqual(400)
    expect(means.length).toBeGreaterThan(10)
  }
})
