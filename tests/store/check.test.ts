import { expect, test } from 'vitest'
import type { ReadingColumns } from '../../server/series/quantities.ts'
import { checkDatabase, findTroubles, type HourRow } from '../../server/store/check.ts'
import { type Database, openDatabase } from '../../server/store/open.ts'
import { storeReadings } from '../../server/store/readings.ts'
import { addHouse, addProbes, scratchDatabase } from '../support/database.ts'

const T0 = Date.UTC(2025, 0, 1)
const HOUR = 3_600_000

/** Means by hour: enough to see that stored and rebuilt hours are compared column by column. */
function meansByHour(_: number, { at, tempC }: ReadingColumns): HourRow[] {
  const hours = new Map<number, number[]>()
  for (const [i, instant] of at.entries()) {
    const hour = Math.floor(instant / HOUR) * HOUR
    hours.set(hour, [...(hours.get(hour) ?? []), tempC![i]!])
  }
  return [...hours].map(([hour, values]) => ({
    at: hour,
    count: values.length,
    temp_c: values.reduce((a, b) => a + b, 0) / values.length,
  }))
}

/** Five hours of readings with their hour values. */
async function filled(): Promise<{ db: Database; probe: number }> {
  const db = scratchDatabase()
  const [probe] = addProbes(db, 1) as [number]
  const at = Float64Array.from({ length: 60 }, (_, i) => T0 + i * 300_000)
  await storeReadings(db, { probeId: probe, at, steps: { tempC: at.map((_, i) => 2100 + 100 * Math.floor(i / 12)) } })
  const add = db.raw.prepare('insert into hourly (probe_id, at, count, temp_c) values (?, ?, ?, ?)')
  const tempC = at.map((_, i) => 21 + Math.floor(i / 12))
  for (const hour of meansByHour(probe, { at, tempC })) add.run(probe, hour.at, hour.count, hour.temp_c)
  db.raw.exec('delete from hourly_due')
  return { db, probe }
}

test('a sound database has no problem, and is counted', async () => {
  const { db } = await filled()
  expect(await checkDatabase(db, meansByHour)).toEqual({ problems: [], probes: 1, readings: 60, hours: 5 })
})

test('a wrong, a missing and a superfluous hour are each named', async () => {
  const { db, probe } = await filled()
  db.raw.prepare('update hourly set temp_c = 30 where at = ?').run(T0)
  db.raw.prepare('delete from hourly where at = ?').run(T0 + HOUR)
  db.raw.prepare('insert into hourly (probe_id, at, count) values (?, ?, 1)').run(probe, T0 + 99 * HOUR)
  const { problems } = await checkDatabase(db, meansByHour)
  expect(problems).toEqual([
    `Hour 2025-01-01T00:00:00.000Z of probe ${probe} has temp_c 30, and its readings give 21.`,
    `Hour 2025-01-05T03:00:00.000Z of probe ${probe} is stored, and its readings give no such hour.`,
    `Hour 2025-01-01T01:00:00.000Z of probe ${probe} is missing.`,
  ])
})

test('hours that are due to be built anew are not called wrong', async () => {
  const { db, probe } = await filled()
  db.raw.prepare('update hourly set temp_c = 30 where at = ?').run(T0 + HOUR)
  db.raw.prepare('insert into hourly_due values (?, ?, ?)').run(probe, T0 + HOUR + 1, T0 + HOUR + 2)
  expect((await checkDatabase(db, meansByHour)).problems).toEqual([])
})

test('rows that point nowhere are named', async () => {
  const { db, probe } = await filled()
  const houseId = addHouse(db)
  db.raw.pragma('foreign_keys = OFF')
  db.raw
    .prepare(`insert into spaces (house_id, key, name, role) values (?, 'crawl', 'Crawl space', 'crawl space')`)
    .run(houseId + 1)
  db.raw.prepare('delete from probes where id = ?').run(probe)
  const { problems } = await checkDatabase(db, null)
  expect(problems).toEqual([
    'Row 1 of spaces points to a row of houses that is not there.',
    `There are readings of probe ${probe}, which is not there.`,
  ])
})

test('a database that another program keeps locked cannot take readings, and says so at once', async () => {
  const db = scratchDatabase()
  expect(await findTroubles(db)).toEqual([])
  const other = openDatabase(db.path)
  other.raw.exec('begin immediate')
  expect(await findTroubles(db)).toEqual([expect.stringContaining('locked')])
  other.raw.exec('rollback')
  expect(await findTroubles(db)).toEqual([])
  expect(db.raw.pragma('busy_timeout', { simple: true })).toBe(10_000)
  other.close()
})
