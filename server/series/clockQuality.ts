/**
 * Clock faults: a probe whose hourly temperature steps match those of the others best at another hour than usual. Tried
 * with a shift of 5 h put into eight invented houses: found in seven, 1 to 4 days late, no false alarm on clean data.
 */
import type { ProbeHours, ProbeMark } from './groupQuality.ts'
import { HOUR_MS } from './hourly.ts'
import type { Mark } from './marks.ts'
import { median, medianAcross } from './robust.ts'

const WINDOW_HOURS = 168
const EVERY_HOURS = 48
const MAX_LAG = 12
const OFF_HOURS = 2
const WINDOWS = 3
const MIN_CORRELATION = 0.5
const BETTER_BY = 0.15
const MIN_PAIRS = 100

interface Window {
  first: number
  lag: number
  correlation: number
  gain: number
}

/** Shifts of at least two hours in three windows running; only of the worst probe, because it disturbs the others. */
export function clockShiftMarks(probes: readonly ProbeHours[], from: number): ProbeMark[] {
  if (probes.length < 3) return []
  const steps = probes.map(({ tempC }) => tempC.map((value, i) => (i === 0 ? Number.NaN : value - tempC[i - 1]!)))
  const found = probes.map(({ key }, p) => ({ key, ...shiftOf(steps[p]!, medianAcross(steps, p)) }))
  const worst = found.reduce((a, b) => (b.windows.length > a.windows.length ? b : a))
  if (worst.windows.length === 0) return []
  const marks: ProbeMark[] = []
  for (const stretch of neighbors(worst.windows)) {
    if (stretch.length < WINDOWS) continue
    const hours = median(stretch.map((window) => window.lag)) - worst.usual
    const correlation = median(stretch.map((window) => window.correlation))
    const reason = `Its temperature follows the other probes ${Math.abs(hours).toFixed(0)} hours ${hours > 0 ? 'late' : 'early'}: the clock is wrong. Enter a clock correction.`
    marks.push({
      kind: 'clock shift',
      probe: worst.key,
      // The first window that shows it lies mostly behind the change; its middle is the best guess.
      from: from + (stretch[0]!.first + WINDOW_HOURS / 2) * HOUR_MS,
      to: from + (stretch[stretch.length - 1]!.first + WINDOW_HOURS) * HOUR_MS,
      reason,
      numbers: { shiftHours: hours, correlation, windows: stretch.length },
    })
  }
  return marks
}

function shiftOf(steps: Float64Array, others: Float64Array): { usual: number; windows: Window[] } {
  const seen: { first: number; byLag: number[]; lag: number }[] = []
  for (let first = 0; first + WINDOW_HOURS <= steps.length; first += EVERY_HOURS) {
    const byLag: number[] = []
    for (let lag = -MAX_LAG; lag <= MAX_LAG; lag++) byLag.push(correlationAt(steps, others, first, lag))
    const best = byLag.reduce((top, value, k) => (value > byLag[top]! || Number.isNaN(byLag[top]!) ? k : top), 0)
    if (byLag[best]! > MIN_CORRELATION) seen.push({ first, byLag, lag: best - MAX_LAG })
  }
  const usual = Math.round(median(seen.map(({ lag }) => lag)))
  const windows = seen
    .map(({ first, byLag, lag }) => {
      const correlation = byLag[lag + MAX_LAG]!
      return { first, lag, correlation, gain: correlation - byLag[usual + MAX_LAG]! }
    })
    .filter(({ lag, gain }) => Math.abs(lag - usual) >= OFF_HOURS && gain > BETTER_BY)
  return { usual, windows }
}

/** Correlation of the probe's steps `lag` hours later with the others' steps; NaN with too few pairs. */
function correlationAt(steps: Float64Array, others: Float64Array, first: number, lag: number): number {
  let [n, sx, sy, sxx, syy, sxy] = [0, 0, 0, 0, 0, 0]
  for (let i = first; i < first + WINDOW_HOURS; i++) {
    const x = steps[i + lag]
    const y = others[i]!
    if (x === undefined || Number.isNaN(x) || Number.isNaN(y)) continue
    n++
    sx += x
    sy += y
    sxx += x * x
    syy += y * y
    sxy += x * y
  }
  if (n < MIN_PAIRS) return Number.NaN
  return (sxy - (sx * sy) / n) / Math.sqrt((sxx - (sx * sx) / n) * (syy - (sy * sy) / n))
}

function neighbors(windows: readonly Window[]): Window[][] {
  const out: Window[][] = []
  for (const window of windows) {
    const last = out[out.length - 1]
    if (last && window.first - last[last.length - 1]!.first <= EVERY_HOURS) last.push(window)
    else out.push([window])
  }
  return out
}

const PHASE_ROWS = 24
const REGULAR_SHARE = 0.9

/**
 * A clock that was set while the probe kept its rhythm: regular readings go on at another phase of their interval, after
 * at most three intervals of silence. A battery change looks the same, and the rain before it may carry a wrong time.
 *
 * @param at instants [UTC epoch ms], ascending
 */
export function clockJumpMarks(at: Float64Array): Mark[] {
  const marks: Mark[] = []
  for (let i = PHASE_ROWS; i + PHASE_ROWS <= at.length; i++) {
    const silentMs = at[i]! - at[i - 1]!
    const beat = at[i - 1]! - at[i - 2]!
    if (Math.abs(silentMs - beat) < beat / 5) continue // nearly every row, so that the costly look is rare
    const before = rhythm(at, i - PHASE_ROWS, i)
    if (before === undefined) continue
    const offBeat = Math.abs(silentMs / before - Math.round(silentMs / before)) * before
    if (silentMs > 3 * before || offBeat < before / 5) continue
    if (rhythm(at, i, i + PHASE_ROWS) !== before) continue
    const seconds = Math.round((silentMs - before) / 1000)
    const reason = `Readings every ${Math.round(before / 60_000)} minutes went on ${Math.abs(seconds)} s ${seconds > 0 ? 'late' : 'early'}: the clock was set or the battery changed.`
    marks.push({ kind: 'clock jump', from: at[i - 1]!, to: at[i]!, reason, numbers: { jumpSeconds: seconds } })
  }
  return marks
}

/** The interval of readings that come regularly [ms], else undefined. */
function rhythm(at: Float64Array, first: number, end: number): number | undefined {
  const apart: number[] = []
  for (let i = first + 1; i < end; i++) apart.push(at[i]! - at[i - 1]!)
  const usual = Math.round(median(apart) / 1000) * 1000
  const regular = apart.filter((ms) => Math.abs(ms - usual) <= usual * 0.02).length
  return usual > 0 && regular >= REGULAR_SHARE * apart.length ? usual : undefined
}
