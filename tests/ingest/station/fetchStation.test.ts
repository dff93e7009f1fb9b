/** A station's table from a real server through the real gate into a real database. */
import { expect, test } from 'vitest'
import type { Answers } from '../../../server/ingest/csv/understanding.ts'
import { lookAtSource } from '../../../server/ingest/import.ts'
import { createIntake } from '../../../server/ingest/intake.ts'
import {
  fetchStation,
  NEEDS_ANSWER,
  type StationFetchDeps,
  sourceOf,
} from '../../../server/ingest/station/fetchStation.ts'
import { fetchText } from '../../../server/ingest/station/fetchText.ts'
import { openPoints, settledAnswers } from '../../../server/ingest/station/mapping.ts'
import type { Database } from '../../../server/store/open.ts'
import { noteFetch } from '../../../server/store/stationFetches.ts'
import { addStation, findStation, type StationConfig } from '../../../server/store/stations.ts'
import { scratchDatabase } from '../../support/database.ts'
import { weatherServer, weatherTable } from '../../support/weatherServer.ts'

const HOUR = 3_600_000
const NOW = Date.UTC(2026, 4, 20, 12)
const SPAN = { from: NOW - 48 * HOUR, to: NOW }

function bench(): { db: Database; deps: StationFetchDeps } {
  const db = scratchDatabase()
  return { db, deps: { db, intake: createIntake(db, { now: () => NOW }), now: () => NOW, fetchText } }
}

async function station(db: Database, config: Partial<StationConfig>) {
  await addStation(db, { key: 'mill', name: 'Mill', kind: 'https', quantities: [], config })
  return (await findStation(db, 'mill'))!
}

/** Answers as the page stores them after a look. */
async function settled(
  db: Database,
  text: string,
  answers: Answers = {},
  timeZone = 'America/New_York',
): Promise<Answers> {
  const looked = await lookAtSource({ db, now: () => NOW }, sourceOf('w.csv', Buffer.from(text)), { timeZone, answers })
  if (!looked.look.ok) throw new Error(looked.look.refusal.message)
  return settledAnswers(looked.look, looked.answers)
}

const rowsOf = (db: Database) =>
  db.raw.prepare('select at, temp_c as temp, rh_pct as rh, rain_mm as rain from readings order by at').all() as {
    at: number
    temp: number
    rh: number
    rain: number
  }[]

test('a table that says everything is stored; the same rows again count as there already', async () => {
  const { db, deps } = bench()
  const server = await weatherServer((_, response) => void response.end(weatherTable(SPAN.from, 48)))
  const mill = await station(db, { url: `${server.origin}/x?from={from}&to={to}`, timeZone: 'America/New_York' })
  const answers = await settled(db, weatherTable(SPAN.from, 48))
  const ready = { ...mill, config: { ...mill.config, answers: answers as Record<string, unknown> } }
  const first = await fetchStation(deps, ready, SPAN, { again: false })
  expect(first).toEqual({
    state: 'stored',
    stored: 48,
    repeated: 0,
    filled: 0,
    differs: 0,
    refused: 0,
    newestAt: SPAN.from + 47 * HOUR,
    quantities: ['tempC', 'rhPct', 'rainMm'],
    tag: null,
  })
  expect(server.asked[0]!.url).toBe('/x?from=2026-05-18&to=2026-05-20')
  expect(rowsOf(db)[0]).toEqual({ at: SPAN.from, temp: 2100, rh: 6000, rain: 400 })
  expect(await fetchStation(deps, ready, SPAN, { again: false })).toMatchObject({ stored: 0, repeated: 48, differs: 0 })
  server.answer = (_, response) => void response.end(weatherTable(SPAN.from, 48, { tempC: 25 }))
  expect(await fetchStation(deps, ready, SPAN, { again: false })).toMatchObject({ stored: 0, differs: 48 })
  expect(rowsOf(db)).toHaveLength(48)
})

test('what has not changed is not sent again, and a tag is never used for another span', async () => {
  const { db, deps } = bench()
  const server = await weatherServer((request, response) => {
    if (request.headers['if-none-match'] === '"v1"') response.writeHead(304).end()
    else response.writeHead(200, { etag: '"v1"' }).end(weatherTable(SPAN.from, 24))
  })
  const mill = await station(db, { url: `${server.origin}/x?from={from}` })
  const ready = {
    ...mill,
    config: { ...mill.config, answers: (await settled(db, weatherTable(SPAN.from, 24))) as Record<string, unknown> },
  }
  const first = await fetchStation(deps, ready, SPAN, { again: true })
  if (first.state !== 'stored') throw new Error('not stored')
  await noteFetch(db, mill.id, { at: NOW, ok: true, ...first })
  const next = { ...ready, fetch: (await findStation(db, 'mill'))!.fetch }
  expect(await fetchStation(deps, next, SPAN, { again: true })).toEqual({ state: 'unchanged' })
  const tomorrow = { from: SPAN.from + 24 * HOUR, to: SPAN.to + 24 * HOUR }
  expect(await fetchStation(deps, next, tomorrow, { again: true })).toMatchObject({ state: 'stored', repeated: 24 })
  expect(server.asked.map(({ headers }) => headers['if-none-match'])).toEqual([undefined, '"v1"', undefined])
})

// The header names no unit. 30 to 44 can be °F of a cold day; only the look at the whole summer settled that it is °F.
const unitless = (values: number[]) =>
  ['time,temp,rh', ...values.map((v, h) => `2026-05-18 ${String(h).padStart(2, '0')}:00,${v},70`), ''].join('\n')
const SUMMER = unitless([60, 70, 80, 88, 85, 75])
const WINTER = unitless([30, 34, 41, 44, 40, 33])

test('a unit that was settled once holds for a table whose own values would say another', async () => {
  const { db, deps } = bench()
  const server = await weatherServer((_, response) => void response.end(WINTER))
  const answers = await settled(db, SUMMER)
  expect(answers).toMatchObject({ columnUnits: { temp: '°F' }, timeZone: 'America/New_York' })
  const mill = await station(db, {
    url: server.origin,
    timeZone: 'America/New_York',
    answers: answers as Record<string, unknown>,
  })
  expect(await fetchStation(deps, mill, SPAN, { again: false })).toMatchObject({ state: 'stored', stored: 6 })
  expect(rowsOf(db)[0]).toMatchObject({ at: Date.UTC(2026, 4, 18, 4), temp: -111 }) // 30 °F, midnight in New York
})

test('nothing is guessed: without a person having looked, or with a column named otherwise, it waits and stores nothing', async () => {
  const { db, deps } = bench()
  const server = await weatherServer((_, response) => void response.end(WINTER))
  const mill = await station(db, { url: server.origin, timeZone: 'America/New_York' })
  const unseen = await fetchStation(deps, mill, SPAN, { again: false })
  expect(unseen).toMatchObject({ state: 'needs an answer' })
  const answers = (await settled(db, SUMMER)) as Record<string, unknown>
  server.answer = (_, response) => void response.end(WINTER.replace('time,temp,rh', 'time,temp outside,rh'))
  const renamed = await fetchStation(deps, { ...mill, config: { ...mill.config, answers } }, SPAN, { again: false })
  expect(renamed).toMatchObject({ state: 'needs an answer' })
  expect('problem' in renamed && renamed.problem).toContain(`${NEEDS_ANSWER}`)
  expect('problem' in renamed && renamed.problem).toContain('temp outside')
  expect(rowsOf(db)).toEqual([])
})

test('a column that nothing is taken for any more does not go missing in silence', async () => {
  const { db, deps } = bench()
  const table = weatherTable(SPAN.from, 24)
  const server = await weatherServer((_, response) => void response.end(table.replace('temperature °C', 'warmth')))
  const answers = (await settled(db, table)) as Record<string, unknown>
  const mill = { ...(await station(db, { url: server.origin, answers })), quantities: ['tempC', 'rhPct', 'rainMm'] }
  const renamed = await fetchStation(deps, mill, SPAN, { again: false })
  expect('problem' in renamed && renamed.problem).toMatch(/no longer says which column is its temperature/)
  server.answer = (_, response) => void response.end(weatherTable(SPAN.from, 24, { rain: false }))
  const rainless = await fetchStation(deps, mill, SPAN, { again: false })
  expect('problem' in rainless && rainless.problem).toMatch(/no longer says which column is its rain/)
  expect(rowsOf(db)).toEqual([])
  // A person said that the gauge is gone; and a column that is only empty for now is still there.
  const airOnly = { ...mill, quantities: ['tempC', 'rhPct'] }
  expect(await fetchStation(deps, airOnly, SPAN, { again: false })).toMatchObject({ state: 'stored', stored: 24 })
  server.answer = (_, response) => void response.end(table.replaceAll(/,0\.[04]$/gm, ','))
  expect(await fetchStation(deps, mill, SPAN, { again: false })).toMatchObject({ state: 'stored', repeated: 24 })
})

test('days that can be read with the day or the month first are asked once, and read so ever after', async () => {
  const { db, deps } = bench()
  const table = [
    'date;time;temp °C;rh %',
    '03/05/2026;10:00;18,1;60',
    '03/05/2026;11:00;18,4;61',
    '03/05/2026;12:00;19,0;62',
    '',
  ].join('\n')
  const server = await weatherServer((_, response) => void response.end(table))
  const asked = await settled(db, table)
  expect(asked.dateOrder).toBeUndefined()
  const mill = await station(db, { url: server.origin, answers: asked as Record<string, unknown> })
  expect(await fetchStation(deps, mill, SPAN, { again: false })).toMatchObject({ state: 'needs an answer' })
  const answers = (await settled(db, table, { dateOrder: 'dmy' }, 'UTC')) as Record<string, unknown>
  const ready = { ...mill, config: { ...mill.config, answers } }
  expect(await fetchStation(deps, ready, SPAN, { again: false })).toMatchObject({ state: 'stored', stored: 3 })
  expect(rowsOf(db)[0]!.at).toBe(Date.UTC(2026, 4, 3, 10))
})

test('a gauge named apart goes with the air; two places of the same are asked, and a chosen one is kept to', async () => {
  const { db, deps } = bench()
  const apart =
    'time,roof temperature °C,roof rh %,garden rain mm\n2026-05-18T01:00Z,18,60,0.2\n2026-05-18T02:00Z,18,61,0\n2026-05-18T03:00Z,18,61,0\n'
  const twice = apart.replace('garden rain mm', 'garden temperature °C')
  const server = await weatherServer((_, response) => void response.end(apart))
  const mill = await station(db, { url: server.origin, answers: (await settled(db, apart)) as Record<string, unknown> })
  expect(await fetchStation(deps, mill, SPAN, { again: false })).toMatchObject({
    state: 'stored',
    quantities: ['tempC', 'rhPct', 'rainMm'],
  })
  expect(rowsOf(db)[0]).toMatchObject({ temp: 1800, rh: 6000, rain: 200 })
  server.answer = (_, response) => void response.end(twice)
  const answers = (await settled(db, twice)) as Record<string, unknown>
  const asked = await fetchStation(deps, { ...mill, config: { ...mill.config, answers } }, SPAN, { again: false })
  expect('problem' in asked && asked.problem).toContain('several places')
  const chosen = { ...mill, config: { ...mill.config, answers, fileProbes: ['roof'] } }
  expect(await fetchStation(deps, chosen, SPAN, { again: false })).toMatchObject({
    state: 'stored',
    quantities: ['tempC', 'rhPct'],
  })
  const gone = { ...mill, config: { ...mill.config, answers, fileProbes: ['attic'] } }
  expect(await fetchStation(deps, gone, SPAN, { again: false })).toMatchObject({ state: 'needs an answer' })
})

test('rows that still change wait; other columns of the table are left out', async () => {
  const { db, deps } = bench()
  const table = weatherTable(NOW - 5 * HOUR, 6)
  const withWind = table
    .split('\n')
    .map((line, i) => (line === '' ? line : `${line},${i === 0 ? 'battery V' : '3.1'}`))
    .join('\n')
  const server = await weatherServer((_, response) => void response.end(withWind))
  const answers = (await settled(db, withWind)) as Record<string, unknown>
  const mill = await station(db, { url: server.origin, holdBackMin: 90, answers })
  expect(await fetchStation(deps, mill, SPAN, { again: false })).toMatchObject({ stored: 4, newestAt: NOW - 2 * HOUR })
  expect(db.raw.prepare('select count(battery_v) from readings').pluck().get()).toBe(0)
})

test.each([
  ['no rows', 'time,temperature °C,rh %\n', 'empty'],
  ['nothing', '', 'empty'],
  ['no table', 'this is a note\nand another\n', 'empty'],
  ['bytes', '\0\u0001\u0002\0\0\0', 'failed'],
])('%s stores nothing and says why', async (_, body, state) => {
  const { db, deps } = bench()
  const server = await weatherServer((_request, response) => void response.end(body))
  const outcome = await fetchStation(deps, await station(db, { url: server.origin }), SPAN, { again: false })
  expect(outcome.state).toBe(state)
  expect('problem' in outcome && outcome.problem.length).toBeGreaterThan(20)
})

test('what a fresh look settled leaves nothing open for the same table', async () => {
  const { db } = bench()
  for (const text of [SUMMER, WINTER, weatherTable(SPAN.from, 30), weatherTable(SPAN.from, 30, { rain: false })]) {
    const answers = await settled(db, text)
    const fresh = await lookAtSource({ db, now: () => NOW }, sourceOf('w.csv', Buffer.from(text)), {
      timeZone: 'America/New_York',
      answers: {},
    })
    if (!fresh.look.ok) throw new Error(fresh.look.refusal.message)
    if (text !== WINTER) expect(openPoints(fresh.look, answers, { fileProbes: [], quantities: [] })).toEqual([])
    const { look } = await lookAtSource({ db, now: () => NOW }, sourceOf('w.csv', Buffer.from(text)), {
      timeZone: 'America/New_York',
      answers,
    })
    if (!look.ok) throw new Error(look.refusal.message)
    expect(openPoints(look, answers, { fileProbes: [], quantities: ['tempC', 'rhPct'] })).toEqual([])
  }
})
