/**
 * Days before and after a work that had the same weather, compared in pairs. A picture beside the balance: it cannot
 * correct for what it does not match, so it has no vote of its own.
 */
import { lag1Autocorrelation, mean } from './statistics.ts'

export interface ComparedDay {
  date: string
  /** Days since any fixed day, to measure how far apart days are. */
  dayNumber: number
  /** 0 to 365. */
  dayOfYear: number
  /** Daily mean vapor pressure of the space minus outdoors [Pa]. */
  excessPa: number
  outdoorDewPointC: number
  /** Rain in the 72 h up to the day's end. */
  rain: 'wet' | 'dry' | 'unknown'
}

export interface DayPair {
  before: ComparedDay
  after: ComparedDay
}

export type MatchedEffect =
  | {
      verdict: 'drier' | 'no clear change' | 'wetter'
      changePa: number
      lowPa: number
      highPa: number
      pairs: DayPair[]
      reason: string
    }
  | {
      verdict: 'cannot tell'
      reason: string
      needs: string
      pairs: DayPair[]
      changePa?: number
      lowPa?: number
      highPa?: number
    }

/** Matching lines of the trade notes (3 °F, 45 days, 10 pairs): common practice, no source. */
export const MATCH_DEW_POINT_K = 3 / 1.8
export const MATCH_SEASON_DAYS = 45
export const MIN_PAIRS = 10
/** About 0.25 g/kg; smaller changes are of no use to the owner. Proposal. */
export const CLEAR_CHANGE_PA = 40
const SURE = 0.75
const YEAR_DAYS = 365.25
/** Short series hide part of their autocorrelation; floor and cap as judged, checked by simulation in the tests. */
const LEAST_R = 0.2
const MOST_R = 0.9

/** One-to-one, closest weather first; a day is used once. Days without known rain match nothing. */
export function matchDays(before: readonly ComparedDay[], after: readonly ComparedDay[]): DayPair[] {
  const candidates: { b: number; a: number; apart: number }[] = []
  for (const [b, early] of before.entries()) {
    for (const [a, late] of after.entries()) {
      if (early.rain === 'unknown' || early.rain !== late.rain) continue
      const dewPointK = Math.abs(early.outdoorDewPointC - late.outdoorDewPointC)
      const daysApart = Math.abs(early.dayOfYear - late.dayOfYear)
      const seasonDays = Math.min(daysApart, YEAR_DAYS - daysApart)
      if (dewPointK > MATCH_DEW_POINT_K || seasonDays > MATCH_SEASON_DAYS) continue
      candidates.push({ b, a, apart: dewPointK / MATCH_DEW_POINT_K + seasonDays / MATCH_SEASON_DAYS })
    }
  }
  candidates.sort((x, y) => x.apart - y.apart || x.a - y.a || x.b - y.b)
  const used = { before: new Set<number>(), after: new Set<number>() }
  const pairs: DayPair[] = []
  for (const { a, b } of candidates) {
    if (used.before.has(b) || used.after.has(a)) continue
    used.before.add(b)
    used.after.add(a)
    pairs.push({ before: before[b]!, after: after[a]! })
  }
  return pairs.sort((x, y) => x.after.dayNumber - y.after.dayNumber)
}

/**
 * Mean change of vapor excess over matched days, negative is drier, with a 90 % interval: the scatter of the pairs,
 * widened for days that resemble their neighbors, and the drift of the sensors.
 *
 * @param before, after complete days with every value known but rain
 * @param sensorDriftPa standard uncertainty of the change by sensor drift [Pa]
 */
export function matchedDaysEffect(
  before: readonly ComparedDay[],
  after: readonly ComparedDay[],
  sensorDriftPa: number,
): MatchedEffect {
  const pairs = matchDays(before, after)
  if (pairs.length < MIN_PAIRS) {
    const known = (days: readonly ComparedDay[]) => days.filter((day) => day.rain !== 'unknown').length
    const reason = `${pairs.length} pairs of days had the same outdoor dew point, rain and season; ${MIN_PAIRS} are needed (${before.length} days before, ${after.length} after, of which ${known(before)} and ${known(after)} with known rain).`
    return { verdict: 'cannot tell', reason, needs: needsForPairs(before, after, pairs.length), pairs }
  }
  const changes = pairs.map(({ before: b, after: a }) => a.excessPa - b.excessPa)
  const changePa = mean(changes)
  const sides = [
    weightOf(
      before,
      pairs.map((pair) => pair.before),
    ),
    weightOf(
      after,
      pairs.map((pair) => pair.after),
    ),
  ] as const
  const independent = Math.min(sides[0].independent, sides[1].independent)
  // Matching takes out the weather that both sides share, which the scatter of the pairs shows.
  const shared = Math.min(1, variance(changes) / (sides[0].variancePa2 + sides[1].variancePa2))
  const ofMean = sides.reduce((sum, side) => sum + side.variancePa2 / (side.independent - 1), 0)
  const scatterPa = Math.sqrt(shared * ofMean) * (tQuantile95(independent - 1) / 1.645)
  const sdPa = Math.hypot(scatterPa, sensorDriftPa)
  const [lowPa, highPa] = [changePa - 1.645 * sdPa, changePa + 1.645 * sdPa]
  const range = `${changePa.toFixed(0)} Pa [${lowPa.toFixed(0)} to ${highPa.toFixed(0)}] over ${pairs.length} matched pairs of days, worth ${independent.toFixed(0)} independent ones`
  const answer = { changePa, lowPa, highPa, pairs }
  const atMost = (limitPa: number) => normalShare((limitPa - changePa) / sdPa)
  if (highPa < 0 && atMost(-CLEAR_CHANGE_PA) >= SURE) return { verdict: 'drier', ...answer, reason: range }
  if (lowPa > 0 && 1 - atMost(CLEAR_CHANGE_PA) >= SURE) return { verdict: 'wetter', ...answer, reason: range }
  if (atMost(CLEAR_CHANGE_PA) - atMost(-CLEAR_CHANGE_PA) >= SURE) {
    return { verdict: 'no clear change', ...answer, reason: range }
  }
  return {
    verdict: 'cannot tell',
    ...answer,
    reason: `${range}: too wide to say.`,
    needs: 'more days in like weather on the shorter side',
  }
}

function needsForPairs(before: readonly ComparedDay[], after: readonly ComparedDay[], pairs: number): string {
  const rainless = [...before, ...after].every((day) => day.rain === 'unknown')
  if (rainless && before.length + after.length > 0) return 'rain for these days, from a gauge or a weather station'
  const missing = MIN_PAIRS - pairs
  if (Math.min(before.length, after.length) < MIN_PAIRS) {
    return `${MIN_PAIRS - Math.min(before.length, after.length)} or more complete days ${before.length < after.length ? 'before' : 'after'} the work, in like weather`
  }
  return `${missing} more pair${missing === 1 ? '' : 's'}: days after the work in the season and weather of the days before it`
}

/**
 * What one side's matched days are worth. Days resemble their neighbors, so their number is discounted by the lag-1
 * correlation of the whole side and the real distances between the days used.
 */
function weightOf(
  side: readonly ComparedDay[],
  used: readonly ComparedDay[],
): { variancePa2: number; independent: number } {
  const excess = side.map((day) => day.excessPa)
  const seen = lag1Autocorrelation(excess)
  // A short series shows its autocorrelation too small by about (1 + 4r)/n (Kendall 1954, from memory).
  const r = Math.min(MOST_R, Math.max(LEAST_R, seen + (1 + 4 * seen) / excess.length))
  let sum = 0
  for (const one of used) for (const other of used) sum += r ** Math.abs(one.dayNumber - other.dayNumber)
  return {
    variancePa2: variance(used.map((day) => day.excessPa)),
    independent: Math.max(2, used.length ** 2 / sum),
  }
}

function variance(values: readonly number[]): number {
  const center = mean(values)
  return values.reduce((sum, value) => sum + (value - center) ** 2, 0) / values.length
}

/** 95 % point of Student's t by the Cornish-Fisher series; within 1 % from 3 degrees of freedom on, 2 is the least. */
function tQuantile95(freedom: number): number {
  const z = 1.6448536
  const v = Math.max(2, freedom)
  return (
    z +
    (z ** 3 + z) / (4 * v) +
    (5 * z ** 5 + 16 * z ** 3 + 3 * z) / (96 * v ** 2) +
    (3 * z ** 7 + 19 * z ** 5 + 17 * z ** 3 - 15 * z) / (384 * v ** 3)
  )
}

/** Share of a standard normal below z (Abramowitz and Stegun 7.1.26, error below 1.5e-7). */
function normalShare(z: number): number {
  const x = Math.abs(z) / Math.SQRT2
  const t = 1 / (1 + 0.3275911 * x)
  const tail =
    t * (0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429)))) * Math.exp(-x * x)
  return z >= 0 ? 1 - tail / 2 : tail / 2
}
