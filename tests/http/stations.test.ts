/** Stations over HTTP: entered, their table looked at, fetched, their past filled in, given to houses. */
import { expect, test } from 'vitest'
import type { ServiceParts } from '../../server/cli/runService.ts'
import type { Station, StationLook } from '../../server/http/contract/stations.ts'
import { storeHouse } from '../../server/store/storeHouse.ts'
import { scratchService } from '../support/service.ts'
import { TEST_HOUSE } from '../support/studiedHouse.ts'
import { type WeatherServer, weatherServer, weatherTable } from '../support/weatherServer.ts'

const HOUR = 3_600_000
const NOW = Date.UTC(2026, 4, 20, 12)

async function bench(): Promise<ServiceParts & { server: WeatherServer; url: string; move: (to: number) => void }> {
  let clock = NOW
  const parts = await scratchService(() => clock)
  await storeHouse(parts.db, { ...TEST_HOUSE, loggers: [] }, { replace: false, now: NOW, who: 'a test' })
  const server = await weatherServer((_, response) => void response.end(weatherTable(NOW - 24 * HOUR, 24)))
  return { ...parts, server, url: `${server.origin}/x?key=hush&from={from}`, move: (to) => (clock = to) }
}

const asked = async (
  parts: ServiceParts,
  method: 'GET' | 'POST' | 'PUT' | 'DELETE',
  path: string,
  payload?: object,
) => {
  const answer = await parts.app.inject({ method, url: `/api/stations${path}`, ...(payload && { payload }) })
  return { status: answer.statusCode, body: answer.body === '' ? null : answer.json(), text: answer.body }
}

async function entered(parts: Awaited<ReturnType<typeof bench>>, more: object = {}): Promise<Station> {
  const looked = await asked(parts, 'POST', '/look', { url: parts.url, timeZone: 'America/New_York', answers: {} })
  expect(looked.status).toBe(200)
  const { settled, quantities } = looked.body as StationLook
  const station = {
    key: 'mill',
    name: 'Old mill',
    kind: 'https',
    url: parts.url,
    timeZone: 'America/New_York',
    answers: settled,
    quantities,
    ...more,
  }
  const answer = await asked(parts, 'POST', '', station)
  expect(answer.status).toBe(201)
  return answer.body as Station
}

test('a table is looked at before anything is stored, again with answers without asking its service again', async () => {
  const parts = await bench()
  parts.server.answer = (_, response) =>
    void response.end('date;time;temp;rh %\n03/05/2026;10:00;48;60\n03/05/2026;11:00;49;61\n03/05/2026;12:00;50;62\n')
  const first = (await asked(parts, 'POST', '/look', { url: parts.url, timeZone: 'UTC', answers: {} }))
    .body as StationLook
  expect(first.head[1]!.text).toBe('03/05/2026;10:00;48;60')
  expect(first.open.join(' ')).toMatch(/day or the month first.*temp is read as/)
  const answers = { dateOrder: 'dmy', columnUnits: { temp: '°F' } }
  const again = await asked(parts, 'POST', '/look', { url: parts.url, timeZone: 'UTC', answers, file: first.file })
  expect(again.body).toMatchObject({
    file: first.file,
    open: [],
    settled: { dateOrder: 'dmy', columnUnits: { temp: '°F' } },
  })
  expect(parts.server.asked).toHaveLength(1)
  expect(parts.db.raw.prepare('select count(*) from readings').pluck().get()).toBe(0)
})

test('what a look is certain of by the values is settled by storing the station, also after its layout changed', async () => {
  const parts = await bench()
  await entered(parts)
  parts.server.answer = (_, response) =>
    void response.end('time,temp,rh\n2026-05-20T09:00Z,71,50\n2026-05-20T10:00Z,72,51\n2026-05-20T11:00Z,73,52\n')
  const { url } = (await asked(parts, 'GET', '/mill')).body as Station
  const waits = await asked(parts, 'POST', '/mill/fetch')
  expect(waits.body.sentence).toMatch(/temp is new.*no longer says which column is its rain/)
  const looked = await asked(parts, 'POST', '/look', { url, key: 'mill', timeZone: 'America/New_York', answers: {} })
  expect(looked.body).toMatchObject({
    open: [],
    quantities: ['tempC', 'rhPct'],
    settled: { columnUnits: { temp: '°F' } },
  })
  const { settled: answers, quantities } = looked.body as StationLook
  await asked(parts, 'PUT', '/mill', { name: 'Mill', kind: 'https', url, answers, quantities })
  expect((await asked(parts, 'POST', '/mill/fetch')).body).toMatchObject({ state: 'stored', station: { quantities } })
})

test('a station is entered, fetched, and fetched again, and its secret is never shown', async () => {
  const parts = await bench()
  const station = await entered(parts)
  expect(station).toMatchObject({
    url: `${parts.server.origin}/x?key=…&from={from}`,
    asksForSpan: true,
    stale: true,
    last: null,
    fetch: { triedAt: null, problem: null, nextAt: NOW },
  })
  const fetched = await asked(parts, 'POST', '/mill/fetch')
  expect(fetched.body).toMatchObject({
    state: 'stored',
    sentence: '24 readings stored, 0 were there already.',
    station: {
      stale: false,
      quantities: ['tempC', 'rhPct', 'rainMm'],
      last: { at: NOW - HOUR, tempC: 23.3, rhPct: 63, rainMm: 1.6, dewPointC: expect.closeTo(15.9, 1) },
      fetch: { okAt: NOW, problem: null, needsAnswer: false, nextAt: NOW + HOUR },
    },
  })
  expect((await asked(parts, 'POST', '/mill/fetch')).body.sentence).toBe('0 readings stored, 24 were there already.')
  expect(parts.server.asked.at(-1)!.url).toContain('key=hush')
  expect((await asked(parts, 'GET', '')).text).not.toContain('hush')
})

test('after six hours without a reading it is stale; one that is brought in as files never is', async () => {
  const parts = await bench()
  await entered(parts)
  await asked(parts, 'POST', '', { key: 'by-hand', name: 'By hand', kind: 'file' })
  await asked(parts, 'POST', '/mill/fetch')
  const stale = async () =>
    ((await asked(parts, 'GET', '')).body.stations as Station[]).map(({ key, stale }) => [key, stale])
  parts.move(NOW + 5 * HOUR)
  expect(await stale()).toEqual([
    ['by-hand', false],
    ['mill', false],
  ])
  parts.move(NOW + 5 * HOUR + 1)
  expect((await asked(parts, 'GET', '')).body.staleAfterH).toBe(6)
  expect(await stale()).toEqual([
    ['by-hand', false],
    ['mill', true],
  ])
})

test('its address comes back hidden and stays; a hidden one that was edited is refused', async () => {
  const parts = await bench()
  const { url } = await entered(parts)
  const change = { name: 'Mill', kind: 'https', url }
  expect((await asked(parts, 'PUT', '/mill', change)).status).toBe(200)
  await asked(parts, 'POST', '/mill/fetch')
  expect(parts.server.asked.at(-1)!.url).toContain('key=hush')
  const edited = await asked(parts, 'PUT', '/mill', { ...change, url: `${url}&more=1` })
  expect(edited).toMatchObject({ status: 422, body: { code: 'BAD_STATION', message: expect.stringContaining('anew') } })
  const look = await asked(parts, 'POST', '/look', { url, key: 'mill', timeZone: 'UTC', answers: {} })
  expect(look.status).toBe(200)
  expect(parts.server.asked.at(-1)!.url).toContain('key=hush')
})

test('a changed layout waits for an answer, and says so', async () => {
  const parts = await bench()
  await entered(parts)
  parts.server.answer = (_, response) => void response.end('time,temp\n2026-05-20T10:00Z,40\n2026-05-20T11:00Z,41\n')
  const { body } = await asked(parts, 'POST', '/mill/fetch')
  expect(body).toMatchObject({
    state: 'needs an answer',
    station: { fetch: { needsAnswer: true, failures: 1, nextAt: NOW + HOUR / 12 } },
  })
  expect(body.sentence).toContain('temp')
  expect(parts.db.raw.prepare('select count(*) from readings').pluck().get()).toBe(0)
})

test('a house takes it and gives it back; in use it is not removed', async () => {
  const parts = await bench()
  await entered(parts)
  expect((await asked(parts, 'PUT', '/mill/houses/test-house')).body.houses).toHaveLength(1)
  const { house } = (await parts.app.inject('/api/houses/test-house')).json()
  expect(house.stations).toMatchObject([{ key: 'mill', kind: 'https' }])
  expect(await asked(parts, 'DELETE', '/mill')).toMatchObject({ status: 409, body: { code: 'STATION_IN_USE' } })
  expect((await asked(parts, 'DELETE', '/mill/houses/test-house')).body.houses).toEqual([])
  expect((await asked(parts, 'DELETE', '/mill')).status).toBe(204)
  expect((await asked(parts, 'GET', '/mill')).body.code).toBe('UNKNOWN_STATION')
  expect((await parts.app.inject('/api/houses/test-house/history')).json().entries[0].what).toContain('no longer uses')
})

test('the past is fetched by the schedule once it runs', async () => {
  const parts = await bench()
  await entered(parts, { everyMin: null })
  const begun = await asked(parts, 'POST', '/mill/backfill', { from: '2026-04-25' })
  expect(begun).toMatchObject({ status: 202, body: { backfill: { from: '2026-04-25', state: 'running' } } })
  parts.background.stationSchedule.start()
  await expect
    .poll(async () => (await asked(parts, 'GET', '/mill')).body.backfill)
    .toMatchObject({ state: 'done', stored: 24 })
  const later = await asked(parts, 'POST', '/mill/backfill', { from: '2026-06-01' })
  expect(later.body.message).toContain('not in the past')
  await asked(parts, 'PUT', '/mill', { name: 'Mill', kind: 'https', url: parts.server.origin })
  expect((await asked(parts, 'POST', '/mill/backfill', { from: '2026-04-25' })).body.message).toContain('{from}')
})

test.each([
  [{ kind: 'https' }, 'Enter the address'],
  [{ kind: 'https', url: 'http://weather.example/x' }, 'anyone on the way'],
  [{ kind: 'https', url: 'https://weather.example/{day}' }, 'There is no {day}'],
  [{ kind: 'https', url: 'https://weather.example/x', timeZone: 'Mars/North' }, 'no time zone'],
  [{ kind: 'mqtt' }, 'Name the probe'],
  [{ kind: 'mqtt', probe: 'gate-7/air' }, 'no probe "gate-7/air"'],
  [{ kind: 'file', probe: 'gate-7/air' }, 'leave the probe out'],
])('%j is refused: %s', async (given, why) => {
  const parts = await bench()
  const answer = await asked(parts, 'POST', '', { key: 'x', name: 'X', ...given })
  expect(answer).toMatchObject({ status: 422, body: { code: 'BAD_STATION', message: expect.stringContaining(why) } })
})

test('other faults are answered by their codes', async () => {
  const parts = await bench()
  await entered(parts)
  const code = async (...call: [method: 'GET' | 'POST' | 'PUT' | 'DELETE', path: string, payload?: object]) =>
    (await asked(parts, ...call)).body.code
  expect(await code('POST', '', { key: 'mill', name: 'X', kind: 'file' })).toBe('KEY_TAKEN')
  expect(await code('POST', '', { key: 'Mill!', name: 'X', kind: 'file' })).toBe('BAD_REQUEST')
  expect(await code('PUT', '/none', { name: 'X', kind: 'file' })).toBe('UNKNOWN_STATION')
  expect(await code('POST', '/none/fetch')).toBe('UNKNOWN_STATION')
  expect(await code('PUT', '/mill/houses/none')).toBe('UNKNOWN_HOUSE')
  parts.server.answer = (_, response) => void response.writeHead(401).end()
  const refused = await asked(parts, 'POST', '/look', { url: parts.url, timeZone: 'UTC', answers: {} })
  expect(refused).toMatchObject({ status: 502, body: { code: 'NOT_FETCHED' } })
  expect(refused.text).not.toContain('hush')
  expect(
    (await asked(parts, 'POST', '/look', { url: 'https://192.168.0.1/x', timeZone: 'UTC', answers: {} })).body.message,
  ).toContain('private network')
})
