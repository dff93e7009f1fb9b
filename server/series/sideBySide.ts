/**
 * Loggers that lie side by side in the same air should agree. Their differences then are sensor offsets, and the
 * cheapest gain in accuracy there is.
 */
import { denseHours, HOUR_MS, type HourlyColumns, type HourSpan } from './hourly.ts'
import { median, medianAcross, robustSpread } from './robust.ts'
import { type SensorAccuracy, vaporUncertaintyPa } from './sensorUncertainty.ts'
import { type Laid, outlying, type SideBySideLimits, withoutOutliers } from './sideBySideOutliers.ts'

/** Loggers that were just laid together still carry the air they came from. */
const SETTLED_K_PER_H = 0.5
const SETTLED_RH_PER_H = 2
/**
 * The air of one box is not all alike: six real loggers that lay in one room agreed within this for eight hours
 * (TRH-database, house R1).
 */
const ONE_AIR: SensorAccuracy = { rhPct: 0.3, tempC: 0.05 }
export const SIDE_BY_SIDE_MIN_HOURS = 8
export const SIDE_BY_SIDE_ADVISED_HOURS = 24

export interface ProbeOffset {
  key: string
  verdict: 'fine' | 'correct' | 'reject'
  reason: string
  /** This probe minus the middle of those that agree [K, % RH, Pa], with half of a 90 % interval. */
  tempOffsetK: number
  tempMarginK: number
  rhOffsetPct: number
  rhMarginPct: number
  vaporOffsetPa: number
  vaporMarginPa: number
}

/** What to add to the probe's readings so that it agrees with the others; `offset` as in series/corrections.ts. */
export interface ProposedCorrection {
  key: string
  quantity: 'tempC' | 'rhPct'
  offset: number
  why: string
}

export type SideBySide =
  | {
      verdict: 'no correction needed' | 'correct these' | 'reject these'
      hours: number
      offsets: ProbeOffset[]
      corrections: ProposedCorrection[]
      reason: string
    }
  /** `hours`: calm ones so far. */
  | { verdict: 'cannot tell'; hours: number; reason: string; needs: string }

/**
 * @param probes hour values, with the corrections made so far: what is found then is what is still missing
 * @param span in which they lay together, whole hours
 */
export function sideBySideOffsets(
  probes: readonly { key: string; hours: Pick<HourlyColumns, keyof HourlyColumns> }[],
  span: HourSpan,
  limits: SideBySideLimits,
): SideBySide {
  if (probes.length < 2) {
    return {
      verdict: 'cannot tell',
      hours: 0,
      reason: 'One probe alone has nothing to agree with.',
      needs: 'a second probe beside it',
    }
  }
  const whole = { from: Math.ceil(span.from / HOUR_MS) * HOUR_MS, to: Math.floor(span.to / HOUR_MS) * HOUR_MS }
  const dense = probes.map(({ hours }) => denseHours(hours, { from: whole.from, to: Math.max(whole.from, whole.to) }))
  const tempC = dense.map((hours) => hours.tempC)
  const rhPct = dense.map((hours) => hours.rhPct)
  const settled = settledRows(tempC, rhPct)
  if (settled.length < SIDE_BY_SIDE_MIN_HOURS) {
    return {
      verdict: 'cannot tell',
      hours: settled.length,
      reason: `Only ${settled.length} hours had every probe reporting in calm air; ${SIDE_BY_SIDE_MIN_HOURS} are needed.`,
      needs: `${SIDE_BY_SIDE_ADVISED_HOURS} hours together in one closed box or bag, indoors`,
    }
  }
  const pick = (column: Float64Array) => Float64Array.from(settled, (i) => column[i]!)
  const laid = probes.map(({ key }, p): Laid => {
    const { tempC, rhPct, vaporPressurePa } = dense[p]!
    return { key, tempC: pick(tempC), rhPct: pick(rhPct), vaporPa: pick(vaporPressurePa) }
  })
  const { agreeing, rejected } = withoutOutliers(laid, limits)
  if (agreeing.length === 2 && outlying(agreeing[0]!, agreeing, limits) !== null) {
    return {
      verdict: 'cannot tell',
      hours: settled.length,
      reason: `${agreeing[0]!.key} and ${agreeing[1]!.key} are further apart than sensors in order are, and two cannot tell which is wrong.`,
      needs: 'a third probe beside them, or a check of each over salt',
    }
  }
  return told(laid, agreeing, rejected, settled.length, limits)
}

function told(
  laid: readonly Laid[],
  agreeing: readonly Laid[],
  rejected: ReadonlyMap<string, string>,
  hours: number,
  limits: SideBySideLimits,
): SideBySide {
  const middle = {
    tempC: medianAcross(agreeing.map(({ tempC }) => tempC)),
    rhPct: medianAcross(agreeing.map(({ rhPct }) => rhPct)),
    vaporPa: medianAcross(agreeing.map(({ vaporPa }) => vaporPa)),
  }
  const oneAirPa = vaporUncertaintyPa(median(middle.tempC), median(middle.rhPct), ONE_AIR)
  const plain = laid.map((probe) => {
    const [tempOffsetK, tempMarginK] = offsetOf(probe.tempC, middle.tempC, ONE_AIR.tempC)
    const [rhOffsetPct, rhMarginPct] = offsetOf(probe.rhPct, middle.rhPct, ONE_AIR.rhPct)
    const [vaporOffsetPa, vaporMarginPa] = offsetOf(probe.vaporPa, middle.vaporPa, oneAirPa)
    return { key: probe.key, tempOffsetK, tempMarginK, rhOffsetPct, rhMarginPct, vaporOffsetPa, vaporMarginPa }
  })
  const kept = plain.filter(({ key }) => !rejected.has(key))
  const spreadOf = (of: (offset: (typeof plain)[number]) => number) =>
    Math.max(...kept.map(of)) - Math.min(...kept.map(of))
  const tempSpread = spreadOf((offset) => offset.tempOffsetK)
  const rhSpread = spreadOf((offset) => offset.rhOffsetPct)
  const reason = `Over ${hours} calm hours together ${kept.length} probes lay within ${rhSpread.toFixed(1)} % RH of each other${tempSpread > limits.checkFineTempK ? '; their temperatures lay apart' : ' and agreed in temperature'}.`
  const why = `Side by side with ${kept.length - 1} others for ${hours} calm hours`
  const corrections = kept.flatMap(({ key, tempOffsetK, rhOffsetPct }): ProposedCorrection[] => {
    const found: ProposedCorrection[] = []
    // Within half the line a probe agrees; correcting it as well would only add the noise of this one check.
    if (tempSpread > limits.checkFineTempK && Math.abs(tempOffsetK) > limits.checkFineTempK / 2) {
      found.push({ key, quantity: 'tempC', offset: -round(tempOffsetK), why })
    }
    if (rhSpread > limits.checkFineRhPct && Math.abs(rhOffsetPct) > limits.checkFineRhPct / 2) {
      found.push({ key, quantity: 'rhPct', offset: -round(rhOffsetPct), why })
    }
    return found
  })
  const offsets = plain.map((offset): ProbeOffset => {
    const out = rejected.get(offset.key)
    if (out !== undefined) return { ...offset, verdict: 'reject', reason: out }
    const corrected = corrections.some(({ key }) => key === offset.key)
    return corrected
      ? { ...offset, verdict: 'correct', reason: 'It stands apart from the others by more than sensors in order do.' }
      : { ...offset, verdict: 'fine', reason: 'It agrees with the others.' }
  })
  const verdict = rejected.size > 0 ? 'reject these' : corrections.length > 0 ? 'correct these' : 'no correction needed'
  return { verdict, hours, offsets, corrections, reason }
}

/** Hours in which every probe reported and the middle of all hardly changed. */
function settledRows(tempC: Float64Array[], rhPct: Float64Array[]): number[] {
  const [middleTemp, middleRh] = [medianAcross(tempC), medianAcross(rhPct)]
  const rows: number[] = []
  for (let i = 1; i < middleTemp.length; i++) {
    const all = tempC.every((column, p) => !Number.isNaN(column[i]! + rhPct[p]![i]!))
    const calm =
      Math.abs(middleTemp[i]! - middleTemp[i - 1]!) <= SETTLED_K_PER_H &&
      Math.abs(middleRh[i]! - middleRh[i - 1]!) <= SETTLED_RH_PER_H
    if (all && calm) rows.push(i)
  }
  return rows
}

/**
 * Middle difference and half of its 90 % interval, with what the air of one box leaves open; hours of one day count as a
 * quarter, because they resemble each other.
 */
function offsetOf(values: Float64Array, middle: Float64Array, oneAir: number): [offset: number, margin: number] {
  const apart = values.map((value, i) => value - middle[i]!)
  const independent = Math.max(2, apart.length / 4)
  return [median(apart), Math.hypot(oneAir, (1.645 * robustSpread(apart)) / Math.sqrt(independent))]
}

const round = (value: number) => Math.round(value * 100) / 100
