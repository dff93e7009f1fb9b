/** A straight line that a few bad rows cannot tilt (Theil 1950, Sen 1968). */
import { median, robustSpread } from './robust.ts'

export interface RobustLine {
  /** Change of y for one of x: the middle of the slopes of all pairs. */
  slope: number
  /** Value of the line at x = 0. */
  intercept: number
  /** Scatter of the rows about it, as a standard deviation. */
  scatter: number
}

/** More rows than this are thinned evenly: the pairs grow with the square. */
const MOST_ROWS = 200

/** @returns NaN in all parts for fewer than two different x */
export function robustLine(xs: ArrayLike<number>, ys: ArrayLike<number>): RobustLine {
  const every = Math.max(1, Math.ceil(xs.length / MOST_ROWS))
  const rows = Array.from({ length: Math.ceil(xs.length / every) }, (_, k) => k * every)
  const slopes: number[] = []
  for (const [k, i] of rows.entries()) {
    for (let m = 0; m < k; m++) {
      const run = xs[i]! - xs[rows[m]!]!
      if (run !== 0) slopes.push((ys[i]! - ys[rows[m]!]!) / run)
    }
  }
  const slope = median(slopes)
  const intercept = median(rows.map((i) => ys[i]! - slope * xs[i]!))
  const scatter = robustSpread(rows.map((i) => ys[i]! - slope * xs[i]! - intercept))
  return { slope, intercept, scatter }
}
