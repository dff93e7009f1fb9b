/**
 * How a logger's clock runs, from what it told of its time day by day, and the dated corrections that follow. Messages
 * are late and never early, so a day counts with its least delayed one; a day that lies alone off the line was late all
 * day and says nothing, two in a row mean that the clock was set.
 */
import type { Correction } from './corrections.ts'
import { median } from './robust.ts'
import { robustLine } from './robustLine.ts'

const DAY_MS = 86_400_000

export interface ClockDay {
  /** Start of the day, UTC epoch ms. */
  dayAt: number
  /** The logger's clock minus true time, seconds. */
  offS: number
}

/** By the names of advice/defaults.ts. */
export interface ClockLimits {
  clockWorthS: number
  clockJumpS: number
}

/** A time in which the clock ran by itself. */
export interface ClockRun {
  from: number
  /** Start of the day after its last one. */
  to: number
  days: number
  driftSPerDay: number
  /** Off at the middle of its first and of its last day. */
  firstOffS: number
  lastOffS: number
}

export interface ClockDrift {
  runs: ClockRun[]
  /** Days that lay alone off the line. */
  leftOut: number
}

/** No quartz is worse than this (100 ppm); a step that drift could have made is not a jump. From memory. */
const WORST_DRIFT_S_PER_DAY = 8.64
/** Fewer days say more of their scatter than of the clock. */
const MIN_DAYS_FOR_DRIFT = 4
/** The days before a step that tell where the clock should be. */
const LOOK_BACK = 14

/** @param days ascending */
export function clockDrift(days: readonly ClockDay[], limits: ClockLimits): ClockDrift {
  const runs: ClockDay[][] = []
  let run: ClockDay[] = []
  let leftOut = 0
  for (const [i, day] of days.entries()) {
    if (run.length === 0 || fits(run, day, limits)) {
      run.push(day)
      continue
    }
    const next = days[i + 1]
    // Alone until the next day says the same; the newest day of all waits for it.
    if (next === undefined || !fits([day], next, limits)) {
      leftOut++
      continue
    }
    runs.push(run)
    run = [day]
  }
  if (run.length > 0) runs.push(run)
  return { runs: runs.map(runOf), leftOut }
}

function fits(run: readonly ClockDay[], day: ClockDay, { clockJumpS }: ClockLimits): boolean {
  const last = run.slice(-LOOK_BACK)
  const { dayAt } = last[last.length - 1]!
  const apart = (day.dayAt - dayAt) / DAY_MS
  if (last.length < MIN_DAYS_FOR_DRIFT) {
    const expected = median(last.map(({ offS }) => offS))
    return Math.abs(day.offS - expected) <= clockJumpS + WORST_DRIFT_S_PER_DAY * (apart + last.length / 2)
  }
  const { driftSPerDay, lastOffS } = runOf(last)
  // A long silence makes the line less sure.
  return Math.abs(day.offS - (lastOffS + driftSPerDay * apart)) <= clockJumpS * (1 + apart / LOOK_BACK)
}

function runOf(days: readonly ClockDay[]): ClockRun {
  const [first, last] = [days[0]!, days[days.length - 1]!]
  const since = (dayAt: number) => (dayAt - first.dayAt) / DAY_MS
  const offs = days.map(({ offS }) => offS)
  const line =
    days.length < MIN_DAYS_FOR_DRIFT
      ? { slope: 0, intercept: median(offs) }
      : robustLine(
          days.map(({ dayAt }) => since(dayAt)),
          offs,
        )
  return {
    from: first.dayAt,
    to: last.dayAt + DAY_MS,
    days: days.length,
    driftSPerDay: line.slope,
    firstOffS: line.intercept,
    lastOffS: line.intercept + line.slope * since(last.dayAt),
  }
}

const offAt = (run: ClockRun, dayAt: number) => run.firstOffS + (run.driftSPerDay * (dayAt - run.from)) / DAY_MS

/**
 * Corrections in whole steps of `clockWorthS`: what stays is less than one step, and a new day rarely changes those
 * before it. The last one holds until more is known.
 */
export function clockCorrections({ runs }: ClockDrift, { clockWorthS }: ClockLimits): Correction[] {
  const pieces: { told: number; toldTo: number | null; steps: number }[] = []
  for (const [r, run] of runs.entries()) {
    const newest = r === runs.length - 1
    for (let dayAt = run.from; dayAt < run.to; dayAt += DAY_MS) {
      const off = offAt(run, dayAt)
      const steps = Math.abs(off) < clockWorthS ? 0 : Math.round(off / clockWorthS)
      const before = pieces[pieces.length - 1]
      // Dated as the logger told its time, for that is what its readings carry.
      const [told, toldTo] = [dayAt + off * 1000, dayAt + DAY_MS + off * 1000]
      const end = newest && dayAt + DAY_MS >= run.to ? null : toldTo
      if (before?.steps === steps && dayAt > run.from) before.toldTo = end
      else pieces.push({ told, toldTo: end, steps })
    }
  }
  const inOrder = pieces.sort((a, b) => a.told - b.told)
  return inOrder.flatMap(({ told, toldTo, steps }, i): Correction[] => {
    const next = inOrder[i + 1]?.told ?? Number.POSITIVE_INFINITY
    const to = Math.min(toldTo ?? Number.POSITIVE_INFINITY, next)
    if (steps === 0 || to <= told) return []
    return [
      { quantity: 'clock', offset: -steps * clockWorthS, from: told, to: to === Number.POSITIVE_INFINITY ? null : to },
    ]
  })
}

/**
 * What these corrections leave of the clock's error on its worst day, in seconds; days that lay alone off the line are
 * not asked.
 */
export function clockErrorLeftS({ runs }: ClockDrift, corrections: readonly Correction[]): number {
  let worst = 0
  for (const run of runs) {
    for (let dayAt = run.from; dayAt < run.to; dayAt += DAY_MS) {
      const off = offAt(run, dayAt)
      const told = dayAt + DAY_MS / 2 + off * 1000
      const added = corrections
        .filter(({ quantity, from, to }) => quantity === 'clock' && told >= from && (to === null || told < to))
        .reduce((sum, { offset }) => sum + offset, 0)
      worst = Math.max(worst, Math.abs(off + added))
    }
  }
  return worst
}
