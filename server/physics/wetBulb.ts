import {
  DRY_AIR_HEAT,
  LATENT_0_C,
  PRESSURE_RANGE_PA,
  RH_RANGE_PCT,
  VAPOR_HEAT,
  vaporPressurePa,
  WATER_TO_AIR_MASS,
} from './air.ts'
import { assertWithin, type Range } from './check.ts'
import { lnSaturationIce, lnSaturationIceSlope, lnSaturationWater, lnSaturationWaterSlope } from './saturation.ts'

/** Above 60 °C vapor crowds out the air that the psychrometer equations were written for. */
export const WET_BULB_RANGE_C: Range = [-40, 60]

/** A bulb wetted with water above 0 °C, iced below: evaporation heat [kJ/kg], its slope, and the liquid's or ice's heat. */
interface Bulb {
  heat: number
  heatSlope: number
  wetHeat: number
  ln: (tempC: number) => number
  lnSlope: (tempC: number) => number
}
const WET: Bulb = {
  heat: LATENT_0_C,
  heatSlope: 2.326,
  wetHeat: 4.186,
  ln: lnSaturationWater,
  lnSlope: lnSaturationWaterSlope,
}
const ICED: Bulb = { heat: 2830, heatSlope: 0.24, wetHeat: 2.1, ln: lnSaturationIce, lnSlope: lnSaturationIceSlope }

const SETTLED_K = 1e-7
const MAX_STEPS = 40

/** Heat balance of a bulb at `bulbC` [kJ/kg]: zero at the wet bulb, rising and convex, so Newton from above is safe. */
function balance(bulb: Bulb, bulbC: number, tempC: number, ratio: number, pressurePa: number): [number, number] {
  const saturationPa = Math.exp(bulb.ln(bulbC))
  const dryPa = pressurePa - saturationPa
  const saturated = (WATER_TO_AIR_MASS * saturationPa) / dryPa
  const saturatedSlope = (saturated * bulb.lnSlope(bulbC) * pressurePa) / dryPa
  const heat = bulb.heat - bulb.heatSlope * bulbC
  return [
    heat * saturated - DRY_AIR_HEAT * (tempC - bulbC) - ratio * (bulb.heat + VAPOR_HEAT * tempC - bulb.wetHeat * bulbC),
    heat * saturatedSlope - bulb.heatSlope * saturated + DRY_AIR_HEAT + ratio * bulb.wetHeat,
  ]
}

/** Thermodynamic wet bulb without checks; NaN when the steps do not settle. */
export function solveWetBulbC(tempC: number, vaporPa: number, pressurePa: number): number {
  const ratio = (WATER_TO_AIR_MASS * vaporPa) / (pressurePa - vaporPa)
  const iced = tempC < 0 || balance(WET, 0, tempC, ratio, pressurePa)[0] > 0
  const bulb = iced ? ICED : WET
  let bulbC = iced ? Math.min(tempC, 0) : tempC
  for (let step = 0; step < MAX_STEPS; step++) {
    const [excess, slope] = balance(bulb, bulbC, tempC, ratio, pressurePa)
    if (step === 0 && excess <= 0) return bulbC // saturated, or between ice and water saturation
    const change = excess / slope
    bulbC -= change
    if (Math.abs(change) < SETTLED_K) return bulbC
  }
  return Number.NaN
}

/**
 * Thermodynamic wet bulb. Below 0 °C the bulb is iced. Within about 0.3 °C of freezing a wet and an iced bulb can both
 * be in balance; the wet one is returned. Saturated air returns its own temperature.
 *
 * @param tempC [°C], valid -40 to 60
 * @param rhPct over water [%], valid 0 to 105
 * @param pressurePa station pressure [Pa], valid 30,000 to 120,000
 * @returns [°C]
 * @throws RangeError outside the valid ranges
 * @see ASHRAE Fundamentals 2017, ch. 1, eq. 33 and 35
 */
export function wetBulbC(tempC: number, rhPct: number, pressurePa: number): number {
  assertWithin(tempC, 'tempC', '°C', WET_BULB_RANGE_C)
  assertWithin(rhPct, 'rhPct', '%', RH_RANGE_PCT)
  assertWithin(pressurePa, 'pressurePa', 'Pa', PRESSURE_RANGE_PA)
  const bulbC = solveWetBulbC(tempC, vaporPressurePa(tempC, rhPct), pressurePa)
  if (Number.isNaN(bulbC)) {
    throw new Error(`The wet bulb of ${tempC} °C, ${rhPct} %, ${pressurePa} Pa did not settle in ${MAX_STEPS} steps.`)
  }
  return bulbC
}

/**
 * Humidity ratio from the two thermometers of a sling psychrometer. The wick below 0 °C is taken as iced.
 *
 * @param tempC dry bulb [°C], valid -40 to 60
 * @param bulbC wet bulb [°C], valid -40 to the dry bulb
 * @param pressurePa station pressure [Pa], valid 30,000 to 120,000
 * @returns [kg/kg]
 * @throws RangeError outside the valid ranges, and when the wet bulb is colder than dry air could make it
 * @see ASHRAE Fundamentals 2017, ch. 1, eq. 33 and 35
 */
export function humidityRatioFromWetBulb(tempC: number, bulbC: number, pressurePa: number): number {
  assertWithin(tempC, 'tempC', '°C', WET_BULB_RANGE_C)
  assertWithin(bulbC, 'bulbC', '°C', [WET_BULB_RANGE_C[0], tempC])
  assertWithin(pressurePa, 'pressurePa', 'Pa', PRESSURE_RANGE_PA)
  const bulb = bulbC < 0 ? ICED : WET
  // The balance is linear in the ratio: its value in dry air over what each kg/kg takes away.
  const ratio = balance(bulb, bulbC, tempC, 0, pressurePa)[0] / (bulb.heat + VAPOR_HEAT * tempC - bulb.wetHeat * bulbC)
  if (ratio < 0) {
    throw new RangeError(`bulbC must be at least the wet bulb of dry air at ${tempC} °C, got ${bulbC}.`)
  }
  return ratio
}
