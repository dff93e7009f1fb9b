/** What a reading must be like to be stored, and its conversion to whole steps. Pure: the clock is handed in. */
import { QUANTITIES, QUANTITY_NAMES, type Quantity, type ReadingColumns } from '../series/quantities.ts'
import { STEPS_PER_UNIT, type StepBatch } from '../store/steps.ts'

/** A value, or a whole reading where `quantity` is null, that was not stored: why, and what to do about it. */
export interface Refusal {
  /** Index in what was handed in. */
  row: number
  quantity: Quantity | null
  value: number
  reason: string
  fix: string
}

export interface Checked {
  /** Rows with at least one good value. */
  batch: StepBatch
  /** Where each row of `batch` was in what was handed in. */
  rows: Int32Array
  refused: Refusal[]
}

/** No logger of this trade kept time before this; an older instant is a clock that lost its date. */
export const EARLIEST_AT = Date.UTC(2000, 0, 1)
/** A clock may be a zone ahead, not more. */
const AHEAD_MS = 24 * 3600_000
/** RH sensors overshoot a little at saturation; refusing those rows would hide the wettest hours. Stored as 100 %. */
const RH_OVERSHOOT_PCT = 105

/** Whether a reading may be of this instant. */
export const isTimely = (at: number, now: number): boolean => at >= EARLIEST_AT && at <= now + AHEAD_MS

/** The value as it is believed, or null where no climate, space or meter can give it. */
export function believed(quantity: Quantity, value: number): number | null {
  const { min, max } = QUANTITIES[quantity]
  if (quantity === 'rhPct' && value > max && value <= RH_OVERSHOOT_PCT) return max
  return value >= min && value <= max && (STEPS_PER_UNIT[quantity] > 1 || Number.isInteger(value)) ? value : null
}

/** A whole day of this many or more RH values all at or below 1 is a fraction sent as percent: no house is that dry. */
const FRACTION_ROWS = 24
const FRACTION_SPAN_MS = 23 * 3600_000

/**
 * Checks columns of one probe: instants between 2000 and a day ahead of `now`, values finite and within the range of
 * their quantity (series/quantities.ts). A bad value is refused alone; the reading keeps its other values.
 * @param columns `at` in UTC epoch ms in any order, values in their quantity's unit, NaN where missing
 */
export function checkReadings(probeId: number, columns: ReadingColumns, now: number): Checked {
  const count = columns.at.length
  const present = QUANTITY_NAMES.filter((quantity) => columns[quantity] !== undefined)
  const refused: Refusal[] = []
  const valuesLeft = new Uint8Array(count)
  const at = new Float64Array(count)
  const timely = new Uint8Array(count)
  for (let row = 0; row < count; row++) {
    const instant = Math.round(columns.at[row]!)
    at[row] = instant
    if (isTimely(instant, now)) timely[row] = 1
    else refused.push(refusedInstant(row, columns.at[row]!, now))
  }
  const steps: StepBatch['steps'] = {}
  for (const quantity of present) {
    const values = columns[quantity]!
    if (quantity === 'rhPct' && looksLikeFractions(columns.at, values)) {
      refuseFractions(values, timely, refused)
      continue
    }
    steps[quantity] = toSteps(quantity, values, timely, valuesLeft, refused)
  }
  for (let row = 0; row < count; row++) {
    if (valuesLeft[row] === 1 || timely[row] === 0) continue
    if (present.every((quantity) => Number.isNaN(columns[quantity]![row]!))) refused.push(refusedEmpty(row))
  }
  refused.sort((a, b) => a.row - b.row)
  return withoutEmptyRows({ probeId, at, steps }, valuesLeft, refused)
}

function toSteps(
  quantity: Quantity,
  values: Float64Array,
  timely: Uint8Array,
  valuesLeft: Uint8Array,
  refused: Refusal[],
): Float64Array {
  const perUnit = STEPS_PER_UNIT[quantity]
  const steps = new Float64Array(values.length)
  for (let row = 0; row < values.length; row++) {
    const value = values[row]!
    steps[row] = Number.NaN
    if (Number.isNaN(value) || timely[row] === 0) continue
    const good = believed(quantity, value)
    if (good !== null) {
      steps[row] = Math.round(good * perUnit)
      valuesLeft[row] = 1
    } else {
      refused.push(refusedValue(row, quantity, value))
    }
  }
  return steps
}

/** Nearly always nothing was refused and the columns go on as they are. */
function withoutEmptyRows(all: StepBatch, valuesLeft: Uint8Array, refused: Refusal[]): Checked {
  let kept = 0
  for (let row = 0; row < valuesLeft.length; row++) kept += valuesLeft[row]!
  const rows = new Int32Array(kept)
  let next = 0
  for (let row = 0; row < valuesLeft.length; row++) if (valuesLeft[row] === 1) rows[next++] = row
  if (kept === valuesLeft.length) return { batch: all, rows, refused }
  const pick = (column: Float64Array) => Float64Array.from(rows, (row) => column[row]!)
  const steps = Object.fromEntries(
    Object.entries(all.steps).map(([quantity, column]) => [quantity, pick(column)]),
  ) as StepBatch['steps']
  const batch: StepBatch = { probeId: all.probeId, at: pick(all.at), steps }
  return { batch, rows, refused }
}

function looksLikeFractions(at: Float64Array, rhPct: Float64Array): boolean {
  let count = 0
  let first = Number.POSITIVE_INFINITY
  let last = Number.NEGATIVE_INFINITY
  for (let row = 0; row < rhPct.length; row++) {
    const value = rhPct[row]!
    if (value > 1) return false
    if (!(value > 0)) continue
    count++
    if (at[row]! < first) first = at[row]!
    if (at[row]! > last) last = at[row]!
  }
  return count >= FRACTION_ROWS && last - first >= FRACTION_SPAN_MS
}

function refuseFractions(values: Float64Array, timely: Uint8Array, refused: Refusal[]): void {
  for (const [row, value] of values.entries()) {
    if (Number.isNaN(value) || timely[row] === 0) continue
    refused.push({
      row,
      quantity: 'rhPct',
      value,
      reason: `relative humidity is ${value} %, and no value of a whole day is above 1: it was sent as a fraction.`,
      fix: 'Send relative humidity in percent, 0 to 100.',
    })
  }
}

function refusedInstant(row: number, at: number, now: number): Refusal {
  const seconds = isTimely(at * 1000, now)
  const said = Number.isFinite(at) && Math.abs(at) <= 8.64e15 ? new Date(at).toISOString() : String(at)
  return {
    row,
    quantity: null,
    value: at,
    reason: `the time is ${said}, outside 2000-01-01 to one day from now.`,
    fix: seconds
      ? 'It looks like seconds: send milliseconds since 1970 (UTC).'
      : 'Set the clock and the date format of the logger, then send the reading again.',
  }
}

function refusedEmpty(row: number): Refusal {
  return {
    row,
    quantity: null,
    value: Number.NaN,
    reason: 'the reading has no value.',
    fix: `Send at least one of ${QUANTITY_NAMES.join(', ')}.`,
  }
}

function refusedValue(row: number, quantity: Quantity, value: number): Refusal {
  const { label, unit, min, max } = QUANTITIES[quantity]
  const expected = unit === '0 or 1' ? unit : `${min} to ${max} ${unit}`
  return {
    row,
    quantity,
    value,
    reason: `${label} is ${value}, expected ${expected}.`,
    fix: 'Check the unit of the source and the sensor; correct or drop this value and send it again.',
  }
}
