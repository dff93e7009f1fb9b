/** The watch over a real database: what a house raises must not depend on when which reading arrived. */
import fc from 'fast-check'
import { expect, test } from 'vitest'
import { findHouse, findProbesOfHouse } from '../../server/store/houses.ts'
import type { HouseTree } from '../../server/store/houseTree.ts'
import { acknowledgeNotice, listNotices, readNoticeChanges, snoozeNotice } from '../../server/store/notices.ts'
import type { Database } from '../../server/store/open.ts'
import { storeReadings } from '../../server/store/readings.ts'
import { refreshHourly } from '../../server/store/refreshHourly.ts'
import { storeHouse } from '../../server/store/storeHouse.ts'
import { findWatchDue } from '../../server/store/watchDue.ts'
import { lookAtHouse } from '../../server/watch/lookAt.ts'
import type { ChangeBody, Notice } from '../../server/watch/types.ts'
import { scratchDatabase } from '../support/database.ts'
import { stepsOf } from '../support/studiedHouse.ts'

const HOUR = 3_600_000
const DAY = 24 * HOUR
const START = Date.UTC(2026, 0, 1, 5)

const HOUSE: HouseTree = {
  format: 'underjoist house 1',
  key: 'house-1',
  name: 'Invented house',
  timeZone: 'America/New_York',
  spaces: [
    {
      key: 'crawl',
      name: 'Crawl space',
      role: 'crawl space',
      kind: 'closed',
      spots: [
        { key: 'near', name: 'By the hatch' },
        { key: 'far', name: 'Far corner' },
      ],
    },
  ],
  loggers: ['near', 'far'].map((key) => ({
    key,
    probes: [{ key: 'air', placements: [{ spot: `crawl/${key}`, from: '2025-12-01' }] }],
  })),
}

interface Reading {
  probe: string
  at: number
  tempC: number
  rhPct: number
  waterPresent: number
}

/** Every half hour. Damp from day 3 to 8, water for four hours on day 5, frost at the hatch on day 9. */
function record(days: number): Reading[] {
  return ['near', 'far'].flatMap((probe) =>
    Array.from({ length: days * 48 }, (_, i): Reading => {
      const day = i / 48
      const damp = probe === 'far' && day >= 3 && day < 8
      const frost = probe === 'near' && day >= 9 && day < 9.5
      const wet = probe === 'far' && day >= 5 && day < 5 + 4 / 24
      // A little of its own in each reading, or the probe would count as stuck.
      const wobble = ((i * 7) % 5) / 10
      return {
        probe,
        at: START + i * (HOUR / 2),
        tempC: (frost ? -3 : 15) + wobble,
        rhPct: (damp ? 85 : 45) + wobble,
        waterPresent: wet ? 1 : 0,
      }
    }),
  )
}

async function begin(
  tree: HouseTree = HOUSE,
): Promise<{ db: Database; arrive(readings: readonly Reading[]): Promise<void> }> {
  const db = scratchDatabase()
  await storeHouse(db, tree, { replace: false, now: START, who: 'a test' })
  const row = (await findHouse(db, tree.key))!
  const ids = new Map((await findProbesOfHouse(db, row.id)).map(({ logger, id }) => [logger, id]))
  return {
    db,
    async arrive(readings) {
      for (const [probe, id] of ids) {
        const own = readings.filter((reading) => reading.probe === probe).sort((a, b) => a.at - b.at)
        if (own.length === 0) continue
        const column = (name: 'at' | 'tempC' | 'rhPct' | 'waterPresent') => Float64Array.from(own, (one) => one[name])
        await storeReadings(
          db,
          stepsOf(id, {
            at: column('at'),
            tempC: column('tempC'),
            rhPct: column('rhPct'),
            waterPresent: column('waterPresent'),
          }),
        )
      }
    },
  }
}

async function look(db: Database, now: number) {
  await refreshHourly(db)
  const row = (await findHouse(db, 'house-1'))!
  return lookAtHouse(db, row, { now, due: (await findWatchDue(db)).get(row.id) ?? null })
}

const notices = async (db: Database) =>
  (await listNotices(db, (await findHouse(db, 'house-1'))!.id, 1000)) as unknown as Notice[]

/** What the history says happened, whenever it was seen. */
const told = async (db: Database) =>
  (await notices(db))
    .map(({ watch, cause, sinceAt, clearedAt, body }) => ({
      watch,
      cause,
      sinceAt,
      over: clearedAt === null ? null : body.overAt,
    }))
    .sort((a, b) => a.sinceAt - b.sinceAt || a.watch.localeCompare(b.watch))

const expected = [
  { watch: 'damp', cause: 'crawl' },
  { watch: 'liquid water', cause: 'crawl' },
  { watch: 'freezing', cause: 'crawl' },
]

const END = START + 12 * DAY

async function inOrder(everyHours: number) {
  const { db, arrive } = await begin()
  const all = record(12)
  for (let from = START; from < END; from += everyHours * HOUR) {
    await arrive(all.filter(({ at }) => at >= from && at < from + everyHours * HOUR))
    await look(db, Math.min(END, from + everyHours * HOUR))
  }
  return db
}

test('looked at as readings come, it raises what happened, once each, with its changes', async () => {
  const db = await inOrder(1)
  const found = await told(db)
  expect(found.map(({ watch, cause }) => ({ watch, cause }))).toEqual(expected)
  expect(found.every(({ over }) => over !== null)).toBe(true)
  const changes = await readNoticeChanges(
    db,
    (await notices(db)).map(({ id }) => id),
  )
  const water = (await notices(db)).find(({ watch }) => watch === 'liquid water')!
  expect(water.sinceAt).toBe(START + 5 * DAY)
  // Two readings half an hour apart, seen at the next full hour; gone after twelve dry hours.
  expect(water.openedAt).toBe(START + 5 * DAY + HOUR)
  expect(water.body.overAt).toBe(START + 5 * DAY + 16 * HOUR)
  const ofWater = changes.filter(({ noticeId }) => noticeId === water.id)
  expect(ofWater.map(({ change, body }) => [change, (body as ChangeBody).tell])).toEqual([
    ['opened', ['owner', 'contractor']],
    ['cleared', ['owner', 'contractor']],
  ])
  const frost = (await notices(db)).find(({ watch }) => watch === 'freezing')!
  expect([frost.urgency, frost.body.numbers.tempLowestC]).toEqual(['urgent', expect.closeTo(-3, 0)])
}, 60_000)

test('whatever the order in which readings arrive, the history is the same in the end', async () => {
  const inTime = await told(await inOrder(6))
  const all = record(12)
  const chunks = Array.from({ length: 24 }, (_, i) =>
    all.filter(({ at }) => at >= START + i * 12 * HOUR && at < START + (i + 1) * 12 * HOUR),
  )
  await fc.assert(
    fc.asyncProperty(
      fc.shuffledSubarray(chunks, { minLength: chunks.length }),
      fc.array(fc.boolean(), { minLength: chunks.length, maxLength: chunks.length }),
      async (order, looks) => {
        const { db, arrive } = await begin()
        for (const [i, chunk] of order.entries()) {
          await arrive(chunk)
          if (looks[i]) await look(db, END)
        }
        await look(db, END)
        expect(await told(db)).toEqual(inTime)
      },
    ),
    { numRuns: 12, seed: 8 },
  )
}, 120_000)

test('a restart at any point, and tracks that are lost, change nothing and repeat nothing', async () => {
  const once = await told(await inOrder(6))
  await fc.assert(
    fc.asyncProperty(fc.array(fc.integer({ min: 0, max: 47 }), { minLength: 1, maxLength: 6 }), async (lost) => {
      const { db, arrive } = await begin()
      const all = record(12)
      for (let i = 0; i < 48; i++) {
        const from = START + i * 6 * HOUR
        await arrive(all.filter(({ at }) => at >= from && at < from + 6 * HOUR))
        if (lost.includes(i)) db.raw.prepare('update watch_states set version = -1').run()
        await look(db, from + 6 * HOUR)
        // Looking again without news changes nothing.
        expect((await look(db, from + 6 * HOUR)).transitions).toEqual([])
      }
      expect(await told(db)).toEqual(once)
    }),
    { numRuns: 6, seed: 3 },
  )
}, 120_000)

test('what began and was over before anybody saw it is kept, and nobody is written to', async () => {
  const { db, arrive } = await begin()
  await arrive(record(12))
  await look(db, END)
  const all = await notices(db)
  expect(all.map(({ watch }) => watch).sort()).toEqual(['damp', 'freezing', 'liquid water'])
  const changes = await readNoticeChanges(
    db,
    all.map(({ id }) => id),
  )
  expect(changes.length).toBe(6)
  for (const { body } of changes) {
    expect([(body as ChangeBody).tell, (body as ChangeBody).quiet]).toEqual([[], 'over before it was seen'])
  }
})

test('somebody under the house raises nothing', async () => {
  const visited: HouseTree = { ...HOUSE, events: [{ kind: 'visit', from: '2026-01-06T00:00', to: '2026-01-06T06:00' }] }
  const { db, arrive } = await begin(visited)
  await arrive(record(12).filter(({ at }) => at < START + 6 * DAY))
  await look(db, START + 6 * DAY)
  expect((await notices(db)).map(({ watch }) => watch)).toEqual(['damp'])
})

test('while a house dries after a work its owner hears of water and frost alone', async () => {
  const worked: HouseTree = { ...HOUSE, works: [{ key: 'drain', kind: 'yard drain', from: '2026-01-02' }] }
  const { db, arrive } = await begin(worked)
  for (let day = 0; day < 12; day++) {
    await arrive(record(12).filter(({ at }) => at >= START + day * DAY && at < START + (day + 1) * DAY))
    await look(db, START + (day + 1) * DAY)
  }
  const audience = Object.fromEntries((await notices(db)).map(({ watch, body }) => [watch, body.audience]))
  expect(audience).toEqual({
    damp: ['contractor'],
    'liquid water': ['owner', 'contractor'],
    freezing: ['owner', 'contractor'],
  })
})

test('acknowledged and snoozed once, told less; a notice that is over takes neither', async () => {
  const { db, arrive } = await begin()
  const day = async (from: number) => {
    await arrive(record(12).filter(({ at }) => at >= START + from * DAY && at < START + (from + 1) * DAY))
    await look(db, START + (from + 1) * DAY)
  }
  for (let i = 0; i < 5; i++) await day(i)
  const [damp] = await notices(db)
  expect(await acknowledgeNotice(db, damp!.id, { who: 'Ann', now: START + 5 * DAY })).toBe(true)
  expect(await acknowledgeNotice(db, damp!.id, { who: 'Ben', now: START + 5 * DAY })).toBe(true)
  expect(await snoozeNotice(db, damp!.id, { until: START + 30 * DAY, who: 'Ann', now: START + 5 * DAY })).toBe(true)
  for (let i = 5; i < 12; i++) await day(i)
  const after = (await notices(db)).find(({ id }) => id === damp!.id)!
  expect(after.acknowledgedBy).toBe('Ann')
  expect(after.clearedAt).not.toBeNull()
  const changes = await readNoticeChanges(db, [damp!.id])
  expect(changes.map(({ change }) => change)).toEqual(['opened', 'acknowledged', 'snoozed', 'cleared'])
  expect((changes.at(-1)!.body as ChangeBody).quiet).toBe('snoozed')
  expect(await acknowledgeNotice(db, damp!.id, { who: 'Ann', now: END })).toBe(false)
  expect(await snoozeNotice(db, damp!.id, { until: END + DAY, who: 'Ann', now: END })).toBe(false)
})
