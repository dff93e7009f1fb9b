/**
 * Many loggers, one space. The model is fitted to the middle of the loggers, each brought to the common level first, so
 * that a drop-out does not shift the series; how far each spot stands off is kept beside it, because a wet corner must
 * never be averaged away.
 */
import { rhPctFromVaporPressureInto } from '../physics/airColumns.ts'
import { DAY_HOURS, type SpotSeries } from './input.ts'

type Column = Float64Array

/** Below this a spot's own level cannot be told from the weather of those days (judgement). */
const MIN_SPOT_DAYS = 3

export interface SpotReport {
  key: string
  used: boolean
  reason: string
  hoursMeasured: number
  /** Middle of (vapor pressure here / middle of all spots); above 1 is wetter. */
  vaporRatio: number
  /** Middle difference to the common temperature [K]. */
  tempOffsetC: number
  /** Mean difference to the common series [Pa] and [points of RH]. */
  meanExcessPa: number
  meanRhExcessPct: number
  /** Highest 24 h mean RH seen here [%]. */
  worstDayRhPct: number
}

export interface SpaceSeries {
  /** Middle of the loggers by hour, NaN where none spoke. */
  tempC: Float64Array
  vaporPressurePa: Float64Array
  /** Middle fast step of RH by hour [points], NaN where not known. */
  rhStepPct: Float64Array
  spots: SpotReport[]
  /** Wettest spot by mean RH. */
  worstSpot: string | null
}

/**
 * Middle of the loggers, hour by hour, after each was divided by its own middle ratio (vapor pressure) or freed of its
 * middle difference (temperature). Robust to one bad logger of three or more and to drop-outs.
 */
export function combineSpots(spots: readonly SpotSeries[], hours: number): SpaceSeries {
  for (const spot of spots) {
    if (spot.tempC.length === hours && spot.vaporPressurePa.length === hours) continue
    throw new RangeError(`Spot ${spot.key} must have ${hours} hours like the record, got ${spot.tempC.length}.`)
  }
  const counts = spots.map((spot) => spot.vaporPressurePa.reduce((n, e) => (e > 0 ? n + 1 : n), 0))
  const used = spots.filter((_, i) => counts[i]! >= MIN_SPOT_DAYS * DAY_HOURS)
  const levelE = middleAcross(
    used.map((s) => s.vaporPressurePa),
    hours,
  )
  const levelT = middleAcross(
    used.map((s) => s.tempC),
    hours,
  )
  const ratios = used.map((s) => medianOver(hours, (h) => s.vaporPressurePa[h]! / levelE[h]!, 1))
  const offsets = used.map((s) => medianOver(hours, (h) => s.tempC[h]! - levelT[h]!, 0))
  const vaporPressurePa = middleAcross(
    used.map((s, i) => s.vaporPressurePa.map((e) => e / ratios[i]!)),
    hours,
  )
  const tempC = middleAcross(
    used.map((s, i) => s.tempC.map((t) => t - offsets[i]!)),
    hours,
  )
  const steps = used.flatMap((s) => (s.rhStepPct ? [s.rhStepPct] : []))
  const commonRh = rhPctFromVaporPressureInto(new Float64Array(hours), tempC, vaporPressurePa)
  const reports = spots.map((spot, i) => {
    const at = used.indexOf(spot)
    return reportOf(spot, counts[i]!, at < 0 ? null : [ratios[at]!, offsets[at]!], vaporPressurePa, commonRh)
  })
  const ranked = reports.filter((r) => r.used).sort((a, b) => b.meanRhExcessPct - a.meanRhExcessPct)
  return {
    tempC,
    vaporPressurePa,
    rhStepPct: middleAcross(steps, hours),
    spots: reports,
    worstSpot: ranked[0]?.key ?? null,
  }
}

function reportOf(
  spot: SpotSeries,
  hoursMeasured: number,
  level: [number, number] | null,
  commonE: Column,
  commonRh: Column,
): SpotReport {
  const rh = rhPctFromVaporPressureInto(new Float64Array(spot.tempC.length), spot.tempC, spot.vaporPressurePa)
  const reason = level
    ? `${Math.round(hoursMeasured / DAY_HOURS)} days measured.`
    : `Left out: ${Math.round(hoursMeasured / DAY_HOURS)} days measured, ${MIN_SPOT_DAYS} are needed to know its level.`
  return {
    key: spot.key,
    used: level !== null,
    reason,
    hoursMeasured,
    vaporRatio: level?.[0] ?? Number.NaN,
    tempOffsetC: level?.[1] ?? Number.NaN,
    meanExcessPa: meanOver(rh.length, (h) => spot.vaporPressurePa[h]! - commonE[h]!),
    meanRhExcessPct: meanOver(rh.length, (h) => rh[h]! - commonRh[h]!),
    worstDayRhPct: worstDayMean(rh),
  }
}

/** Highest mean of a block of 24 h with at least 18 h measured; NaN when there is none. */
function worstDayMean(values: Column): number {
  let worst = Number.NaN
  for (let from = 0; from + DAY_HOURS <= values.length; from += DAY_HOURS) {
    let [sum, n] = [0, 0]
    for (let h = from; h < from + DAY_HOURS; h++) {
      if (Number.isNaN(values[h]!)) continue
      sum += values[h]!
      n++
    }
    if (n >= 18 && !(sum / n <= worst)) worst = sum / n
  }
  return worst
}

function meanOver(length: number, value: (h: number) => number): number {
  let [sum, n] = [0, 0]
  for (let h = 0; h < length; h++) {
    const v = value(h)
    if (!Number.isFinite(v)) continue
    sum += v
    n++
  }
  return n === 0 ? Number.NaN : sum / n
}

function medianOver(length: number, value: (h: number) => number, ifNone: number): number {
  const values: number[] = []
  for (let h = 0; h < length; h++) {
    const v = value(h)
    if (Number.isFinite(v)) values.push(v)
  }
  return values.length === 0 ? ifNone : medianOfSorted(Float64Array.from(values).sort(), values.length)
}

function middleAcross(columns: readonly Column[], hours: number): Float64Array {
  const out = new Float64Array(hours).fill(Number.NaN)
  const row = new Float64Array(columns.length)
  for (let h = 0; h < hours; h++) {
    let n = 0
    for (const column of columns) {
      const v = column[h]!
      if (Number.isFinite(v)) row[n++] = v
    }
    if (n === 0) continue
    const values = row.subarray(0, n).sort()
    out[h] = medianOfSorted(values, n)
  }
  return out
}

function medianOfSorted(values: Column, n: number): number {
  const half = n >> 1
  return n % 2 === 1 ? values[half]! : (values[half - 1]! + values[half]!) / 2
}
