/**
 * A probe in a closed box over a wet salt, whose humidity is known. Read only once the box is steady; one salt gives an
 * offset, two salts also tell whether one offset can serve the whole range.
 */
import { saturationVaporPressurePa } from '../physics/air.ts'
import { SALTS, type Salt, saltRhPct } from '../physics/salts.ts'
import { HOUR_MS, type HourSpan } from './hourly.ts'
import type { ReadingColumns } from './quantities.ts'
import { median } from './robust.ts'
import { robustLine } from './robustLine.ts'

/** Those that are easily bought; at 20 °C about 11, 33, 75, 85 and 98 % RH. */
export const CHECK_SALTS = ['LiCl', 'MgCl2', 'NaCl', 'KCl', 'K2SO4'] as const satisfies readonly Salt[]
export type CheckSalt = (typeof CHECK_SALTS)[number]

/** By the names of advice/defaults.ts. */
export interface SaltLimits {
  saltMinHours: number
  saltWatchHours: number
  saltDriftPctPerH: number
  saltSwingK: number
  saltBoxK: number
  saltWorkRhPct: number
  saltReachRhPct: number
  checkFineRhPct: number
  checkRejectRhPct: number
}

/** What the probe read over one salt, once steady. Offsets are probe minus salt. */
export interface SaltPoint {
  salt: CheckSalt
  from: number
  to: number
  tempC: number
  readPct: number
  expectedPct: number
  offsetPct: number
  /** Half of a 95 % interval: the table's uncertainty, unequal temperatures, the probe's scatter. */
  marginPct: number
}

export type SaltReading = { settled: true; point: SaltPoint } | { settled: false; reason: string; hoursToGo: number }

/** Fewer readings than this say nothing of drift and scatter. */
const MIN_READINGS = 6
/** The table reaches further, yet a box this far from a room is never equally warm. Proposal. */
const ROOM_C = [5, 35] as const

/**
 * @param readings of the probe, with the corrections it has so far
 * @param span from when the box was closed to now
 */
export function saltReading(
  readings: ReadingColumns,
  salt: CheckSalt,
  span: HourSpan,
  limits: SaltLimits,
): SaltReading {
  const passed = (span.to - span.from) / HOUR_MS
  const still = (reason: string, hoursToGo: number): SaltReading => ({ settled: false, reason, hoursToGo })
  const watchFrom = Math.max(span.from, span.to - limits.saltWatchHours * HOUR_MS)
  const rows = [...readings.at.keys()].filter(
    (i) =>
      readings.at[i]! >= watchFrom &&
      readings.at[i]! < span.to &&
      !Number.isNaN((readings.tempC?.[i] ?? Number.NaN) + (readings.rhPct?.[i] ?? Number.NaN)),
  )
  const minLeft = Math.max(0, limits.saltMinHours - passed)
  if (rows.length < MIN_READINGS) {
    const heard = `It was heard ${rows.length} times with temperature and RH in the last ${limits.saltWatchHours} hours; ${MIN_READINGS} are needed.`
    return still(heard, Math.max(minLeft, limits.saltWatchHours / 2))
  }
  if (minLeft > 0) {
    return still(`The air over the salt needs ${limits.saltMinHours} hours to settle.`, minLeft)
  }
  const tempC = rows.map((i) => readings.tempC![i]!)
  const rhPct = rows.map((i) => readings.rhPct![i]!)
  const swingK = Math.max(...tempC) - Math.min(...tempC)
  if (swingK > limits.saltSwingK) {
    const reason = `Its temperature moved too much in the last ${limits.saltWatchHours} hours: probe and salt are not equally warm. Put the box where the temperature keeps still, away from sun and heating.`
    return still(reason, limits.saltWatchHours)
  }
  const middleC = median(tempC)
  if (middleC < ROOM_C[0] || middleC > ROOM_C[1]) {
    return still('The box is too cold or too hot to be judged. Keep it at room temperature.', limits.saltMinHours)
  }
  const hours = rows.map((i) => (readings.at[i]! - watchFrom) / HOUR_MS)
  const line = robustLine(hours, rhPct)
  if (Math.abs(line.slope) > limits.saltDriftPctPerH) {
    const reason = `RH still ${line.slope > 0 ? 'rises' : 'falls'} by ${Math.abs(line.slope).toFixed(1)} % an hour.`
    return still(reason, limits.saltWatchHours)
  }
  const expectedPct = saltRhPct(salt, middleC)
  const readPct = median(rhPct)
  const unequalPct = limits.saltBoxK * rhPerK(expectedPct, middleC)
  // Readings of one settled box resemble each other: a dozen count as three.
  const scatterPct = (1.96 * line.scatter) / Math.sqrt(Math.max(1, rows.length / 4))
  const point: SaltPoint = {
    salt,
    from: watchFrom,
    to: span.to,
    tempC: middleC,
    readPct,
    expectedPct,
    offsetPct: readPct - expectedPct,
    marginPct: Math.hypot(SALTS[salt].uncertaintyPct, unequalPct, scatterPct),
  }
  return { settled: true, point }
}

/** How much the RH of the same vapor changes for one kelvin. */
function rhPerK(rhPct: number, tempC: number): number {
  const es = saturationVaporPressurePa
  return (rhPct * (es(tempC + 0.5) - es(tempC - 0.5))) / es(tempC)
}

export interface SaltVerdict {
  verdict: 'fine' | 'correct' | 'reject'
  /** Probe minus salt: of one salt, or of two at the RH the trade works in. */
  offsetPct: number
  marginPct: number
  /** Change of what the probe reads for one percent of true RH; null with one salt. */
  slope: number | null
  /** To be added to its RH; null when nothing is. */
  correctionPct: number | null
  reason: string
}

/** @param points of one probe over one salt or two different ones */
export function judgeSalts(points: readonly SaltPoint[], limits: SaltLimits): SaltVerdict {
  const [first, second] = [...points].sort((a, b) => a.expectedPct - b.expectedPct)
  if (first === undefined) throw new RangeError('A salt check needs a reading over at least one salt.')
  if (second === undefined) return judged(first.offsetPct, first.marginPct, null, limits)
  const apart = second.expectedPct - first.expectedPct
  const perPct = (second.offsetPct - first.offsetPct) / apart
  const share = (limits.saltWorkRhPct - first.expectedPct) / apart
  const offsetPct = first.offsetPct + share * (second.offsetPct - first.offsetPct)
  const marginPct = Math.hypot((1 - share) * first.marginPct, share * second.marginPct)
  const left = Math.abs(perPct) * limits.saltReachRhPct
  if (left > limits.checkFineRhPct) {
    const [from, to] = [limits.saltWorkRhPct - limits.saltReachRhPct, limits.saltWorkRhPct + limits.saltReachRhPct]
    return {
      verdict: 'reject',
      offsetPct,
      marginPct,
      slope: 1 + perPct,
      correctionPct: null,
      reason: `Its error changes with humidity: one correction would leave ${left.toFixed(1)} % RH between ${from} and ${to} %. Replace it.`,
    }
  }
  return judged(offsetPct, marginPct, 1 + perPct, limits)
}

function judged(offsetPct: number, marginPct: number, slope: number | null, limits: SaltLimits): SaltVerdict {
  const size = Math.abs(offsetPct)
  const way = offsetPct > 0 ? 'high' : 'low'
  const told = `It reads ${size.toFixed(1)} % RH too ${way}, give or take ${marginPct.toFixed(1)}`
  const found = { offsetPct, marginPct, slope }
  if (size > limits.checkRejectRhPct) {
    const reason = `${told}: more than ${limits.checkRejectRhPct} % is a worn or wetted sensor. Let it dry for two days and check again, or replace it.`
    return { ...found, verdict: 'reject', correctionPct: null, reason }
  }
  if (size <= Math.max(limits.checkFineRhPct, marginPct)) {
    return { ...found, verdict: 'fine', correctionPct: null, reason: `${told}: good enough as it is.` }
  }
  return { ...found, verdict: 'correct', correctionPct: -Math.round(offsetPct * 10) / 10, reason: `${told}.` }
}
