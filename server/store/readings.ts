/** Readings in and out of the database. Values leave in the units of series/quantities.ts. */
import { QUANTITY_NAMES, type ReadingColumns } from '../series/quantities.ts'
import { inSharedTransaction } from './groupedWrites.ts'
import type { Database } from './open.ts'
import { columnOf, STEPS_PER_UNIT, type StepBatch, sliceBatch } from './steps.ts'
import { CHUNK_ROWS, statement, yieldToOthers } from './unitsOfWork.ts'
import { type BatchOutcome, writeReadings } from './writeReadings.ts'

/**
 * Stores rows of one probe by the rule of the intake (writeReadings.ts), at most 1,000 a transaction. What this
 * resolves for is on the disk.
 * @throws StoreError on an unknown probe or a full disk; transactions finished before stay stored, so sending all again is safe
 */
export async function storeReadings(db: Database, batch: StepBatch): Promise<BatchOutcome> {
  const total: BatchOutcome = { stored: 0, repeated: 0, filled: 0, differs: [], differingRows: 0 }
  for (let from = 0; from < batch.at.length; from += CHUNK_ROWS) {
    const part = sliceBatch(batch, from, from + CHUNK_ROWS)
    const outcome = await inSharedTransaction(db, part.at.length, () => writeReadings(db, part, null))
    total.stored += outcome.stored
    total.repeated += outcome.repeated
    total.filled += outcome.filled
    total.differingRows += outcome.differingRows
    for (const difference of outcome.differs) total.differs.push({ ...difference, row: difference.row + from })
  }
  return total
}

/** Rows read at once before others get their turn: about 10 ms. */
const READ_ROWS = 20_000

/**
 * Readings of one probe as received, without corrections.
 * @param from, to half-open span, UTC epoch ms
 * @returns a column for every quantity that occurs in the span
 */
export async function readColumns(db: Database, probeId: number, from: number, to: number): Promise<ReadingColumns> {
  const counts = statement(
    db,
    `select ${QUANTITY_NAMES.map((quantity) => `count(${columnOf(quantity)})`).join()} from readings
     where probe_id = ? and at >= ? and at < ?`,
  ).raw() as { get(...values: unknown[]): number[] }
  const inSpan = counts.get(probeId, from, to)
  const present = QUANTITY_NAMES.filter((_, i) => inSpan[i]! > 0)
  const names = ['at', ...present.map(columnOf)]
  // A column as one JSON text is read two to three times as fast as an array for each row.
  const page = statement(
    db,
    `select ${names.map((name) => `json_group_array(${name})`).join()} from (select ${names.join()} from readings
     where probe_id = ? and at >= ? and at < ? order by at limit ${READ_ROWS})`,
  ).raw() as { get(...values: unknown[]): string[] }
  const pages: (number | null)[][][] = []
  for (let next = from; ; ) {
    const columns = page.get(probeId, next, to).map((text) => JSON.parse(text) as (number | null)[])
    const instants = columns[0] as number[]
    if (instants.length > 0) pages.push(columns)
    if (instants.length < READ_ROWS) break
    next = instants[READ_ROWS - 1]! + 1
    await yieldToOthers()
  }
  const read: ReadingColumns = { at: joined(pages, 0, 1) }
  for (const [i, quantity] of present.entries()) read[quantity] = joined(pages, i + 1, STEPS_PER_UNIT[quantity])
  return read
}

function joined(pages: readonly (readonly (number | null)[])[][], column: number, perUnit: number): Float64Array {
  const length = pages.reduce((sum, page) => sum + page[column]!.length, 0)
  const values = new Float64Array(length)
  let row = 0
  for (const page of pages) {
    for (const steps of page[column]!) values[row++] = steps === null ? Number.NaN : steps / perUnit
  }
  return values
}

export interface ProbeSpan {
  probeId: number
  count: number
  /** First reading, and one millisecond after the last: half-open. */
  from: number
  to: number
}

/** How many readings each of these probes has and over what time; probes without any are left out. */
export async function findSpans(db: Database, probeIds: readonly number[]): Promise<ProbeSpan[]> {
  const find = statement(db, 'select count(*) count, min(at) first, max(at) last from readings where probe_id = ?')
  const spans: ProbeSpan[] = []
  for (const probeId of probeIds) {
    const { count, first, last } = find.get(probeId) as { count: number; first: number; last: number }
    if (count > 0) spans.push({ probeId, count, from: first, to: last + 1 })
    await yieldToOthers()
  }
  return spans
}

/** First reading, and one millisecond after the last, of each of these probes; found by the key alone, without a count. */
export async function findEnds(db: Database, probeIds: readonly number[]): Promise<Omit<ProbeSpan, 'count'>[]> {
  const find = statement(
    db,
    `select (select at from readings where probe_id = @id order by at limit 1) as first,
      (select at from readings where probe_id = @id order by at desc limit 1) as last`,
  )
  return probeIds.flatMap((probeId) => {
    const { first, last } = find.get({ id: probeId } as never) as { first: number | null; last: number | null }
    return first === null || last === null ? [] : [{ probeId, from: first, to: last + 1 }]
  })
}
