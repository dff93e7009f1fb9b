/** The hour grid of one probe, in UTC, with corrections applied. Gaps stay gaps. */
import { dewPointCInto, vaporPressurePaInto } from '../physics/airColumns.ts'
import { type Correction, correctedReadings } from './corrections.ts'
import { firstAtOrAfter, setMarkBits } from './marks.ts'
import { localMarks } from './quality.ts'
import { QUANTITIES, QUANTITY_NAMES, type ReadingColumns } from './quantities.ts'

export const HOUR_MS = 3_600_000

/** Columns of the table `hourly`, in its order. */
export const HOURLY_NAMES = [
  'at',
  'count',
  'tempC',
  'tempMinC',
  'tempMaxC',
  'rhPct',
  'rhMinPct',
  'rhMaxPct',
  'vaporPressurePa',
  'dewPointMaxC',
  'woodMcPct',
  'surfaceTempC',
  'surfaceTempMinC',
  'rainMm',
  'waterPresentShare',
  'powerW',
  'condensateL',
  'batteryMinV',
  'marks',
] as const
export type HourlyName = (typeof HOURLY_NAMES)[number]

/** One row an hour, ascending; `at` is the start of the hour [UTC epoch ms]; NaN where nothing was measured. */
export type HourlyColumns = Record<HourlyName, Float64Array>

/** Only hours that start within it are built, end excluded. Readings outside it serve as context. */
export interface HourSpan {
  from: number
  to: number
}

export function emptyHourly(length: number): HourlyColumns {
  const column = (name: HourlyName) => {
    const values = new Float64Array(length)
    return name === 'at' || name === 'count' || name === 'marks' ? values : values.fill(Number.NaN)
  }
  return Object.fromEntries(HOURLY_NAMES.map((name) => [name, column(name)])) as HourlyColumns
}

/**
 * Hour values of one probe; hours without any reading have no row.
 *
 * An instant belongs to the hour it lies in. A sum since the previous reading (rain, condensate) belongs to the hour
 * its interval ends in, so one read at exactly 13:00 belongs to the hour from 12:00. Vapor pressure is the mean of the
 * readings' vapor pressures, never made from mean RH; the dew point of an hour is that of its mean vapor pressure,
 * `dewPointMaxC` the highest within it.
 *
 * @param readings of the probe as received, ascending; at least `LOCAL_MARKS_REACH_MS` (series/quality.ts) beyond the
 *   span on both sides where the probe has them, so that the marks do not depend on the span
 */
export function buildHourly(
  readings: ReadingColumns,
  corrections: readonly Correction[] = [],
  span?: HourSpan,
): HourlyColumns {
  const corrected = correctedReadings(readings, corrections)
  const { at } = corrected
  const sums = QUANTITY_NAMES.filter((name) => corrected[name] && QUANTITIES[name].kind === 'sum')
  const { hours, slot, sumSlot } = slotsOf(
    at,
    sums.map((name) => corrected[name]!),
  )
  const out = emptyHourly(hours.length)
  out.at.set(hours)
  for (let i = 0; i < at.length; i++) out.count[slot[i]!]!++

  const { tempC, rhPct } = corrected
  if (tempC) meanInto(out.tempC, slot, tempC, out.tempMinC, out.tempMaxC)
  if (rhPct) meanInto(out.rhPct, slot, rhPct, out.rhMinPct, out.rhMaxPct)
  if (tempC && rhPct) {
    const vaporPa = vaporPressurePaInto(new Float64Array(at.length), tempC, rhPct)
    const highestPa = new Float64Array(hours.length).fill(Number.NaN)
    meanInto(out.vaporPressurePa, slot, vaporPa, undefined, highestPa)
    dewPointCInto(out.dewPointMaxC, highestPa) // dew point rises with vapor pressure, so the highest gives the highest
  }
  if (corrected.woodMcPct) meanInto(out.woodMcPct, slot, corrected.woodMcPct)
  if (corrected.surfaceTempC) meanInto(out.surfaceTempC, slot, corrected.surfaceTempC, out.surfaceTempMinC)
  if (corrected.waterPresent) meanInto(out.waterPresentShare, slot, corrected.waterPresent)
  if (corrected.powerW) meanInto(out.powerW, slot, corrected.powerW)
  if (corrected.batteryV) meanInto(new Float64Array(hours.length), slot, corrected.batteryV, out.batteryMinV)
  if (corrected.rainMm) sumInto(out.rainMm, sumSlot, corrected.rainMm)
  if (corrected.condensateL) sumInto(out.condensateL, sumSlot, corrected.condensateL)
  setMarkBits(out.marks, out.at, localMarks(corrected))
  return span ? hoursWithin(out, span) : out
}

/** The rows of one span, as views of the same memory. */
export function hoursWithin(hourly: HourlyColumns, { from, to }: HourSpan): HourlyColumns {
  const first = firstAtOrAfter(hourly.at, from)
  const end = firstAtOrAfter(hourly.at, to)
  return Object.fromEntries(HOURLY_NAMES.map((name) => [name, hourly[name].subarray(first, end)])) as HourlyColumns
}

/** Every hour of a span, NaN (count 0) where there is no row. `from` and `to` are whole hours. */
export function denseHours(hourly: HourlyColumns, { from, to }: HourSpan): HourlyColumns {
  const out = emptyHourly(Math.max(0, (to - from) / HOUR_MS))
  for (let k = 0; k < out.at.length; k++) out.at[k] = from + k * HOUR_MS
  for (let i = firstAtOrAfter(hourly.at, from); i < hourly.at.length && hourly.at[i]! < to; i++) {
    const k = (hourly.at[i]! - from) / HOUR_MS
    for (const name of HOURLY_NAMES) out[name][k] = hourly[name][i]!
  }
  return out
}

/** For each reading the row of the hour it lies in and of the hour its interval ends in. */
function slotsOf(at: Float64Array, sums: readonly Float64Array[]) {
  const hasSum =
    sums.length === 0 ? null : Uint8Array.from(at, (_, i) => (sums.some((s) => !Number.isNaN(s[i]!)) ? 1 : 0))
  const slot = new Int32Array(at.length)
  const sumSlot = new Int32Array(at.length)
  const hours: number[] = []
  const row = (hour: number) => {
    if (hours.length === 0 || hours[hours.length - 1]! < hour) hours.push(hour)
    // Two readings can share an instant after a clock correction; the second looks one hour back.
    return hours[hours.length - 1]! > hour ? hours.length - 2 : hours.length - 1
  }
  let hour = Number.NEGATIVE_INFINITY
  for (let i = 0; i < at.length; i++) {
    const instant = at[i]!
    if (instant >= hour + HOUR_MS) hour = Math.floor(instant / HOUR_MS) * HOUR_MS
    if (hasSum?.[i] === 1) sumSlot[i] = row(instant === hour ? hour - HOUR_MS : hour)
    slot[i] = row(hour)
  }
  return { hours, slot, sumSlot }
}

function meanInto(
  out: Float64Array,
  slot: Int32Array,
  values: Float64Array,
  lowest?: Float64Array,
  highest?: Float64Array,
): void {
  const count = new Int32Array(out.length)
  out.fill(0)
  for (let i = 0; i < values.length; i++) {
    const value = values[i]!
    if (Number.isNaN(value)) continue
    const k = slot[i]!
    out[k] = out[k]! + value
    count[k] = count[k]! + 1
    if (lowest && !(lowest[k]! <= value)) lowest[k] = value
    if (highest && !(highest[k]! >= value)) highest[k] = value
  }
  for (let k = 0; k < out.length; k++) out[k] = count[k] === 0 ? Number.NaN : out[k]! / count[k]!
}

function sumInto(out: Float64Array, slot: Int32Array, values: Float64Array): void {
  for (let i = 0; i < values.length; i++) {
    const value = values[i]!
    const k = slot[i]!
    if (!Number.isNaN(value)) out[k] = (Number.isNaN(out[k]!) ? 0 : out[k]!) + value
  }
}
