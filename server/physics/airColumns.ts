/**
 * Array forms of the moist-air functions, for readings by the million. Each writes every row of `out` and returns it;
 * a row outside the valid range of the scalar function, or NaN, becomes NaN. `out` may be one of the inputs.
 * They agree with the scalar functions to 1e-8 °C in dew and frost point and to 1e-10 of the value elsewhere.
 */
import { PRESSURE_RANGE_PA, RH_RANGE_PCT, VAPOR_GAS_CONSTANT, WATER_TO_AIR_MASS } from './air.ts'
import { assertSameLength, assertWithin } from './check.ts'
import { valueOn } from './curve.ts'
import { dewPointCurve, frostPointCurve, KELVIN_AT_0_C, lnSaturationWaterCurve, WATER_RANGE_PA } from './saturation.ts'
import { solveWetBulbC, WET_BULB_RANGE_C } from './wetBulb.ts'

type Column = Float64Array

const [RH_LOW, RH_HIGH] = RH_RANGE_PCT
const [PRESSURE_LOW, PRESSURE_HIGH] = PRESSURE_RANGE_PA
const VAPOR_HIGH = WATER_RANGE_PA[1]
const LN_PER_CENT = Math.log(100)

const isRh = (rhPct: number) => rhPct >= RH_LOW && rhPct <= RH_HIGH

/** Saturation pressure over water [Pa] of temperatures [°C]. See `saturationVaporPressurePa`. */
export function saturationVaporPressurePaInto(out: Column, tempC: Column): Column {
  assertSameLength(out, tempC)
  const curve = lnSaturationWaterCurve()
  for (let i = 0; i < out.length; i++) out[i] = Math.exp(valueOn(curve, tempC[i]!))
  return out
}

/** Vapor pressure [Pa] of temperatures [°C] and RH [%]. See `vaporPressurePa`. */
export function vaporPressurePaInto(out: Column, tempC: Column, rhPct: Column): Column {
  assertSameLength(out, tempC, rhPct)
  const curve = lnSaturationWaterCurve()
  for (let i = 0; i < out.length; i++) {
    const rh = rhPct[i]!
    out[i] = isRh(rh) ? (rh / 100) * Math.exp(valueOn(curve, tempC[i]!)) : Number.NaN
  }
  return out
}

/** Dew point [°C] of vapor pressures [Pa]. See `dewPointC`. */
export function dewPointCInto(out: Column, vaporPressurePa: Column): Column {
  assertSameLength(out, vaporPressurePa)
  const curve = dewPointCurve()
  for (let i = 0; i < out.length; i++) out[i] = valueOn(curve, Math.log(vaporPressurePa[i]!))
  return out
}

/** Frost point [°C] of vapor pressures [Pa]; NaN above 611.7 Pa, where dew forms. See `frostPointC`. */
export function frostPointCInto(out: Column, vaporPressurePa: Column): Column {
  assertSameLength(out, vaporPressurePa)
  const curve = frostPointCurve()
  for (let i = 0; i < out.length; i++) out[i] = valueOn(curve, Math.log(vaporPressurePa[i]!))
  return out
}

/** Dew point [°C] of temperatures [°C] and RH [%], without passing through the pressure. See `dewPointFromRhC`. */
export function dewPointFromRhCInto(out: Column, tempC: Column, rhPct: Column): Column {
  assertSameLength(out, tempC, rhPct)
  const saturation = lnSaturationWaterCurve()
  const dewPoint = dewPointCurve()
  for (let i = 0; i < out.length; i++) {
    const rh = rhPct[i]!
    const lnPa = valueOn(saturation, tempC[i]!) + Math.log(rh) - LN_PER_CENT
    out[i] = isRh(rh) ? valueOn(dewPoint, lnPa) : Number.NaN
  }
  return out
}

/** RH [%], not capped, of air with these vapor pressures [Pa] at these temperatures [°C]. See `rhPctFromVaporPressure`. */
export function rhPctFromVaporPressureInto(out: Column, tempC: Column, vaporPressurePa: Column): Column {
  assertSameLength(out, tempC, vaporPressurePa)
  const curve = lnSaturationWaterCurve()
  for (let i = 0; i < out.length; i++) {
    const vapor = vaporPressurePa[i]!
    const legal = vapor >= 0 && vapor <= VAPOR_HIGH
    out[i] = legal ? 100 * vapor * Math.exp(-valueOn(curve, tempC[i]!)) : Number.NaN
  }
  return out
}

/**
 * Humidity ratio [kg/kg] of vapor pressures [Pa] at one station pressure [Pa]. See `humidityRatio`.
 *
 * @throws RangeError when the one pressure is outside 30,000 to 120,000 Pa
 */
export function humidityRatioInto(out: Column, vaporPressurePa: Column, pressurePa: number): Column {
  assertSameLength(out, vaporPressurePa)
  assertWithin(pressurePa, 'pressurePa', 'Pa', [PRESSURE_LOW, PRESSURE_HIGH])
  const half = pressurePa / 2
  for (let i = 0; i < out.length; i++) {
    const vapor = vaporPressurePa[i]!
    const legal = vapor >= 0 && vapor <= half
    out[i] = legal ? (WATER_TO_AIR_MASS * vapor) / (pressurePa - vapor) : Number.NaN
  }
  return out
}

/** Vapor density [g/m³] of temperatures [°C] and vapor pressures [Pa]. See `vaporDensityGM3`. */
export function vaporDensityGM3Into(out: Column, tempC: Column, vaporPressurePa: Column): Column {
  assertSameLength(out, tempC, vaporPressurePa)
  for (let i = 0; i < out.length; i++) {
    const [temp, vapor] = [tempC[i]!, vaporPressurePa[i]!]
    const legal = temp >= -60 && temp <= 100 && vapor >= 0 && vapor <= VAPOR_HIGH
    out[i] = legal ? (1000 * vapor) / (VAPOR_GAS_CONSTANT * (temp + KELVIN_AT_0_C)) : Number.NaN
  }
  return out
}

/**
 * Wet bulb [°C] of temperatures [°C] and RH [%] at one station pressure [Pa]. See `wetBulbC`.
 *
 * @throws RangeError when the one pressure is outside 30,000 to 120,000 Pa
 */
export function wetBulbCInto(out: Column, tempC: Column, rhPct: Column, pressurePa: number): Column {
  assertSameLength(out, tempC, rhPct)
  assertWithin(pressurePa, 'pressurePa', 'Pa', [PRESSURE_LOW, PRESSURE_HIGH])
  const curve = lnSaturationWaterCurve()
  for (let i = 0; i < out.length; i++) {
    const [temp, rh] = [tempC[i]!, rhPct[i]!]
    const legal = isRh(rh) && temp >= WET_BULB_RANGE_C[0] && temp <= WET_BULB_RANGE_C[1]
    const vapor = (rh / 100) * Math.exp(valueOn(curve, temp))
    out[i] = legal ? solveWetBulbC(temp, vapor, pressurePa) : Number.NaN
  }
  return out
}
