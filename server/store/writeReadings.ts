/**
 * The rule of the intake, applied row by row: a new instant is stored; the same values again are repeated; a missing
 * quantity is filled; another value differs and the first stays. The caller holds the transaction.
 */
import { QUANTITY_NAMES, type Quantity } from '../series/quantities.ts'
import { StoreError } from './errors.ts'
import type { Database } from './open.ts'
import { columnOf, STEPS_PER_UNIT, type StepBatch } from './steps.ts'
import { statement } from './unitsOfWork.ts'

/** A value that was not taken because the same probe already said something else at that instant. */
export interface Difference {
  /** Index in the batch. */
  row: number
  at: number
  quantity: Quantity
  /** In the quantity's unit. */
  kept: number
  offered: number
}

/** Every row of a batch counts once: as `differs` when any of its values differs, else as filled, repeated or stored. */
export interface BatchOutcome {
  stored: number
  repeated: number
  filled: number
  differs: Difference[]
  differingRows: number
}

/** Rows in one INSERT: measured 1.7 times the speed of one row a statement; more gained nothing. */
const ROWS_PER_INSERT = 100

/** Half-open span of a probe whose hour values are older than its readings from now on. */
export type MarkDue = (db: Database, probeId: number, from: number, to: number) => void

/**
 * @param importId of the file the rows come from, or null
 * @param markDue otherwise than at once, where many small batches come in one transaction
 * @throws StoreError when the probe is not known
 */
export function writeReadings(
  db: Database,
  batch: StepBatch,
  importId: number | null,
  markDue: MarkDue = markHourlyDue,
): BatchOutcome {
  const rows = batch.at.length
  const outcome: BatchOutcome = { stored: 0, repeated: 0, filled: 0, differs: [], differingRows: 0 }
  if (rows === 0) return outcome
  const present = QUANTITY_NAMES.filter((quantity) => batch.steps[quantity] !== undefined)
  if (rows === 1 && insertedAlone(db, batch, present, importId)) {
    outcome.stored = 1
    markDue(db, batch.probeId, batch.at[0]!, batch.at[0]! + 1)
    return outcome
  }
  if (statement(db, 'select 1 from probes where id = ?').get(batch.probeId) === undefined) {
    throw new StoreError('unknown probe', `There is no probe ${batch.probeId}.`, 'Add the logger and its probe first.')
  }
  const { first, last, ascending } = extent(batch.at)
  const occupied =
    !ascending ||
    statement(db, 'select 1 from readings where probe_id = ? and at between ? and ? limit 1').get(
      batch.probeId,
      first,
      last,
    ) !== undefined
  let changed = true
  if (occupied) {
    changed = mergeRows(db, batch, present, importId, outcome)
  } else {
    insertRows(db, batch, present, importId, 0, rows)
    outcome.stored = rows
  }
  if (changed) markDue(db, batch.probeId, first, last + 1)
  return outcome
}

/** Hour values of this span are older than the readings from now on; spans of one probe grow together. */
export function markHourlyDue(db: Database, probeId: number, from: number, to: number): void {
  statement(
    db,
    `insert into hourly_due (probe_id, from_at, to_at) values (?, ?, ?) on conflict (probe_id) do update
     set from_at = min(from_at, excluded.from_at), to_at = max(to_at, excluded.to_at)`,
  ).run(probeId, from, to)
}

function extent(at: Float64Array): { first: number; last: number; ascending: boolean } {
  let first = at[0]!
  let last = first
  let ascending = true
  for (let row = 1; row < at.length; row++) {
    const instant = at[row]!
    if (instant > last) last = instant
    else ascending = false // equal instants too: they must meet in the merge, not in the key
    if (instant < first) first = instant
  }
  return { first, last, ascending }
}

/** The plain case, where most time goes: nothing of this probe lies in the span, so no row needs a second look. */
function insertRows(
  db: Database,
  batch: StepBatch,
  present: readonly Quantity[],
  importId: number | null,
  from: number,
  to: number,
): void {
  const columns = present.map((quantity) => batch.steps[quantity]!)
  let row = from
  while (row < to) {
    const rows = to - row >= ROWS_PER_INSERT ? ROWS_PER_INSERT : 1
    // Two values are the same for all rows and are bound once.
    const values: (number | null)[] = [batch.probeId, importId]
    for (const end = row + rows; row < end; row++) {
      values.push(batch.at[row]!)
      for (const column of columns) values.push(column[row]!)
    }
    statement(db, insertText(present, rows)).run(values)
  }
}

/** One row that is new, as live readings mostly are, in one statement. False when its probe is unknown or its instant is taken. */
function insertedAlone(db: Database, batch: StepBatch, present: readonly Quantity[], importId: number | null): boolean {
  const key = present.join()
  let text = aloneTexts.get(key)
  if (text === undefined) {
    const names = present.map((quantity) => `, ${columnOf(quantity)}`).join('')
    text = `insert into readings (probe_id, import_id, at${names}) select ?, ?, ?${', ?'.repeat(present.length)}
            where exists (select 1 from probes where id = ?) on conflict do nothing`
    aloneTexts.set(key, text)
  }
  const values: (number | null)[] = [batch.probeId, importId, batch.at[0]!]
  for (const quantity of present) values.push(batch.steps[quantity]![0]!)
  values.push(batch.probeId)
  return statement(db, text).run(values).changes === 1
}
const aloneTexts = new Map<string, string>()

function insertText(present: readonly Quantity[], rows: number): string {
  const key = `${rows} ${present.join()}`
  let text = insertTexts.get(key)
  if (text === undefined) {
    const names = present.map((quantity) => `, ${columnOf(quantity)}`).join('')
    const places = present.map((_, i) => `, column${i + 2}`).join('')
    const tuple = `(?${', ?'.repeat(present.length)})`
    text = `insert into readings (probe_id, import_id, at${names}) select ?, ?, column1${places}
            from (values ${Array(rows).fill(tuple).join()})`
    insertTexts.set(key, text)
  }
  return text
}
const insertTexts = new Map<string, string>()

/** Row by row, for spans that hold something already. Returns whether anything was written. */
function mergeRows(
  db: Database,
  batch: StepBatch,
  present: readonly Quantity[],
  importId: number | null,
  outcome: BatchOutcome,
): boolean {
  let changed = false
  const names = present.map(columnOf)
  const find = statement(
    db,
    `select ${['probe_id', ...names].join()} from readings where probe_id = ? and at = ?`,
  ).raw() as { get(...values: unknown[]): (number | null)[] | undefined }
  for (let row = 0; row < batch.at.length; row++) {
    const at = batch.at[row]!
    const kept = find.get(batch.probeId, at)
    if (kept === undefined) {
      insertRows(db, batch, present, importId, row, row + 1)
      outcome.stored++
      changed = true
      continue
    }
    const differencesBefore = outcome.differs.length
    let filled = false
    for (const [i, quantity] of present.entries()) {
      const offered = batch.steps[quantity]![row]!
      const there = kept[i + 1] as number | null
      if (Number.isNaN(offered) || offered === there) continue
      if (there === null) {
        statement(db, `update readings set ${names[i]} = ? where probe_id = ? and at = ?`).run(
          offered,
          batch.probeId,
          at,
        )
        filled = true
      } else {
        const perUnit = STEPS_PER_UNIT[quantity]
        outcome.differs.push({ row, at, quantity, kept: there / perUnit, offered: offered / perUnit })
      }
    }
    if (outcome.differs.length > differencesBefore) outcome.differingRows++
    else if (filled) outcome.filled++
    else outcome.repeated++
    changed ||= filled
  }
  return changed
}
