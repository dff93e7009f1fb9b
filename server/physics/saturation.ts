/**
 * The kernel of `air.ts` and `airColumns.ts`: saturation over water and ice (Hyland and Wexler 1983, as in ASHRAE
 * Handbook - Fundamentals 2017, ch. 1, eq. 5 and 6) and its inverse, without range checks. One formula serves the whole program: mixing formulas is what makes numbers disagree with each other.
 *
 * Over water also below 0 °C, as supercooled water, because humidity sensors report against water at every temperature.
 */
import type { Range } from './check.ts'
import { type Curve, tabulate } from './curve.ts'

export const KELVIN_AT_0_C = 273.15

/** The handbook gives the formula for 0 to 200 °C; below, it is continued over supercooled water (see the accuracy). */
export const WATER_RANGE_C: Range = [-60, 100]
/** Ice ends at the triple point. */
export const ICE_RANGE_C: Range = [-100, 0.01]

/** ln of the saturation pressure [Pa] over water; no check, for loops that have checked already. */
export function lnSaturationWater(tempC: number): number {
  const T = tempC + KELVIN_AT_0_C
  return (
    -5.8002206e3 / T +
    1.3914993 +
    T * (-4.8640239e-2 + T * (4.1764768e-5 + T * -1.4452093e-8)) +
    6.5459673 * Math.log(T)
  )
}

/** Its derivative by temperature [1/K]. */
export function lnSaturationWaterSlope(tempC: number): number {
  const T = tempC + KELVIN_AT_0_C
  return (5.8002206e3 / T + 6.5459673) / T - 4.8640239e-2 + T * (2 * 4.1764768e-5 - 3 * 1.4452093e-8 * T)
}

/** ln of the saturation pressure [Pa] over ice; no check. */
export function lnSaturationIce(tempC: number): number {
  const T = tempC + KELVIN_AT_0_C
  return (
    -5.6745359e3 / T +
    6.3925247 +
    T * (-9.677843e-3 + T * (6.2215701e-7 + T * (2.0747825e-9 + T * -9.484024e-13))) +
    4.1635019 * Math.log(T)
  )
}

export function lnSaturationIceSlope(tempC: number): number {
  const T = tempC + KELVIN_AT_0_C
  const polynomial = -9.677843e-3 + T * (2 * 6.2215701e-7 + T * (3 * 2.0747825e-9 - T * 4 * 9.484024e-13))
  return (5.6745359e3 / T + 4.1635019) / T + polynomial
}

const SETTLED_K = 1e-10
const MAX_STEPS = 20

/** Newton's method on ln(e), which is nearly straight in 1/T: three or four steps from a Magnus start. */
function invert(lnPa: number, start: number, ln: (t: number) => number, slope: (t: number) => number): number {
  let tempC = start
  for (let step = 0; step < MAX_STEPS; step++) {
    const change = (ln(tempC) - lnPa) / slope(tempC)
    tempC -= change
    if (Math.abs(change) < SETTLED_K) return tempC
  }
  throw new Error(`The dew point of ln(e) = ${lnPa} did not settle in ${MAX_STEPS} steps.`)
}

const LN_MAGNUS_PA = Math.log(611.2)
// Widened by a millionth, so that the saturation pressure of an end point is still inside after rounding.
const WATER_LN_RANGE: Range = [lnSaturationWater(WATER_RANGE_C[0]) - 1e-6, lnSaturationWater(WATER_RANGE_C[1]) + 1e-6]
const ICE_LN_RANGE: Range = [lnSaturationIce(ICE_RANGE_C[0]) - 1e-6, lnSaturationIce(ICE_RANGE_C[1]) + 1e-6]
/** Vapor pressures that have a dew point [Pa]. */
export const WATER_RANGE_PA: Range = [Math.exp(WATER_LN_RANGE[0]), Math.exp(WATER_LN_RANGE[1])]
/** Vapor pressures that have a frost point [Pa]. */
export const ICE_RANGE_PA: Range = [Math.exp(ICE_LN_RANGE[0]), Math.exp(ICE_LN_RANGE[1])]

/** Dew point [°C] of ln(vapor pressure in Pa), range not checked. */
export function dewPointFromLn(lnPa: number): number {
  const x = lnPa - LN_MAGNUS_PA // Magnus form of WMO-No. 8, solved for the temperature
  return invert(lnPa, (243.12 * x) / (17.62 - x), lnSaturationWater, lnSaturationWaterSlope)
}

/** Frost point [°C] of ln(vapor pressure in Pa), range not checked. */
export function frostPointFromLn(lnPa: number): number {
  const x = lnPa - LN_MAGNUS_PA
  return invert(lnPa, (272.62 * x) / (22.46 - x), lnSaturationIce, lnSaturationIceSlope)
}

// Array forms read these tables instead of solving every row; each is built on first use.
let waterCurve: Curve | undefined
let dewCurve: Curve | undefined
let frostCurve: Curve | undefined

/** ln(saturation pressure over water in Pa) by temperature [°C], -60 to 100. */
export function lnSaturationWaterCurve(): Curve {
  waterCurve ??= tabulate(WATER_RANGE_C, lnSaturationWater, lnSaturationWaterSlope)
  return waterCurve
}

/** Dew point [°C] by ln(vapor pressure in Pa). */
export function dewPointCurve(): Curve {
  dewCurve ??= tabulate(WATER_LN_RANGE, dewPointFromLn, (lnPa) => 1 / lnSaturationWaterSlope(dewPointFromLn(lnPa)))
  return dewCurve
}

/** Frost point [°C] by ln(vapor pressure in Pa). */
export function frostPointCurve(): Curve {
  frostCurve ??= tabulate(ICE_LN_RANGE, frostPointFromLn, (lnPa) => 1 / lnSaturationIceSlope(frostPointFromLn(lnPa)))
  return frostCurve
}
