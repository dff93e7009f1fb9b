/**
 * Loggers that lie side by side in the same air should agree. Their differences then are sensor offsets, and the
 * cheapest gain in accuracy there is.
 */
import { denseHours, HOUR_MS, type HourlyColumns, type HourSpan } from './hourly.ts'
import { median, medianAcross, robustSpread } from './robust.ts'

/** A spread above these between loggers in one box means offsets to correct. Common practice, no source. */
export const AGREE_RH_PCT = 2
export const AGREE_TEMP_K = 0.28
/** Loggers that were just laid together still carry the air they came from. */
const SETTLED_K_PER_H = 0.5
const SETTLED_RH_PER_H = 2
const MIN_HOURS = 8
const ADVISED_HOURS = 24

export interface ProbeOffset {
  key: string
  /** This probe minus the middle of all [K and % RH], with half of a 90 % interval. */
  tempOffsetK: number
  tempMarginK: number
  rhOffsetPct: number
  rhMarginPct: number
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
      verdict: 'no correction needed' | 'correct these'
      hours: number
      offsets: ProbeOffset[]
      corrections: ProposedCorrection[]
      reason: string
    }
  | { verdict: 'cannot tell'; reason: string; needs: string }

/**
 * @param probes hour values without corrections, at least two
 * @param span in which they lay together, whole hours
 */
export function sideBySideOffsets(
  probes: readonly { key: string; hours: Pick<HourlyColumns, keyof HourlyColumns> }[],
  span: HourSpan,
): SideBySide {
  if (probes.length < 2) {
    return {
      verdict: 'cannot tell',
      reason: 'One probe alone has nothing to agree with.',
      needs: 'a second probe beside it',
    }
  }
  const whole = { from: Math.ceil(span.from / HOUR_MS) * HOUR_MS, to: Math.floor(span.to / HOUR_MS) * HOUR_MS }
  const dense = probes.map(({ hours }) => denseHours(hours, whole))
  const tempC = dense.map((hours) => hours.tempC)
  const rhPct = dense.map((hours) => hours.rhPct)
  const settled = settledRows(tempC, rhPct)
  if (settled.length < MIN_HOURS) {
    return {
      verdict: 'cannot tell',
      reason: `Only ${settled.length} hours had every probe reporting in calm air; ${MIN_HOURS} are needed.`,
      needs: `${ADVISED_HOURS} hours together in one closed box or bag, indoors`,
    }
  }
  const pick = (columns: Float64Array[]) => columns.map((column) => Float64Array.from(settled, (i) => column[i]!))
  const [temps, rhs] = [pick(tempC), pick(rhPct)]
  const [middleTemp, middleRh] = [medianAcross(temps), medianAcross(rhs)]
  const offsets = probes.map(({ key }, p): ProbeOffset => {
    const [tempOffsetK, tempMarginK] = offsetOf(temps[p]!, middleTemp)
    const [rhOffsetPct, rhMarginPct] = offsetOf(rhs[p]!, middleRh)
    return { key, tempOffsetK, tempMarginK, rhOffsetPct, rhMarginPct }
  })
  const spreadOf = (of: (offset: ProbeOffset) => number) => Math.max(...offsets.map(of)) - Math.min(...offsets.map(of))
  const tempSpread = spreadOf((offset) => offset.tempOffsetK)
  const rhSpread = spreadOf((offset) => offset.rhOffsetPct)
  const hours = settled.length
  const reason = `Over ${hours} calm hours together the ${probes.length} probes lay within ${tempSpread.toFixed(2)} K and ${rhSpread.toFixed(1)} % RH.`
  if (tempSpread <= AGREE_TEMP_K && rhSpread <= AGREE_RH_PCT) {
    return { verdict: 'no correction needed', hours, offsets, corrections: [], reason }
  }
  const why = `Side by side with ${probes.length - 1} others for ${hours} calm hours`
  const corrections = offsets.flatMap((offset): ProposedCorrection[] => {
    const { key, tempOffsetK, rhOffsetPct } = offset
    const found: ProposedCorrection[] = []
    // Within half the line a probe agrees; correcting it as well would only add the noise of this one check.
    if (tempSpread > AGREE_TEMP_K && Math.abs(tempOffsetK) > AGREE_TEMP_K / 2) {
      found.push({ key, quantity: 'tempC', offset: -round(tempOffsetK), why })
    }
    if (rhSpread > AGREE_RH_PCT && Math.abs(rhOffsetPct) > AGREE_RH_PCT / 2) {
      found.push({ key, quantity: 'rhPct', offset: -round(rhOffsetPct), why })
    }
    return found
  })
  return { verdict: 'correct these', hours, offsets, corrections, reason }
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

/** Middle difference and half of its 90 % interval; hours of one day count as a quarter, because they resemble each other. */
function offsetOf(values: Float64Array, middle: Float64Array): [offset: number, margin: number] {
  const apart = values.map((value, i) => value - middle[i]!)
  const independent = Math.max(2, apart.length / 4)
  return [median(apart), (1.645 * robustSpread(apart)) / Math.sqrt(independent)]
}

const round = (value: number) => Math.round(value * 100) / 100
