/**
 * Clock faults: a probe whose hourly temperature steps match those of the others best at another hour than usual. Tried
 * with shifts of 5 h either way put into eight invented houses at many dates, alone and beside other faults: all found
 * on the right probe within a day, no false alarm. On 126 houses of another simulation: no false alarm either, but of
 * nine clocks half a day off for one to three weeks only two were found, and an hour off (summer time) never is.
 */
import type { ProbeHours, ProbeMark } from './groupQuality.ts'
import { HOUR_MS } from './hourly.ts'
import type { Mark } from './marks.ts'
import { median, medianAcross } from './robust.ts'

const WINDOW_HOURS = 168
const EVERY_HOURS = 48
const MAX_LAG = 12
const OFF_HOURS = 3
const WINDOWS = 3
const MIN_CORRELATION = 0.5
const BETTER_BY = 0.15
const MIN_PAIRS = 100
/** The first two weeks, from which the usual lag of a probe is taken. */
const FIRST_WINDOWS = 5

interface Window {
  first: number
  lag: number
  correlation: number
  gain: number
}

interface Shifts {
  /** Lag of the probe against the others when its clock is right. */
  usual: number
  /** First rows of the windows at that lag, give or take an hour. */
  right: number[]
  off: Window[]
}

/**
 * Shifts of at least three hours in three windows running: two occur between a vent and a far corner in ordinary weather. The worst probe is told first and then left out, because it
 * disturbs the others.
 */
export function clockShiftMarks(probes: readonly ProbeHours[], from: number): ProbeMark[] {
  if (probes.length < 3) return []
  const steps = probes.map(({ tempC }) => tempC.map((value, i) => (i === 0 ? Number.NaN : value - tempC[i - 1]!)))
  const others = steps.map((_, p) => medianAcross(steps, p))
  const found = probes.map((_, p) => shiftsOf(steps[p]!, others[p]!))
  const worst = found.reduce((a, b, p) => (b.off.length > found[a]!.off.length ? p : a), 0)
  const { key } = probes[worst]!
  const marks = stretchesOf(found[worst]!).map((stretch): ProbeMark => {
    const { usual } = found[worst]!
    const lag = median(stretch.map((window) => window.lag))
    const hours = lag - usual
    const correlation = median(stretch.map((window) => window.correlation))
    const began = onset(steps[worst]!, others[worst]!, usual, Math.round(lag), stretch[0]!.first)
    const reason = `Its temperature follows the other probes ${Math.abs(hours).toFixed(0)} hours ${hours > 0 ? 'late' : 'early'}: the clock is wrong. Enter a clock correction.`
    return {
      kind: 'clock shift',
      probe: key,
      from: from + began * HOUR_MS,
      to: from + (stretch[stretch.length - 1]!.first + WINDOW_HOURS) * HOUR_MS,
      reason,
      numbers: { shiftHours: hours, correlation, windows: stretch.length },
    }
  })
  if (marks.length === 0) return []
  const rest = probes.filter((probe) => probe.key !== key)
  return [...marks, ...clockShiftMarks(rest, from)]
}

/**
 * The usual lag is that of the first two weeks: a logger is set when it is started and goes wrong later, for however much
 * of the record. Probes of one space follow each other closely, so a much smaller lag of the whole record counts more.
 */
function shiftsOf(steps: Float64Array, others: Float64Array): Shifts {
  const seen: { first: number; byLag: number[]; lag: number }[] = []
  for (let first = 0; first + WINDOW_HOURS <= steps.length; first += EVERY_HOURS) {
    const byLag: number[] = []
    for (let lag = -MAX_LAG; lag <= MAX_LAG; lag++) byLag.push(correlationAt(steps, others, first, lag))
    const best = byLag.reduce((top, value, k) => (value > byLag[top]! || Number.isNaN(byLag[top]!) ? k : top), 0)
    if (byLag[best]! > MIN_CORRELATION) seen.push({ first, byLag, lag: best - MAX_LAG })
  }
  const lags = seen.map(({ lag }) => lag)
  const [early, whole] = [commonest(lags.slice(0, FIRST_WINDOWS)), commonest(lags)]
  const usual = Math.abs(whole) + 1 < Math.abs(early) ? whole : early
  const off = seen
    .map(({ first, byLag, lag }) => {
      const correlation = byLag[lag + MAX_LAG]!
      return { first, lag, correlation, gain: correlation - byLag[usual + MAX_LAG]! }
    })
    .filter(({ lag, gain }) => Math.abs(lag - usual) >= OFF_HOURS && gain > BETTER_BY)
  const right = seen.filter(({ lag }) => Math.abs(lag - usual) < OFF_HOURS).map(({ first }) => first)
  return { usual, right, off }
}

/** The lag that most windows show, give or take an hour; of two the smaller. A middle value could lie between two clocks. */
function commonest(lags: readonly number[]): number {
  const support = (lag: number) => lags.filter((other) => Math.abs(other - lag) <= 1).length
  const better = (a: number, b: number) => support(b) - support(a) || Math.abs(a) - Math.abs(b)
  return [...lags].sort(better)[0] ?? 0
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

/** Runs of windows with the same shift, joined across calm weeks that show nothing; not where the clock was right again. */
function stretchesOf({ right, off }: Shifts): Window[][] {
  const out: Window[][] = []
  for (const run of neighbors(off)) {
    if (run.length < WINDOWS) continue
    const last = out[out.length - 1]
    const lagOf = (windows: readonly Window[]) => median(windows.map(({ lag }) => lag))
    const between = right.filter((first) => last && first > last[last.length - 1]!.first && first < run[0]!.first)
    if (last && Math.abs(lagOf(last) - lagOf(run)) <= 1 && between.length < WINDOWS) last.push(...run)
    else out.push(run)
  }
  return out
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

/** The row from which on the steps agree better at the new lag than at the usual one, near the first window that shows it. */
function onset(steps: Float64Array, others: Float64Array, usual: number, lag: number, first: number): number {
  let [best, top, sum] = [first, Number.NEGATIVE_INFINITY, 0]
  for (let i = Math.max(0, first - WINDOW_HOURS); i <= Math.min(others.length, first + WINDOW_HOURS); i++) {
    if (sum > top) [best, top] = [i, sum]
    const gain = others[i]! * (steps[i + usual]! - steps[i + lag]!)
    if (!Number.isNaN(gain)) sum += gain
  }
  return best
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
