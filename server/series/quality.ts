/**
 * Faults that one probe's own readings show. All look at most `LOCAL_MARKS_REACH_MS` to either side, so that an hour
 * gets the same marks whether a day or ten years are rebuilt. Lines are proposals, common practice without a source.
 */
import type { Mark } from './marks.ts'
import type { ReadingColumns } from './quantities.ts'

const MINUTE_MS = 60_000
const HOUR_MS = 60 * MINUTE_MS
export const GAP_MS = 3 * HOUR_MS
export const GAP_EVENT_MS = 120 * HOUR_MS
const STUCK_BOTH_MS = 24 * HOUR_MS
const STUCK_RH_MS = 48 * HOUR_MS
/** At saturation a steady 100 % is ordinary; from here on unchanged RH alone proves nothing. */
const STUCK_RH_BELOW_PCT = 99
const SATURATED_PCT = 95
const SATURATED_MS = 24 * HOUR_MS
const DRIED_OUT_PCT = 90
const SLOW_FALL_MS = 48 * HOUR_MS
const SPIKE_MS = 75 * MINUTE_MS
const SPIKE_TEMP_C = 2
const SPIKE_RH_PCT = 8
/** More jumps than this in a day are a machine that switches on and off, not visits. */
const SPIKES_A_DAY = 4
/** An instrument that reads less often than this cannot show a spike. */
const SPIKE_STEP_MS = 35 * MINUTE_MS

export const LOCAL_MARKS_REACH_MS = 96 * HOUR_MS

/** Silence longer than 3 h between two readings; nothing is ever interpolated across one. */
export function gapMarks(at: Float64Array): Mark[] {
  const marks: Mark[] = []
  for (let i = 1; i < at.length; i++) {
    const silentMs = at[i]! - at[i - 1]!
    if (silentMs <= GAP_MS) continue
    const hours = silentMs / HOUR_MS
    const long = silentMs > GAP_EVENT_MS ? ' Longer than 5 days: look for a flat battery or a lost logger.' : ''
    const reason = `No reading for ${hours >= 48 ? `${(hours / 24).toFixed(1)} days` : `${hours.toFixed(1)} hours`}.${long}`
    marks.push({ kind: 'gap', from: at[i - 1]!, to: at[i]!, reason, numbers: { silentHours: hours } })
  }
  return marks
}

/** Temperature and RH both unchanged for 24 h, or RH alone for 48 h below 99 %. */
export function stuckMarks({ at, tempC, rhPct }: ReadingColumns): Mark[] {
  if (!rhPct) return []
  const marks: Mark[] = []
  if (tempC) {
    for (const [first, last] of runs(at, (i, start) => tempC[i] === tempC[start] && rhPct[i] === rhPct[start])) {
      if (at[last]! - at[first]! < STUCK_BOTH_MS) continue
      const hours = (at[last]! - at[first]!) / HOUR_MS
      const reason = `Temperature and RH did not change at all for ${hours.toFixed(0)} hours: the sensor is stuck.`
      marks.push({ kind: 'stuck', from: at[first]!, to: at[last]! + 1, reason, numbers: { unchangedHours: hours } })
    }
  }
  for (const [first, last] of runs(at, (i, start) => rhPct[i] === rhPct[start])) {
    if (at[last]! - at[first]! < STUCK_RH_MS || rhPct[first]! >= STUCK_RH_BELOW_PCT) continue
    const hours = (at[last]! - at[first]!) / HOUR_MS
    if (marks.some((mark) => mark.from <= at[first]! && mark.to > at[last]!)) continue
    const reason = `RH stayed at exactly ${rhPct[first]!.toFixed(1)} % for ${hours.toFixed(0)} hours: the sensor is stuck.`
    const numbers = { unchangedHours: hours, rhPct: rhPct[first]! }
    marks.push({ kind: 'stuck', from: at[first]!, to: at[last]! + 1, reason, numbers })
  }
  return marks
}

/**
 * RH at 95 % or more for a day, and the slow fall after it until 90 % (at most 48 h): a wetted sensor reads high for
 * hours to days. It may also be the truth, so these hours stay in use and carry the doubt.
 */
export function saturatedMarks({ at, rhPct }: ReadingColumns): Mark[] {
  if (!rhPct) return []
  const marks: Mark[] = []
  for (const [first, last] of runs(at, (i) => rhPct[i]! >= SATURATED_PCT)) {
    if (!(rhPct[first]! >= SATURATED_PCT) || at[last]! - at[first]! < SATURATED_MS) continue
    let end = last
    while (end + 1 < at.length && rhPct[end + 1]! >= DRIED_OUT_PCT && at[end + 1]! - at[last]! <= SLOW_FALL_MS) end++
    const hours = (at[last]! - at[first]!) / HOUR_MS
    const reason = `RH at ${SATURATED_PCT} % or more for ${hours.toFixed(0)} hours: the sensor may be wet and read high until it has dried.`
    marks.push({ kind: 'saturated', from: at[first]!, to: at[end]! + 1, reason, numbers: { saturatedHours: hours } })
  }
  return marks
}

/** A jump that is gone within 75 minutes, such as a person in the space makes. */
export function spikeMarks(readings: ReadingColumns): Mark[] {
  const { at, tempC, rhPct } = readings
  const found: Mark[] = []
  for (let i = 0; i + 2 < at.length; i++) {
    if (at[i + 1]! - at[i]! > SPIKE_STEP_MS) continue
    const tempStep = tempC ? Math.abs(tempC[i + 1]! - tempC[i]!) : 0
    const rhStep = rhPct ? Math.abs(rhPct[i + 1]! - rhPct[i]!) : 0
    if (!(tempStep > SPIKE_TEMP_C || rhStep > SPIKE_RH_PCT)) continue
    for (let j = i + 2; j < at.length && at[j]! - at[i + 1]! <= SPIKE_MS; j++) {
      const tempBack = !tempC || Math.abs(tempC[j]! - tempC[i]!) < SPIKE_TEMP_C / 2
      const rhBack = !rhPct || Math.abs(rhPct[j]! - rhPct[i]!) < SPIKE_RH_PCT / 2
      if (!tempBack || !rhBack) continue
      const minutes = (at[j]! - at[i + 1]!) / MINUTE_MS
      const reason = `Jumped by ${tempStep.toFixed(1)} K and ${rhStep.toFixed(0)} % RH and was back after ${minutes.toFixed(0)} minutes, as when somebody is in the space.`
      const numbers = { tempStepC: tempStep, rhStepPct: rhStep, minutes }
      found.push({ kind: 'spike', from: at[i + 1]!, to: at[j]!, reason, numbers })
      i = j - 1
      break
    }
  }
  let first = 0
  let end = 0
  return found.filter((spike) => {
    while (spike.from - found[first]!.from > 12 * HOUR_MS) first++
    while (end < found.length && found[end]!.from - spike.from <= 12 * HOUR_MS) end++
    return end - first <= SPIKES_A_DAY
  })
}

/** Every mark that sets bits in the stored hours: those a stretch of one probe's readings shows by itself. */
export const localMarks = (readings: ReadingColumns): Mark[] => [
  ...stuckMarks(readings),
  ...saturatedMarks(readings),
  ...spikeMarks(readings),
]

/** First and last index of each stretch that `same(i, start)` joins; a gap ends a stretch. */
function* runs(at: Float64Array, same: (i: number, start: number) => boolean): Generator<[number, number]> {
  let start = 0
  for (let i = 1; i <= at.length; i++) {
    if (i < at.length && same(i, start) && at[i]! - at[i - 1]! <= GAP_MS) continue
    if (at.length > 0) yield [start, i - 1]
    start = i
  }
}
