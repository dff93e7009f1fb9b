/** Two states with a memory: liquid water and the damp of a closed space. Both are on and off by different lines. */
import type { ObservedSpot } from './observed.ts'

/** One reading of four is a splash or a fault; half an hour's readings, or two hours in a row, are water. */
const LIQUID_ON_SHARE = 0.5

export interface LiquidLimits {
  /** Dry hours before liquid counts as gone. */
  liquidOffHours: number
}

/** 1 liquid, 0 none, NaN never heard; null when the spot has no sensor for it. A gap keeps the state. */
export function liquidByHour(
  { waterPresentShare: share }: ObservedSpot,
  { liquidOffHours }: LiquidLimits,
): Float64Array | null {
  if (share === undefined) return null
  let state = Number.NaN
  let dryHours = 0
  return share.map((value, h) => {
    if (Number.isNaN(value)) return state
    dryHours = value > 0 ? 0 : dryHours + 1
    if (value >= LIQUID_ON_SHARE || (value > 0 && h > 0 && share[h - 1]! > 0)) state = 1
    else if (state !== 1 || dryHours >= liquidOffHours) state = 0
    return state
  })
}

export interface ClosedLimits {
  completeDayShare: number
  closedOnRhPct: number
  closedOffRhPct: number
  closedHours: number
}

/**
 * Damp of a closed space by its 24 h mean RH: on above the upper line, off when the mean stayed below the lower line for
 * 24 h. Hours whose mean is not known keep the state and start the stay anew.
 */
export function closedDampByHour(
  rhPct: Float64Array,
  limits: ClosedLimits,
): { damp: Float64Array; meanPct: Float64Array } {
  const hours = limits.closedHours
  const damp = new Float64Array(rhPct.length).fill(Number.NaN)
  const meanPct = new Float64Array(rhPct.length).fill(Number.NaN)
  let [sum, known, below, state] = [0, 0, 0, Number.NaN]
  for (let h = 0; h < rhPct.length; h++) {
    const [entering, leaving] = [rhPct[h]!, h >= hours ? rhPct[h - hours]! : Number.NaN]
    if (!Number.isNaN(entering)) [sum, known] = [sum + entering, known + 1]
    if (!Number.isNaN(leaving)) [sum, known] = [sum - leaving, known - 1]
    if (h + 1 >= hours && known >= limits.completeDayShare * hours) {
      const mean = sum / known
      meanPct[h] = mean
      below = mean < limits.closedOffRhPct ? below + 1 : 0
      if (mean > limits.closedOnRhPct) state = 1
      else if (Number.isNaN(state) || below >= hours) state = 0
    } else below = 0
    damp[h] = state
  }
  return { damp, meanPct }
}
