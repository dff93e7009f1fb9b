/** What the sensors' own accuracy leaves open in a vapor pressure and in a difference of two. */
import { saturationVaporPressurePa } from '../physics/air.ts'

/** Of ordinary loggers, where the house does not say: ±2 % RH and ±0.5 °F. Common practice, no source. */
export const USUAL_ACCURACY = { rhPct: 2, tempC: 0.28 }
/** Once loggers were compared and corrected, a third of that is left (about 50 of 150 Pa in the trade notes; proposal). */
export const CHECKED_SHARE = 1 / 3

export interface SensorAccuracy {
  rhPct: number
  tempC: number
}

/**
 * Half-width [Pa] of a vapor pressure made from a temperature and an RH of this accuracy; both errors independent.
 *
 * @param tempC -40 to 60
 * @throws RangeError from `saturationVaporPressurePa`
 */
export function vaporUncertaintyPa(tempC: number, rhPct: number, accuracy: SensorAccuracy): number {
  const fromRh = (accuracy.rhPct / 100) * saturationVaporPressurePa(tempC)
  const slope = saturationVaporPressurePa(tempC + 0.5) - saturationVaporPressurePa(tempC - 0.5)
  return Math.hypot(fromRh, (rhPct / 100) * slope * accuracy.tempC)
}
