/**
 * Means and slopes of daily values with intervals that know that one day resembles the next: n independent values are
 * counted as n (1 - r) / (1 + r), r being the correlation of a day with the day before. Two-sided 90 % intervals.
 */
import type { Estimate } from './input.ts'

const Z_90 = 1.6449
/** Fewer days than this give no interval at all. */
const LEAST_DAYS = 5

/** Student's t for a two-sided 90 % interval, by the Cornish-Fisher series; within 1 % from 3 degrees of freedom on. */
export function student90(freedom: number): number {
  const nu = Math.max(1, freedom)
  const z = Z_90
  return (
    z +
    (z ** 3 + z) / (4 * nu) +
    (5 * z ** 5 + 16 * z ** 3 + 3 * z) / (96 * nu ** 2) +
    (3 * z ** 7 + 19 * z ** 5 + 17 * z ** 3 - 15 * z) / (384 * nu ** 3)
  )
}

/** Correlation of each day with the day before over pairs that are both known; 0 to 0.98, never less than none. */
export function dayToDayCorrelation(values: Float64Array): number {
  let [sum, known] = [0, 0]
  for (const value of values) {
    if (Number.isNaN(value)) continue
    sum += value
    known++
  }
  const mean = sum / known
  let [cross, square, pairs] = [0, 0, 0]
  for (let d = 0; d < values.length; d++) {
    const value = values[d]! - mean
    if (Number.isNaN(value)) continue
    square += value * value
    const before = d > 0 ? values[d - 1]! - mean : Number.NaN
    if (Number.isNaN(before)) continue
    cross += value * before
    pairs++
  }
  if (pairs < LEAST_DAYS || square === 0) return 0
  const r = cross / pairs / (square / known)
  // The estimate is biased low by about (1 + 3r) / n (Kendall 1954, from memory); short series look too independent.
  return Math.min(0.98, Math.max(0, r + (1 + 3 * Math.max(0, r)) / known))
}

export interface DayMean extends Estimate {
  days: number
  /** How many independent days they are worth. */
  independentDays: number
}

/** Mean of daily values (NaN: no value); null with fewer than 5 days. */
export function meanOfDays(values: Float64Array): DayMean | null {
  const known = values.filter((value) => !Number.isNaN(value))
  const days = known.length
  if (days < LEAST_DAYS) return null
  const mid = known.reduce((sum, value) => sum + value, 0) / days
  const variance = known.reduce((sum, value) => sum + (value - mid) ** 2, 0) / (days - 1)
  const r = dayToDayCorrelation(values)
  const independentDays = Math.max(2, (days * (1 - r)) / (1 + r))
  const margin = student90(independentDays - 1) * Math.sqrt(variance / independentDays)
  return { low: mid - margin, mid, high: mid + margin, days, independentDays }
}

export interface DaySlope {
  slope: Estimate
  /** Value of the line at x = 0. */
  intercept: number
  /** Share of the variance that the line explains. */
  r2: number
  days: number
  independentDays: number
}

/** Least-squares line through the days on which both are known; null with fewer than 5 days or no spread in x. */
export function slopeOfDays(x: Float64Array, y: Float64Array): DaySlope | null {
  let [days, sumX, sumY] = [0, 0, 0]
  for (let d = 0; d < x.length; d++) {
    if (Number.isNaN(x[d]! + y[d]!)) continue
    days++
    sumX += x[d]!
    sumY += y[d]!
  }
  const [meanX, meanY] = [sumX / days, sumY / days]
  let [xx, xy, yy] = [0, 0, 0]
  for (let d = 0; d < x.length; d++) {
    if (Number.isNaN(x[d]! + y[d]!)) continue
    xx += (x[d]! - meanX) ** 2
    xy += (x[d]! - meanX) * (y[d]! - meanY)
    yy += (y[d]! - meanY) ** 2
  }
  if (days < LEAST_DAYS || xx === 0) return null
  const mid = xy / xx
  const residual = x.map((value, d) => y[d]! - meanY - mid * (value - meanX))
  const left = residual.reduce((sum, value) => (Number.isNaN(value) ? sum : sum + value * value), 0)
  // Residuals alone decide (not x): conservative, and right where x drifts with the season.
  const r = dayToDayCorrelation(residual)
  const independentDays = Math.max(3, (days * (1 - r)) / (1 + r))
  const error = Math.sqrt((left / (days - 2) / xx) * (days / independentDays))
  const margin = student90(independentDays - 2) * error
  return {
    slope: { low: mid - margin, mid, high: mid + margin },
    intercept: meanY - mid * meanX,
    r2: yy === 0 ? 0 : 1 - left / yy,
    days,
    independentDays,
  }
}
