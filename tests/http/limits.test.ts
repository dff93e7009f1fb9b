/** What costs much is counted by address; a request that does not come to an end is let go. */
import { createConnection } from 'node:net'
import { setTimeout as wait } from 'node:timers/promises'
import { expect, onTestFinished, test } from 'vitest'
import { type AppDeps, buildApp } from '../../server/http/app.ts'
import { FETCHES, FITS } from '../../server/http/costly.ts'
import { type Allowance, createCounts } from '../../server/people/counts.ts'
import { scratchService } from '../support/service.ts'

const KIND: Allowance = { kind: 'test', atOnce: 3, perMinute: 6 }

test('so many at once, then so many a minute, each address and kind for itself', () => {
  let now = 5_000_000
  const counts = createCounts(() => now)
  expect([1, 2, 3, 4].map(() => counts.take('a', KIND))).toEqual([0, 0, 0, 10])
  expect(counts.take('b', KIND)).toBe(0)
  expect(counts.take('a', { ...KIND, kind: 'another' })).toBe(0)
  now += 9_000
  expect(counts.take('a', KIND)).toBe(1)
  now += 1_000
  expect([counts.take('a', KIND), counts.take('a', KIND)]).toEqual([0, 10])
  now += 3_600_000 // rested: as much as at first, and no more
  expect([1, 2, 3, 4].map(() => counts.take('a', KIND))).toEqual([0, 0, 0, 10])
})

test('asking too early again and again does not put the turn off', () => {
  let now = 0
  const counts = createCounts(() => now)
  for (let i = 0; i < 3; i++) counts.take('a', KIND)
  for (now = 100; now < 10_000; now += 100) expect(counts.take('a', KIND)).toBeGreaterThan(0)
  now = 10_010
  expect(counts.take('a', KIND)).toBe(0)
})

test('however many addresses ask, the memory of them stays bounded, and the latest are remembered', () => {
  const counts = createCounts(() => 0, 100)
  for (let i = 0; i < 5_000; i++) counts.take(`10.0.${i >> 8}.${i & 255}`, { ...KIND, atOnce: 1 })
  expect(counts.size()).toBe(100)
  expect(counts.take(`10.0.${4_999 >> 8}.${4_999 & 255}`, { ...KIND, atOnce: 1 })).toBeGreaterThan(0)
})

test('the service answers 429 with a sentence and the seconds to wait, then goes on', async () => {
  let now = 0
  const { app } = await scratchService(Date.now, () => now)
  const ask = () => app.inject({ method: 'POST', url: '/api/stations/none/fetch' })
  for (let i = 0; i < FETCHES.atOnce; i++) expect((await ask()).json().code).toBe('UNKNOWN_STATION')
  const refused = await ask()
  expect([refused.statusCode, refused.headers['retry-after']]).toEqual([429, '5'])
  expect(refused.json()).toEqual({
    code: 'TOO_MANY',
    message: 'Too many fetches were asked for from 127.0.0.1.',
    hint: 'Ask again in 5 seconds.',
    where: null,
  })
  expect((await app.inject('/api/stations')).statusCode).toBe(200)
  expect((await app.inject({ method: 'POST', url: '/api/houses/none/balance' })).statusCode).toBe(404)
  now += 5_000
  expect((await ask()).json().code).toBe('UNKNOWN_STATION')
})

test('every route that costs much is counted', async () => {
  const { app } = await scratchService(Date.now, () => 0)
  const costly = [
    '/api/houses/none/balance',
    '/api/houses/none/whatif',
    '/api/houses/none/files',
    '/api/houses/none/files/0/look',
    '/api/houses/none/files/0/store',
    '/api/loggers/none/photo',
    '/api/stations/look',
    '/api/stations/none/fetch',
    '/api/stations/none/backfill',
  ]
  for (const url of costly) {
    let last = await app.inject({ method: 'POST', url })
    for (let i = 0; i < 300 && last.statusCode !== 429; i++) last = await app.inject({ method: 'POST', url })
    expect([last.statusCode, last.json().code], url).toEqual([429, 'TOO_MANY'])
  }
  expect(FITS.atOnce).toBeLessThan(300)
})

test('a body that never ends, headers that never end, and silence each end the connection in time', async () => {
  const patience = { headersMs: 150, requestMs: 300, silentMs: 700, keepAliveMs: 200, lookMs: 50 }
  const deps = {
    door: { kind: 'open on this machine' },
    reach: async () => undefined,
    imports: {},
    intake: {},
    findings: async () => undefined,
    health: async () => [],
    patience,
  }
  const app = await buildApp(deps as unknown as AppDeps)
  onTestFinished(() => app.close())
  const { port } = new URL(await app.listen({ host: '127.0.0.1', port: 0 }))
  const post = 'POST /api/sizing HTTP/1.1\r\nhost: 127.0.0.1\r\ncontent-type: application/json\r\n'
  const endless = await drip(Number(port), `${post}transfer-encoding: chunked\r\n\r\n`, '1\r\n[\r\n')
  expect(endless).toMatch(/^HTTP\/1\.1 408 /)
  expect(JSON.parse(endless.split('\r\n\r\n')[1]!)).toMatchObject({ code: 'TOO_SLOW' })
  expect(await drip(Number(port), post, 'x-more: 1\r\n')).toMatch(/^HTTP\/1\.1 408 /)
  expect(await drip(Number(port), '', '')).not.toMatch(/ 200 /)
  expect((await app.inject('/healthz')).statusCode).toBe(200)
})

/** What comes back from a peer that sends a little now and then until it is hung up on. */
async function drip(port: number, first: string, more: string): Promise<string> {
  const socket = createConnection(port, '127.0.0.1')
  let text = ''
  let open = true
  socket.on('data', (chunk) => (text += chunk)).on('error', () => {})
  socket.on('close', () => (open = false))
  socket.write(first)
  const begunAt = performance.now()
  while (open) {
    if (performance.now() - begunAt > 20_000) throw new Error('The service never hung up.')
    await wait(40)
    if (more !== '' && socket.writable) socket.write(more)
  }
  return text
}
