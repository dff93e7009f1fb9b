/** How finely rain was measured, and the named step that spreads a day's sum over its hours. */
import { HOUR_MS } from './hourly.ts'

export type RainStep = 'hourly' | 'daily' | 'none'

/** Sums usually further apart than this are a day's, whatever the exact habit of the gauge's owner. */
const DAILY_FROM_MS = 6 * HOUR_MS
const DAY_HOURS = 24

/**
 * @param at starts of hours [UTC epoch ms], ascending
 * @param rainMm sums that end in those hours [mm], NaN where none
 */
export function rainStep(at: Float64Array, rainMm: Float64Array): RainStep {
  const apart: number[] = []
  let last = Number.NaN
  let sums = 0
  for (let i = 0; i < at.length; i++) {
    if (Number.isNaN(rainMm[i]!)) continue
    if (!Number.isNaN(last)) apart.push(at[i]! - last)
    last = at[i]!
    sums++
  }
  if (sums === 0) return 'none'
  if (apart.length === 0) return 'daily' // one sum alone: the cautious reading of when it fell
  apart.sort((a, b) => a - b)
  return apart[apart.length >> 1]! > DAILY_FROM_MS ? 'daily' : 'hourly'
}

/**
 * Spreads each daily sum evenly over the hours since the sum before it, at most 24. Hours that no sum covers stay NaN:
 * rain not known is never no rain.
 *
 * @param rainMm one value an hour without holes [mm], NaN where no sum ends
 */
export function spreadDailyRain(rainMm: Float64Array): Float64Array {
  const out = new Float64Array(rainMm.length).fill(Number.NaN)
  let last = -DAY_HOURS - 1
  for (let k = 0; k < rainMm.length; k++) {
    if (Number.isNaN(rainMm[k]!)) continue
    const first = Math.max(0, last + 1, k - DAY_HOURS + 1)
    // A sum at the very start keeps its amount in the hours there are.
    for (let h = first; h <= k; h++) out[h] = rainMm[k]! / (k - first + 1)
    last = k
  }
  return out
}
