/**
 * Hour values: read them, and rebuild those that are older than their readings or corrections. A rebuild reads, computes
 * and writes one stretch in one transaction and moves the start of what is due behind it, so that neither a crash nor a
 * reading that arrives meanwhile can leave an hour stale and unnoticed.
 */
import type { Correction } from '../series/corrections.ts'
import {
  buildHourly,
  emptyHourly,
  HOUR_MS,
  HOURLY_NAMES,
  type HourlyColumns,
  type HourlyName,
  type HourSpan,
} from '../series/hourly.ts'
import { LOCAL_MARKS_REACH_MS } from '../series/quality.ts'
import { QUANTITY_NAMES, type ReadingColumns } from '../series/quantities.ts'
import type { HourRow, RebuildHours } from './check.ts'
import { correctionsOf } from './corrections.ts'
import type { Database } from './open.ts'
import { columnOf, STEPS_PER_UNIT } from './steps.ts'
import { inTransaction, statement, yieldToOthers } from './unitsOfWork.ts'
import { markWatchDue } from './watchDue.ts'

/** Two weeks and their context: about 10 ms at a reading every 5 minutes. */
const HOURS_PER_STEP = 336
const ROWS_PER_PAGE = 2000
const NAMES = HOURLY_NAMES.map((name) => name.replace(/[A-Z]/g, (letter) => `_${letter.toLowerCase()}`))

export interface DueSpan {
  probeId: number
  from: number
  to: number
}

/** Stored hours that start within a span (end excluded), with NaN where a value is missing. */
export async function readHours(db: Database, probeId: number, from: number, to: number): Promise<HourlyColumns> {
  const page = statement(
    db,
    `select ${NAMES.join()} from hourly where probe_id = ? and at >= ? and at < ? order by at limit ${ROWS_PER_PAGE}`,
  ).raw() as { all(...values: unknown[]): (number | null)[][] }
  const rows: (number | null)[][] = []
  for (let next = from; ; await yieldToOthers()) {
    const found = page.all(probeId, next, to)
    for (const row of found) rows.push(row)
    if (found.length < ROWS_PER_PAGE) break
    next = (found[found.length - 1]![0] as number) + 1
  }
  const out = emptyHourly(rows.length)
  for (const [k, name] of HOURLY_NAMES.entries()) {
    const column = out[name]
    for (let i = 0; i < rows.length; i++) column[i] = rows[i]![k] ?? Number.NaN
  }
  return out
}

/** Spans that wait for a rebuild, of all probes or of these. */
export async function findDueHours(db: Database, probeIds?: readonly number[]): Promise<DueSpan[]> {
  const all = statement(
    db,
    'select probe_id as probeId, from_at as "from", to_at as "to" from hourly_due order by probe_id',
  ).all() as DueSpan[]
  return probeIds ? all.filter(({ probeId }) => probeIds.includes(probeId)) : all
}

const DIGEST = [
  'count(*), min(at), max(at)',
  ...NAMES.filter((name) => name !== 'at').map((name) => `total(${name}), total(${name} * (at / ${HOUR_MS} % 1009))`),
].join()

/** Of the hour that a probe was heard in last: only that there is one, and whether water stood there. */
const HOUR_UNDER_WAY = `select count(*), coalesce(max(water_present_share > 0), 0) from
  (select water_present_share from hourly where probe_id = @id order by at desc limit 1)`

/**
 * Sums that change when any stored hour of the probe changes or moves; cheap to compare, not made to resist malice. The
 * hour that it was heard in last is still under way: a logger that reports every few seconds changes it as often, and
 * what rests on the record would be worked out without end. Water that shows up there counts at once.
 */
export async function digestHours(db: Database, probeId: number): Promise<number[]> {
  return digestNow(db, probeId)
}

function digestNow(db: Database, probeId: number): number[] {
  const before = statement(
    db,
    `select ${DIGEST} from hourly where probe_id = @id and at < (select max(at) from hourly where probe_id = @id)`,
  ).raw()
  const last = statement(db, HOUR_UNDER_WAY).raw()
  const id = { id: probeId } as never
  return [...(before.get(id) as number[]), ...(last.get(id) as number[])]
}

/**
 * The same as one text, kept until the next rebuild of the probe's hours: about 0.1 ms instead of 12 ms a probe and year.
 * Needs the writing connection.
 */
export async function keptDigest(db: Database, probeId: number): Promise<string> {
  const find = statement(db, 'select digest from hourly_digests where probe_id = ?').pluck()
  const kept = find.get(probeId) as string | undefined
  if (kept !== undefined) return kept
  return inTransaction(db, () => {
    const digest = JSON.stringify(digestNow(db, probeId))
    statement(db, 'insert or replace into hourly_digests (probe_id, digest) values (?, ?)').run(probeId, digest)
    return digest
  })
}

/** Hours of a probe as its readings and corrections give them now, whatever is stored; the database check compares. */
export async function recomputeHours(db: Database, probeId: number, from: number, to: number): Promise<HourlyColumns> {
  return computeHours(db, probeId, { from, to })
}

/**
 * Rebuilds the first stretch of what is due for a probe.
 * @returns the span rebuilt and whether more is due; undefined when nothing was
 */
export async function rebuildNextHours(
  db: Database,
  probeId: number,
): Promise<(HourSpan & { more: boolean }) | undefined> {
  return inTransaction(db, () => {
    const due = statement(db, 'select from_at as "from", to_at as "to" from hourly_due where probe_id = ?').get(
      probeId,
    ) as HourSpan | undefined
    if (!due) return undefined
    const reach = LOCAL_MARKS_REACH_MS + clockReachMs(correctionsOf(db, probeId))
    const from = floorHour(due.from - reach)
    const end = floorHour(due.to + reach) + HOUR_MS
    const to = Math.min(end, from + HOURS_PER_STEP * HOUR_MS)
    const hours = computeHours(db, probeId, { from, to })
    statement(db, 'delete from hourly_digests where probe_id = ?').run(probeId)
    statement(db, 'delete from hourly where probe_id = ? and at >= ? and at < ?').run(probeId, from, to)
    const places = Array(NAMES.length + 1)
      .fill('?')
      .join()
    const insert = statement(db, `insert into hourly (probe_id, ${NAMES.join()}) values (${places})`)
    for (let i = 0; i < hours.at.length; i++) {
      insert.run(probeId, ...HOURLY_NAMES.map((name: HourlyName) => hours[name][i]!))
    }
    markWatchDue(db, probeId, from)
    if (to >= end) statement(db, 'delete from hourly_due where probe_id = ?').run(probeId)
    else
      statement(db, 'update hourly_due set from_at = ? where probe_id = ?').run(
        nextDue(db, probeId, to, reach),
        probeId,
      )
    return { from, to, more: to < end }
  })
}

/** Where the rebuild goes on, in terms of readings; years without any are skipped, not walked. */
function nextDue(db: Database, probeId: number, rebuiltTo: number, reach: number): number {
  const next = statement(db, 'select min(at) from readings where probe_id = ? and at >= ?')
    .pluck()
    .get(probeId, rebuiltTo - reach) as number | null
  const nextHour = statement(db, 'select min(at) from hourly where probe_id = ? and at >= ?')
    .pluck()
    .get(probeId, rebuiltTo) as number | null
  const due = statement(db, 'select to_at from hourly_due where probe_id = ?').pluck().get(probeId) as number
  return Math.max(rebuiltTo + reach, Math.min(next ?? due, nextHour ?? due))
}

function computeHours(db: Database, probeId: number, span: HourSpan): HourlyColumns {
  const corrections = correctionsOf(db, probeId)
  const reach = LOCAL_MARKS_REACH_MS + clockReachMs(corrections)
  return buildHourly(readReadings(db, probeId, span.from - reach, span.to + reach), corrections, span)
}

/** At once, because it is part of a transaction; callers keep the span short. */
function readReadings(db: Database, probeId: number, from: number, to: number): ReadingColumns {
  const rows = (
    statement(
      db,
      `select at, ${QUANTITY_NAMES.map(columnOf).join()} from readings
       where probe_id = ? and at >= ? and at < ? order by at`,
    ).raw() as { all(...values: unknown[]): (number | null)[][] }
  ).all(probeId, from, to)
  const readings: ReadingColumns = { at: Float64Array.from(rows, (row) => row[0]!) }
  for (const [k, quantity] of QUANTITY_NAMES.entries()) {
    if (!rows.some((row) => row[k + 1] !== null)) continue
    const perUnit = STEPS_PER_UNIT[quantity]
    readings[quantity] = Float64Array.from(rows, (row) => {
      const steps = row[k + 1]
      return steps === null || steps === undefined ? Number.NaN : steps / perUnit
    })
  }
  return readings
}

/** How far corrected instants can lie from the ones the logger told. */
const clockReachMs = (corrections: readonly Correction[]): number =>
  corrections.reduce((sum, { quantity, offset }) => sum + (quantity === 'clock' ? Math.abs(offset) * 1000 : 0), 0)

const floorHour = (at: number): number => Math.floor(at / HOUR_MS) * HOUR_MS

/** The rows that the table should hold, built whole, by the table's column names: what the database check compares with. */
export const rebuiltHourRows =
  (db: Database): RebuildHours =>
  (probeId, readings) => {
    const hours = buildHourly(readings, correctionsOf(db, probeId))
    return Array.from(hours.at.keys(), (i) => {
      const cells = HOURLY_NAMES.map((name, k) => [NAMES[k], Number.isNaN(hours[name][i]!) ? null : hours[name][i]!])
      return Object.fromEntries(cells) as HourRow
    })
  }
