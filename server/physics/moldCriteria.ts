/** Two simpler mold measures that stand beside the growth index. */
import { assertWithin } from './check.ts'

/**
 * The 30-day criterion of ASHRAE Standard 160-2009: the surface passes unless its 30-day mean temperature is between
 * 5 and 40 °C while its 30-day mean RH is 80 % or more. The 2016 edition replaced it by the growth index.
 *
 * @param mean30dTempC 30-day running mean surface temperature [°C], -60 to 100
 * @param mean30dRhPct 30-day running mean surface RH [%], 0 to 105
 * @returns true when the criterion is met
 * @throws RangeError outside the valid ranges
 */
export function meetsThirtyDayCriterion(mean30dTempC: number, mean30dRhPct: number): boolean {
  assertWithin(mean30dTempC, 'mean30dTempC', '°C', [-60, 100])
  assertWithin(mean30dRhPct, 'mean30dRhPct', '%', [0, 105])
  return !(mean30dTempC >= 5 && mean30dTempC <= 40 && mean30dRhPct >= 80)
}

/**
 * One day's mold dose of the resistance design model: 1 for a day at 20 °C and 90 %.
 *
 * Only the growing branch is given. Public transcriptions disagree about the set-back of dry and cold days, so days
 * outside these ranges are refused and no accumulated dose is offered.
 *
 * @param tempC daily mean [°C], valid 0.1 to 30
 * @param rhPct daily mean [%], valid 75 to 100
 * @returns dose [days at the reference climate]
 * @throws RangeError outside the valid ranges
 * @see Thelandersson and Isaksson 2013, Building and Environment 65:18-25, as read in a public script
 */
export function mrdDailyDose(tempC: number, rhPct: number): number {
  assertWithin(tempC, 'tempC', '°C', [0.1, 30])
  assertWithin(rhPct, 'rhPct', '%', [75, 100])
  return Math.exp(15.53 * Math.log(rhPct / 90)) * Math.exp(0.74 * Math.log(tempC / 20))
}
