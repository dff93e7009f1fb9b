/**
 * Faults that show only beside other probes of the same space, on one common hour grid. Rules and lines of the clock,
 * unit and gap checks were tried on one fault each put into eight invented houses (DEVELOPERS.md); the others are
 * proposals, common practice without a source.
 */
import type { LocalDay } from './days.ts'
import { dailyMeans } from './days.ts'
import { HOUR_MS } from './hourly.ts'
import type { Mark } from './marks.ts'
import { median, medianAcross, robustSpread } from './robust.ts'

export interface ProbeHours {
  key: string
  /** One value an hour [°C], NaN where missing. */
  tempC: Float64Array
}

export interface ProbeMark extends Mark {
  probe: string
}

const SWAP_APART_K = 8
const SWAP_WITHIN_K = 4
const SWAP_HOURS = 6
/** A wrong unit comes in one step; a wall cavity in a frosty night drifts there over hours. */
export const UNIT_STEP_K = 5

/** Far from the others, and close to them once °F and °C are exchanged. */
export const readsInOtherUnit = (tempC: number, othersTempC: number): boolean =>
  Math.abs(tempC - othersTempC) > SWAP_APART_K &&
  Math.min(Math.abs((tempC - 32) / 1.8 - othersTempC), Math.abs(tempC * 1.8 + 32 - othersTempC)) <= SWAP_WITHIN_K

/** Fahrenheit read as Celsius or the reverse, told by the others in the space. Needs three probes to know which is wrong. */
export function unitSwapMarks(probes: readonly ProbeHours[], from: number): ProbeMark[] {
  if (probes.length < 3) return []
  const marks: ProbeMark[] = []
  for (const [p, { key, tempC }] of probes.entries()) {
    const others = medianAcross(
      probes.map((probe) => probe.tempC),
      p,
    )
    const swapped = (i: number) => readsInOtherUnit(tempC[i]!, others[i]!)
    for (const [first, end] of stretches(tempC, swapped)) {
      if (end - first < SWAP_HOURS) continue
      if (first > 0 && Math.abs(tempC[first]! - tempC[first - 1]!) < UNIT_STEP_K) continue
      const numbers = { hours: end - first, tempC: tempC[first]!, othersTempC: others[first]! }
      const reason = `Reads ${tempC[first]!.toFixed(0)} where the other probes read ${others[first]!.toFixed(0)} °C, as if its unit were mixed up (°F and °C).`
      marks.push({
        kind: 'unit swap',
        probe: key,
        from: from + first * HOUR_MS,
        to: from + end * HOUR_MS,
        reason,
        numbers,
      })
    }
  }
  return marks
}

const MOVED_K = 1.5
const MOVED_NOISE = 5
const MOVED_DAYS = 7
/** The step must be there from one day to the next but one; weather and seasons take longer. */
const MOVED_SHARP = 0.6

/** A step in temperature against the others that stays: the probe hangs somewhere else now. Needs three probes. */
export function movedMarks(probes: readonly ProbeHours[], days: readonly LocalDay[]): ProbeMark[] {
  if (probes.length < 3) return []
  const daily = probes.map((probe) => dailyMeans(days, probe.tempC))
  const marks: ProbeMark[] = []
  for (const [p, { key }] of probes.entries()) {
    const others = medianAcross(daily, p)
    const apart = daily[p]!.map((value, d) => value - others[d]!)
    const steps = apart.map((_, d) => stepAt(apart, d))
    for (let d = 0; d < steps.length; d++) {
      const step = steps[d]!
      const around = steps.slice(Math.max(0, d - MOVED_DAYS), d + MOVED_DAYS + 1)
      if (Number.isNaN(step) || around.some((other) => Math.abs(other) > Math.abs(step))) continue
      const day = days[d]!
      const reason = `From ${day.date} on it reads ${Math.abs(step).toFixed(1)} K ${step > 0 ? 'warmer' : 'colder'} against the other probes than before: it was probably moved. Enter the new placement.`
      marks.push({ kind: 'moved', probe: key, from: day.from, to: day.to, reason, numbers: { stepK: step } })
      d += MOVED_DAYS
    }
  }
  return marks
}

/** Size of the step that begins on day d [K], NaN where there is none worth the name. */
function stepAt(apart: Float64Array, d: number): number {
  const before = apart.slice(Math.max(0, d - MOVED_DAYS), d).filter((value) => !Number.isNaN(value))
  const after = apart.slice(d, d + MOVED_DAYS).filter((value) => !Number.isNaN(value))
  if (before.length < 5 || after.length < 5) return Number.NaN
  const step = median(after) - median(before)
  const noise = Math.max(robustSpread(before), robustSpread(after))
  const sharp = after[1]! - before[before.length - 2]!
  if (Math.abs(step) < Math.max(MOVED_K, MOVED_NOISE * noise) || sharp / step < MOVED_SHARP) return Number.NaN
  return step
}

const SUN_ABOVE_K = 5
const SUN_JUMP_K = 6
const SUN_FALL_K = 3

/**
 * An outdoor probe in the sun: far above the station beyond its own usual difference, or, without a station, a jump of
 * 6 K within an hour that is mostly gone three hours later. Its vapor pressure stays right (sensor and air warm
 * together); its temperature and RH do not.
 */
export function sunStruckMarks(outdoor: ProbeHours, from: number, stationTempC?: Float64Array): ProbeMark[] {
  const { key, tempC } = outdoor
  const above = stationTempC && tempC.map((value, i) => value - stationTempC[i]!)
  const usual = above ? median(above) : 0
  const struck = above
    ? (i: number) => above[i]! - usual > SUN_ABOVE_K
    : (i: number) => tempC[i]! - tempC[i - 1]! > SUN_JUMP_K && tempC[i]! - tempC[i + 3]! > SUN_FALL_K
  return stretches(tempC, struck).map(([first, end]) => {
    const top = Math.max(...tempC.slice(first, end))
    const against = stationTempC
      ? `${(top - median(stationTempC.slice(first, end))).toFixed(0)} K above the weather station`
      : 'after a jump that no weather makes'
    const reason = `Up to ${top.toFixed(0)} °C, ${against}: the sun shines on it. Hang it on the north side or shade it.`
    const numbers = { topTempC: top, hours: end - first }
    return { kind: 'sun-struck', probe: key, from: from + first * HOUR_MS, to: from + end * HOUR_MS, reason, numbers }
  })
}

/** First row and end of each stretch where `holds`. */
function stretches(column: Float64Array, holds: (i: number) => boolean): [number, number][] {
  const found: [number, number][] = []
  for (let i = 0; i < column.length; i++) {
    if (!holds(i)) continue
    const first = i
    while (i + 1 < column.length && holds(i + 1)) i++
    found.push([first, i + 1])
  }
  return found
}
