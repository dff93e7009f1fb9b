/** Hand-made readings for tests. */
import type { ReadingColumns } from '../../server/series/quantities.ts'

export const MINUTE = 60_000
export const HOUR = 3_600_000
export const DAY = 24 * HOUR

export interface MadeReadings {
  from: number
  to: number
  everyMs: number
  tempC?: (at: number) => number
  rhPct?: (at: number) => number
}

export function madeReadings({ from, to, everyMs, tempC, rhPct }: MadeReadings): ReadingColumns {
  const at = Float64Array.from({ length: Math.ceil((to - from) / everyMs) }, (_, i) => from + i * everyMs)
  return { at, ...(tempC && { tempC: at.map((t) => tempC(t)) }), ...(rhPct && { rhPct: at.map((t) => rhPct(t)) }) }
}

/** A day's swing with a slow drift below it, never twice the same value. */
export const swing = (mean: number, amplitude: number) => (at: number) =>
  mean + amplitude * Math.sin((2 * Math.PI * at) / DAY) + 0.3 * amplitude * Math.sin((2 * Math.PI * at) / (5.3 * DAY))

/** Uniform numbers from 0 to 1 by a fixed seed (mulberry32). */
export function seeded(seed: number): () => number {
  let state = seed >>> 0
  return () => {
    state = (state + 0x6d2b79f5) >>> 0
    let t = state
    t = Math.imul(t ^ (t >>> 15), t | 1)
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61)
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296
  }
}

/** Standard normal numbers from uniform ones (Box and Muller). */
export const normal = (uniform: () => number) => () =>
  Math.sqrt(-2 * Math.log(1 - uniform())) * Math.cos(2 * Math.PI * uniform())

export const columns = (readings: Record<string, readonly number[]>): ReadingColumns =>
  Object.fromEntries(
    Object.entries(readings).map(([name, values]) => [name, Float64Array.from(values)]),
  ) as unknown as ReadingColumns
