/** The scheduler on a clock that a test moves; what is fetched is a real table through the real gate. */
import { expect, test } from 'vitest'
import { createIntake } from '../../../server/ingest/intake.ts'
import { type FetchedText, FetchRefused } from '../../../server/ingest/station/fetchText.ts'
import { createStationSchedule, delayAfter } from '../../../server/ingest/station/schedule.ts'
import { begunBackfill, noteBackfill } from '../../../server/store/stationFetches.ts'
import { addStation, changeStation, findStation, removeStation } from '../../../server/store/stations.ts'
import { scratchDatabase } from '../../support/database.ts'
import { weatherTable } from '../../support/weatherServer.ts'

const MINUTE = 60_000
const HOUR = 60 * MINUTE
const DAY = 24 * HOUR
const START = Date.UTC(2026, 4, 20, 12)
const ANSWERS = { decimalMark: '.', dateOrder: 'ymd' }

type Answer = (url: URL) => Promise<FetchedText> | FetchedText

function bench(answer: Answer) {
  const db = scratchDatabase()
  let clock = START
  let waiting: { at: number; run: () => void } | null = null
  const asked: { at: number; url: URL }[] = []
  const faults: unknown[] = []
  const given = { answer }
  const schedule = createStationSchedule({
    db,
    intake: createIntake(db, { now: () => clock }),
    now: () => clock,
    fetchText: async ({ url }) => {
      asked.push({ at: clock, url: new URL(url) })
      return given.answer(new URL(url))
    },
    later(ms, run) {
      const mine = { at: clock + ms, run }
      waiting = mine
      return () => {
        if (waiting === mine) waiting = null
      }
    },
    onUnexpected: (error) => faults.push(error),
  })
  const settle = async () => {
    for (let i = 0; i < 40; i++) await new Promise((resolve) => setImmediate(resolve))
  }
  /** Moves the clock from one waking to the next. */
  async function until(at: number) {
    await settle()
    while (waiting !== null && waiting.at <= at) {
      const next: { at: number; run: () => void } = waiting
      waiting = null
      clock = Math.max(clock, next.at)
      next.run()
      await settle()
    }
    clock = at
  }
  return { db, schedule, asked, faults, given, until, now: () => clock }
}

const text = (body: string): FetchedText => ({ state: 'text', bytes: Buffer.from(body), tag: null, name: 'w.csv' })
const down = () => Promise.reject(new FetchRefused('weather.example cannot be reached.'))
const add = (db: ReturnType<typeof scratchDatabase>, key: string, config = {}) =>
  addStation(db, {
    key,
    name: key,
    kind: 'https',
    quantities: [],
    config: { url: `https://${key}.example/x?from={from}&to={to}`, everyMin: 60, answers: ANSWERS, ...config },
  })
const minutes = (asked: { at: number }[]) => asked.map(({ at }) => (at - START) / MINUTE)

test('delays grow from five minutes, doubling to six hours', () => {
  expect([1, 2, 3, 4, 5, 6, 7, 8, 50].map((n) => delayAfter(n) / MINUTE)).toEqual([
    5, 10, 20, 40, 80, 160, 320, 360, 360,
  ])
})

test('a station is fetched at once and then as often as it says, from a day before its newest reading', async () => {
  const { db, schedule, asked, until, now } = bench(() => text(weatherTable(now() - 3 * HOUR, 3)))
  await add(db, 'mill')
  schedule.start()
  await until(START + 150 * MINUTE)
  expect(minutes(asked)).toEqual([0, 60, 120])
  expect(asked[0]!.url.search).toBe('?from=2026-04-19&to=2026-05-20')
  expect(asked[1]!.url.search).toBe('?from=2026-05-19&to=2026-05-20')
  expect((await findStation(db, 'mill'))!.fetch).toMatchObject({
    failures: 0,
    problem: null,
    stored: 1,
    newestAt: START + HOUR,
  })
  expect((await findStation(db, 'mill'))!.quantities).toEqual(['tempC', 'rhPct', 'rainMm'])
  await schedule.stop()
})

test('failures are tried again ever later, are told, and are forgotten when it answers', async () => {
  const { db, schedule, asked, given, until, now } = bench(down)
  await add(db, 'mill')
  schedule.start()
  await until(START + 80 * MINUTE)
  expect(minutes(asked)).toEqual([0, 5, 15, 35, 75])
  expect((await findStation(db, 'mill'))!.fetch).toMatchObject({
    failures: 5,
    problem: 'weather.example cannot be reached.',
  })
  given.answer = () => text(weatherTable(now() - 3 * HOUR, 3))
  await until(START + 160 * MINUTE)
  expect(minutes(asked).at(-1)).toBe(155)
  expect((await findStation(db, 'mill'))!.fetch).toMatchObject({
    failures: 0,
    problem: null,
    okAt: START + 155 * MINUTE,
  })
  await schedule.stop()
})

test('a changed layout waits for an answer, stores nothing more, and goes on when the answer is stored', async () => {
  const { db, schedule, asked, given, until, now } = bench(() => text(weatherTable(now() - 3 * HOUR, 3)))
  await add(db, 'mill')
  schedule.start()
  await until(START + MINUTE)
  const count = () => db.raw.prepare('select count(*) from readings').pluck().get()
  expect(count()).toBe(3)
  given.answer = () => text('time,temp,rh\n2026-05-20T13:00Z,71,50\n2026-05-20T12:00Z,70,50\n2026-05-20T11:00Z,69,50\n')
  await until(START + 61 * MINUTE)
  const waiting = (await findStation(db, 'mill'))!
  expect(waiting.fetch).toMatchObject({ failures: 1 })
  expect(waiting.fetch!.problem).toMatch(/^Needs an answer: .*temp/)
  expect(count()).toBe(3)
  const answers = { ...ANSWERS, columnUnits: { temp: '°F', rh: '%' } }
  await changeStation(db, 'mill', { ...waiting, quantities: ['tempC', 'rhPct'], probe: undefined, config: { answers } })
  schedule.wake()
  await until(START + 62 * MINUTE)
  expect(minutes(asked)).toEqual([0, 60, 61])
  expect((await findStation(db, 'mill'))!.fetch).toMatchObject({ failures: 0, problem: null })
  expect(count()).toBe(5) // 11:00 was there already, and differs
  await schedule.stop()
})

test('stations are fetched one at a time, and one that hangs or is removed holds nobody for good', async () => {
  let open = 0
  let most = 0
  const { db, schedule, asked, faults, until, now } = bench(async ({ host }) => {
    most = Math.max(most, ++open)
    await new Promise((resolve) => setImmediate(resolve))
    if (host === 'b.example') await removeStation(db, 'b')
    open--
    return text(weatherTable(now() - 3 * HOUR, 3))
  })
  for (const key of ['a', 'b', 'c']) await add(db, key)
  schedule.start()
  await until(START + 10 * MINUTE)
  expect(asked.map(({ url }) => url.host).sort()).toEqual(['a.example', 'b.example', 'c.example'])
  expect([most, faults]).toEqual([1, []])
  await schedule.stop()
})

test('the past comes in windows of 31 days, each beginning with the last day of the one before, between the due fetches', async () => {
  const { db, schedule, asked, until, now } = bench((url) => {
    const from = Date.parse(`${url.searchParams.get('from')}T00:00Z`)
    return text(weatherTable(from, Math.min(48, Math.floor((now() - from) / HOUR))))
  })
  await add(db, 'mill')
  schedule.start()
  await until(START + MINUTE)
  const { id } = (await findStation(db, 'mill'))!
  const begun = begunBackfill({ from: '2026-02-01', nextAt: Date.UTC(2026, 1, 1), toAt: START })
  await noteBackfill(db, id, begun, 'any')
  schedule.wake()
  await until(START + 5 * MINUTE)
  expect(asked.slice(1).map(({ url }) => url.search)).toEqual([
    '?from=2026-02-01&to=2026-03-03',
    '?from=2026-03-03&to=2026-04-02',
    '?from=2026-04-02&to=2026-05-02',
    '?from=2026-05-02&to=2026-05-20',
  ])
  // The first fetch of all had begun on April 19, so its two days are new here only in their windows of before.
  expect((await findStation(db, 'mill'))!.config.backfill).toMatchObject({
    state: 'done',
    stored: 4 * 48,
    problem: null,
  })
  await schedule.stop()
})

test('months without rows are passed over; a window that fails is tried four times, then the past stops and says why', async () => {
  const { db, schedule, asked, given, until } = bench(() => text('time,temperature °C,rh %\n'))
  await add(db, 'mill', { everyMin: null })
  const { id } = (await findStation(db, 'mill'))!
  const begun = begunBackfill({ from: '2026-03-01', nextAt: Date.UTC(2026, 2, 1), toAt: START })
  await noteBackfill(db, id, begun, 'any')
  schedule.start()
  await until(START + MINUTE)
  expect((await findStation(db, 'mill'))!.config.backfill).toMatchObject({ state: 'done', stored: 0 })
  expect(asked).toHaveLength(3)
  given.answer = down
  await noteBackfill(db, id, begun, 'any')
  schedule.wake()
  await until(START + DAY)
  expect(asked).toHaveLength(7)
  expect((await findStation(db, 'mill'))!.config.backfill).toMatchObject({
    state: 'stopped',
    problem: 'weather.example cannot be reached.',
    nextAt: Date.UTC(2026, 2, 1),
  })
  await schedule.stop()
})

test('stopping breaks off what runs and notes nothing of it', async () => {
  const db = scratchDatabase()
  const schedule = createStationSchedule({
    db,
    intake: createIntake(db, { now: () => START }),
    now: () => START,
    fetchText: ({ signal }) =>
      new Promise((_, reject) => signal!.addEventListener('abort', () => reject(signal!.reason))),
    onUnexpected: (error) => {
      throw error
    },
  })
  await add(db, 'mill')
  schedule.start()
  await new Promise((resolve) => setTimeout(resolve, 30))
  await schedule.stop()
  expect((await findStation(db, 'mill'))!.fetch).toBeNull()
})
