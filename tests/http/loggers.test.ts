/** Loggers over HTTP, from enrolling to retiring: each answer, and each refusal with its code and field. */
import { createHash } from 'node:crypto'
import { readFile } from 'node:fs/promises'
import { join } from 'node:path'
import { expect, test } from 'vitest'
import type { ServiceParts } from '../../server/cli/runService.ts'
import { photosFolder } from '../../server/files/photos.ts'
import type { EnrolledAnswer, Logger } from '../../server/http/contract/loggers.ts'
import { exportHouse } from '../../server/ingest/folder/exportHouse.ts'
import { refusedMessages } from '../../server/store/schema.ts'
import { scratchFolder } from '../support/database.ts'
import { filesForm, scratchService } from '../support/service.ts'
import { TEST_HOUSE } from '../support/studiedHouse.ts'

const NOW = Date.UTC(2026, 5, 1, 16, 30)
const HOUSE = { ...TEST_HOUSE, invented: false, loggers: [] }
const LOW = { house: HOUSE.key, probes: [{ probe: 'air', spot: 'crawl/low' }] }
const ENROLL = { key: 'lg-1', probes: ['air'], hasRadio: true, intervalS: 300 }

async function served(): Promise<ServiceParts> {
  const parts = await scratchService(() => NOW)
  expect((await ask(parts, 'POST', '/api/houses', { house: HOUSE })).statusCode).toBe(201)
  return parts
}

const ask = ({ app }: ServiceParts, method: 'GET' | 'POST' | 'PATCH' | 'DELETE', url: string, payload?: object) =>
  app.inject({ method, url, ...(payload && { payload }) })

async function enroll(parts: ServiceParts, more: object = {}): Promise<EnrolledAnswer['enrolled']> {
  const answer = await ask(parts, 'POST', '/api/loggers', { ...ENROLL, ...more })
  expect(answer.statusCode, answer.body).toBe(201)
  return answer.json().enrolled
}

test('enrolled, found by key, code and house, renamed, placed, picked up, swapped and retired', async () => {
  const parts = await served()
  const [one] = await enroll(parts, { house: HOUSE.key })
  expect(one).toMatchObject({
    secret: expect.stringMatching(/^[0-9a-f]{32}$/),
    logger: { key: 'lg-1', standing: 'waiting', hasSecret: true, house: { key: HOUSE.key }, messages: 0, missing: 0 },
  })
  const [two] = await enroll(parts, { key: 'lg-2', hasRadio: false })
  expect(two).toMatchObject({ secret: null, logger: { standing: 'read out', house: null } })
  const keysOf = async (url: string) => (await ask(parts, 'GET', url)).json().loggers.map(({ key }: Logger) => key)
  expect(await keysOf('/api/loggers')).toEqual(['lg-1', 'lg-2'])
  expect(await keysOf(`/api/loggers?house=${HOUSE.key}`)).toEqual(['lg-1'])
  expect((await ask(parts, 'GET', `/api/loggers/${one!.logger.code}`)).json().key).toBe('lg-1')

  const logger = async (method: 'POST' | 'PATCH' | 'DELETE', rest: string, body?: object): Promise<Logger> => {
    const answer = await ask(parts, method, `/api/loggers/lg-1${rest}`, body)
    expect(answer.statusCode, answer.body).toBe(200)
    return answer.json()
  }
  expect(await logger('PATCH', '', { name: 'Blue box', intervalS: 600 })).toMatchObject({
    name: 'Blue box',
    intervalS: 600,
  })
  expect((await logger('PATCH', '', { name: null })).name).toBeNull()
  const placed = await logger('POST', '/place', { ...LOW, at: '2026-06-01T09:00' })
  expect(placed.probes[0]!.placed).toEqual({
    house: HOUSE.key,
    houseName: HOUSE.name,
    spot: 'crawl/low',
    spotName: 'Low corner',
    since: Date.UTC(2026, 5, 1, 13),
  })
  const swapped = await ask(parts, 'POST', '/api/loggers/lg-1/swap', { with: 'lg-2', at: '2026-06-01T10:00' })
  expect(swapped.json().loggers.map(({ probes }: Logger) => probes[0]!.placed?.spot ?? null)).toEqual([
    null,
    'crawl/low',
  ])
  expect((await ask(parts, 'POST', '/api/loggers/lg-2/pick-up', {})).json().probes[0].placed).toBeNull()
  expect((await logger('DELETE', '/secret')).hasSecret).toBe(false)
  const renewed = (await ask(parts, 'POST', '/api/loggers/lg-1/secret')).json()
  expect(renewed.secret).not.toBe(one!.secret)
  expect(await logger('POST', '/retire', { why: 'lost' })).toMatchObject({
    standing: 'retired',
    hasSecret: false,
    retiredAt: NOW,
  })
})

const REFUSALS = [
  ['GET', '/api/loggers/nobody', undefined, 404, 'UNKNOWN_LOGGER', 'params/key'],
  ['GET', '/api/loggers?house=nowhere', undefined, 404, 'UNKNOWN_HOUSE', 'querystring/house'],
  ['POST', '/api/loggers', { ...ENROLL, house: 'nowhere', key: 'x' }, 404, 'UNKNOWN_HOUSE', 'body/house'],
  ['POST', '/api/loggers', ENROLL, 409, 'LOGGER_TAKEN', 'body/key'],
  ['POST', '/api/loggers', { ...ENROLL, probes: [] }, 400, 'BAD_REQUEST', 'body/probes'],
  ['PATCH', '/api/loggers/nobody', { name: 'x' }, 404, 'UNKNOWN_LOGGER', 'params/key'],
  ['POST', '/api/loggers/nobody/secret', undefined, 404, 'UNKNOWN_LOGGER', 'params/key'],
  ['DELETE', '/api/loggers/nobody/secret', undefined, 404, 'UNKNOWN_LOGGER', 'params/key'],
  ['POST', '/api/loggers/lg-1/place', { ...LOW, house: 'nowhere' }, 422, 'BAD_PLACEMENT', 'body/house'],
  [
    'POST',
    '/api/loggers/lg-1/place',
    { ...LOW, probes: [{ probe: 'air', spot: 'crawl/no' }] },
    422,
    'BAD_PLACEMENT',
    'body/probes/0/spot',
  ],
  ['POST', '/api/loggers/lg-1/place', { ...LOW, at: '2026-06-02T09:00' }, 422, 'BAD_PLACEMENT', 'body/at'],
  ['POST', '/api/loggers/lg-1/place', { ...LOW, at: '9:00' }, 400, 'BAD_REQUEST', 'body/at'],
  ['POST', '/api/loggers/lg-1/pick-up', {}, 422, 'BAD_PLACEMENT', 'params/key'],
  ['POST', '/api/loggers/lg-1/swap', { with: 'nobody' }, 422, 'BAD_PLACEMENT', 'body/with'],
  ['POST', '/api/loggers/gone/place', LOW, 409, 'LOGGER_RETIRED', 'params/key'],
  ['POST', '/api/loggers/gone/secret', undefined, 409, 'LOGGER_RETIRED', 'params/key'],
  ['POST', '/api/houses/nowhere/visit', { step: 'in' }, 404, 'UNKNOWN_HOUSE', 'params/id'],
  ['POST', `/api/houses/${HOUSE.key}/visit`, { step: 'out' }, 409, 'NOT_INSIDE', 'body/step'],
  ['DELETE', '/api/refused-messages/7', undefined, 404, 'UNKNOWN_MESSAGE', 'params/id'],
  ['GET', `/api/photos/${'a'.repeat(64)}`, undefined, 404, 'UNKNOWN_PHOTO', 'params/hash'],
] as const

test('every refusal has its code, its field and a sentence', async () => {
  const parts = await served()
  await enroll(parts)
  await enroll(parts, { key: 'gone' })
  await ask(parts, 'POST', '/api/loggers/gone/retire', {})
  for (const [method, url, body, status, code, where] of REFUSALS) {
    const answer = await ask(parts, method, url, body)
    expect([answer.statusCode, answer.json().code, answer.json().where], `${method} ${url}`).toEqual([
      status,
      code,
      where,
    ])
    expect(answer.json().message).toMatch(/\.$/)
  }
})

test('in and out of a house with one tap each', async () => {
  const parts = await served()
  const visit = async (method: 'GET' | 'POST', body?: object) =>
    (await ask(parts, method, `/api/houses/${HOUSE.key}/visit`, body)).json()
  expect(await visit('GET')).toEqual({ insideSince: null })
  expect(await visit('POST', { step: 'in' })).toEqual({ insideSince: NOW })
  expect(await visit('GET')).toEqual({ insideSince: NOW })
  expect(await visit('POST', { step: 'out', note: 'pump works' })).toEqual({ insideSince: null })
})

test('refused messages are shown newest first, with bytes that are no text as dots, until somebody has looked', async () => {
  const parts = await served()
  const row = { loggerKey: '', reason: 'malformed' as const, count: 3, firstAt: NOW, topic: 'underjoist/x/readings' }
  const rest = { payloadBytes: 9, problem: 'It is no JSON.', fix: 'Send JSON.' }
  parts.db.orm
    .insert(refusedMessages)
    .values({ ...row, ...rest, lastAt: NOW, payload: Buffer.from('{"a":\xff\u0000é', 'latin1') })
    .run()
  parts.db.orm
    .insert(refusedMessages)
    .values({ ...row, ...rest, loggerKey: 'lg-1', lastAt: NOW + 1, payload: Buffer.from('é') })
    .run()
  const list = async () => (await ask(parts, 'GET', '/api/refused-messages')).json().refused
  const [first, second] = await list()
  expect([first.logger, first.payload, second.logger, second.payload]).toEqual(['lg-1', 'é', '', '{"a":···'])
  expect((await ask(parts, 'DELETE', `/api/refused-messages/${first.id}`)).statusCode).toBe(204)
  expect(await list()).toEqual([second])
})

test('without a broker the intake says so', async () => {
  const parts = await served()
  expect((await ask(parts, 'GET', '/api/intake')).json()).toMatchObject({
    broker: { kind: 'none', state: 'off', address: '', problem: null },
    paused: null,
    waitingMessages: 0,
    silentHouses: [],
    notes: [expect.stringMatching(/No broker/)],
  })
})

/** The smallest JPEG start; what follows does not matter to a store of bytes. */
const JPEG = Buffer.concat([Buffer.from([0xff, 0xd8, 0xff, 0xe0]), Buffer.alloc(3000, 7)])

test('a photo of a placed logger is kept by its hash, told of in the house, given out and exported', async () => {
  const parts = await served()
  await enroll(parts)
  const send = (bytes: Buffer) =>
    parts.app.inject({ method: 'POST', url: '/api/loggers/lg-1/photo', ...filesForm([{ name: 'x.txt', bytes }]) })
  expect((await send(JPEG)).json()).toMatchObject({ code: 'BAD_PLACEMENT', where: 'params/key' })
  await ask(parts, 'POST', '/api/loggers/lg-1/place', LOW)
  const kept = await send(JPEG)
  const hash = createHash('sha256').update(JPEG).digest('hex')
  expect([kept.statusCode, kept.json()]).toEqual([201, { hash }])
  await send(JPEG) // the same again is the same one
  const { house } = (await ask(parts, 'GET', `/api/houses/${HOUSE.key}`)).json()
  const caption = 'logger lg-1 at Low corner'
  expect(house.photos).toEqual([{ hash, mediaType: 'image/jpeg', takenAt: '2026-06-01T12:30', caption }])
  const given = await ask(parts, 'GET', `/api/photos/${hash}`)
  expect([given.headers['content-type'], given.rawPayload.equals(JPEG)]).toEqual(['image/jpeg', true])
  expect(photosFolder(parts.db.path)).toMatch(/\.db\.photos$/)
  const folder = join(scratchFolder(), 'exported')
  await exportHouse(parts.db, HOUSE.key, folder)
  expect((await readFile(join(folder, 'photos', hash))).equals(JPEG)).toBe(true)
})

test.each([
  ['no picture', Buffer.from('GIF89a, or a page with scripts'), 422, 'BAD_PHOTO'],
  ['nothing', Buffer.alloc(0), 422, 'BAD_PHOTO'],
  ['a picture too large', Buffer.concat([JPEG, Buffer.alloc(8 * 1024 * 1024)]), 413, 'TOO_LARGE'],
])('%s is refused as a photo', async (_, bytes, status, code) => {
  const parts = await served()
  await enroll(parts)
  await ask(parts, 'POST', '/api/loggers/lg-1/place', LOW)
  const form = filesForm([{ name: 'x.jpg', bytes }])
  const answer = await parts.app.inject({ method: 'POST', url: '/api/loggers/lg-1/photo', ...form })
  expect([answer.statusCode, answer.json().code]).toEqual([status, code])
  const notForm = await ask(parts, 'POST', '/api/loggers/lg-1/photo', {})
  expect(notForm.json().code).toBe('NOT_A_FORM')
})
