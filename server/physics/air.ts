/**
 * Moist air: saturation, vapor pressure, dew point, humidity ratio, enthalpy and volume (ASHRAE Handbook - Fundamentals 2017, ch. 1,
 * ideal-gas relations). Against real-gas tables the humidity ratio reads 0.35 to 0.5 % low: the enhancement factor is
 * left out, as in the handbook's own equations. RH is over water at every temperature, as sensors report it.
 */
import { assertWithin, type Range } from './check.ts'
import {
  dewPointFromLn,
  frostPointFromLn,
  ICE_RANGE_C,
  ICE_RANGE_PA,
  KELVIN_AT_0_C,
  lnSaturationIce,
  lnSaturationWater,
  WATER_RANGE_C,
  WATER_RANGE_PA,
} from './saturation.ts'

/** Sensors overshoot a little at saturation, so a small excess is a reading, not a mistake. */
export const RH_RANGE_PCT: Range = [0, 105]
/** Any outdoor station pressure on land, from the Dead Sea to high mountains. */
export const PRESSURE_RANGE_PA: Range = [30_000, 120_000]
const VAPOR_RANGE_PA: Range = [0, WATER_RANGE_PA[1]]

/** Molar mass of water over that of dry air. */
export const WATER_TO_AIR_MASS = 0.621945
/** [J/(kg K)] */
export const DRY_AIR_GAS_CONSTANT = 287.042
/** [J/(kg K)] */
export const VAPOR_GAS_CONSTANT = 461.52
/** Heat of vaporization at 0 °C [kJ/kg]. */
export const LATENT_0_C = 2501
/** Heat capacity of dry air [kJ/(kg K)]. */
export const DRY_AIR_HEAT = 1.006
/** Heat capacity of water vapor [kJ/(kg K)]. */
export const VAPOR_HEAT = 1.86

/**
 * Saturation vapor pressure over liquid water, supercooled below 0 °C.
 *
 * @param tempC temperature [°C], valid -60 to 100
 * @returns pressure [Pa]; within 0.03 % of IAPWS-95 from 0 to 45 °C, and of Sonntag 1990 within 0.1 % at -40 °C, 0.2 % at -60
 * @throws RangeError outside the valid range
 * @see Hyland and Wexler 1983; ASHRAE Fundamentals 2017, ch. 1, eq. 6
 */
export function saturationVaporPressurePa(tempC: number): number {
  assertWithin(tempC, 'tempC', '°C', WATER_RANGE_C)
  return Math.exp(lnSaturationWater(tempC))
}

/**
 * Saturation vapor pressure over ice: what frost on a cold surface follows. Never for a sensor's RH.
 *
 * @param tempC temperature [°C], valid -100 to 0.01
 * @returns pressure [Pa]; within 0.03 % of IAPWS R14-08 from -30 to 0 °C
 * @throws RangeError outside the valid range
 * @see Hyland and Wexler 1983; ASHRAE Fundamentals 2017, ch. 1, eq. 5
 */
export function saturationVaporPressureIcePa(tempC: number): number {
  assertWithin(tempC, 'tempC', '°C', ICE_RANGE_C)
  return Math.exp(lnSaturationIce(tempC))
}

/**
 * Vapor pressure from a sensor's temperature and RH.
 *
 * @param tempC air temperature [°C], valid -60 to 100
 * @param rhPct relative humidity over water [%], valid 0 to 105
 * @returns [Pa]
 * @throws RangeError outside the valid ranges
 */
export function vaporPressurePa(tempC: number, rhPct: number): number {
  assertWithin(rhPct, 'rhPct', '%', RH_RANGE_PCT)
  return (rhPct / 100) * saturationVaporPressurePa(tempC)
}

/**
 * RH of air with this vapor pressure at this temperature. Not capped: above 100 % the air would condense there.
 *
 * @param tempC [°C], valid -60 to 100
 * @param vaporPressurePa [Pa], valid 0 to 101,419
 * @returns [%] over water
 * @throws RangeError outside the valid ranges
 */
export function rhPctFromVaporPressure(tempC: number, vaporPressurePa: number): number {
  assertWithin(vaporPressurePa, 'vaporPressurePa', 'Pa', VAPOR_RANGE_PA)
  return (100 * vaporPressurePa) / saturationVaporPressurePa(tempC)
}

/**
 * RH of the same air, no vapor added or taken away, when warmed or cooled to another temperature. Not capped at 100 %.
 *
 * @param tempC, rhPct where the air was measured [°C, %]
 * @param otherTempC where it is going [°C], valid -60 to 100
 * @returns [%] over water
 * @throws RangeError outside the valid ranges
 */
export function rhAtOtherTemperaturePct(tempC: number, rhPct: number, otherTempC: number): number {
  assertWithin(otherTempC, 'otherTempC', '°C', WATER_RANGE_C)
  assertWithin(tempC, 'tempC', '°C', WATER_RANGE_C)
  assertWithin(rhPct, 'rhPct', '%', RH_RANGE_PCT)
  return rhPct * Math.exp(lnSaturationWater(tempC) - lnSaturationWater(otherTempC))
}

/**
 * Dew point: the temperature at which this vapor pressure saturates over water (also below 0 °C, as stations report).
 * The inverse of `saturationVaporPressurePa`, not a fit, so a round trip gives the input back.
 *
 * @param vaporPressurePa [Pa], valid 1.9 to 101,419, the saturation pressures of -60 and 100 °C
 * @returns dew point [°C], to 1e-9 °C
 * @throws RangeError outside the valid range; perfectly dry air has no dew point
 */
export function dewPointC(vaporPressurePa: number): number {
  assertWithin(vaporPressurePa, 'vaporPressurePa', 'Pa', WATER_RANGE_PA)
  return dewPointFromLn(Math.log(vaporPressurePa))
}

/**
 * Frost point: the temperature at which this vapor pressure saturates over ice. Frost forms before dew would.
 *
 * @param vaporPressurePa [Pa], valid 0.0014 to 611.7, the saturation pressures of -100 and 0.01 °C
 * @returns frost point [°C], to 1e-9 °C
 * @throws RangeError outside the valid range; above 611.7 Pa dew forms, not frost
 */
export function frostPointC(vaporPressurePa: number): number {
  assertWithin(vaporPressurePa, 'vaporPressurePa', 'Pa', ICE_RANGE_PA)
  return frostPointFromLn(Math.log(vaporPressurePa))
}

/**
 * Dew point from a sensor's temperature and RH, over water.
 *
 * @param tempC [°C], valid -60 to 100
 * @param rhPct [%], valid 0 to 105; the vapor pressure must reach 1.9 Pa, the saturation pressure of -60 °C
 * @returns [°C]
 * @throws RangeError outside the valid ranges; 0 % has no dew point
 */
export function dewPointFromRhC(tempC: number, rhPct: number): number {
  return dewPointC(vaporPressurePa(tempC, rhPct))
}

/**
 * Humidity ratio: mass of vapor per mass of dry air.
 *
 * @param vaporPressurePa [Pa], from 0 and below half of the air pressure
 * @param pressurePa station pressure (not reduced to sea level) [Pa], valid 30,000 to 120,000
 * @returns [kg/kg]; 0.35 to 0.5 % below real-gas tables
 * @throws RangeError outside the valid ranges
 * @see ASHRAE Fundamentals 2017, ch. 1, eq. 20
 */
export function humidityRatio(vaporPressurePa: number, pressurePa: number): number {
  assertWithin(pressurePa, 'pressurePa', 'Pa', PRESSURE_RANGE_PA)
  assertWithin(vaporPressurePa, 'vaporPressurePa', 'Pa', [0, pressurePa / 2])
  return (WATER_TO_AIR_MASS * vaporPressurePa) / (pressurePa - vaporPressurePa)
}

/**
 * The inverse of `humidityRatio`.
 *
 * @param humidityRatio [kg/kg], valid 0 to 0.62 (vapor is half of the pressure there)
 * @param pressurePa [Pa], valid 30,000 to 120,000
 * @returns [Pa]
 * @throws RangeError outside the valid ranges
 */
export function vaporPressureFromHumidityRatioPa(humidityRatio: number, pressurePa: number): number {
  assertWithin(humidityRatio, 'humidityRatio', 'kg/kg', [0, WATER_TO_AIR_MASS])
  assertWithin(pressurePa, 'pressurePa', 'Pa', PRESSURE_RANGE_PA)
  return (pressurePa * humidityRatio) / (WATER_TO_AIR_MASS + humidityRatio)
}

/**
 * Vapor density, also called absolute humidity.
 *
 * @param tempC [°C], valid -60 to 100
 * @param vaporPressurePa [Pa], valid 0 to 101,419
 * @returns [g/m³], ideal gas
 * @throws RangeError outside the valid ranges
 */
export function vaporDensityGM3(tempC: number, vaporPressurePa: number): number {
  assertWithin(tempC, 'tempC', '°C', WATER_RANGE_C)
  assertWithin(vaporPressurePa, 'vaporPressurePa', 'Pa', VAPOR_RANGE_PA)
  return (1000 * vaporPressurePa) / (VAPOR_GAS_CONSTANT * (tempC + KELVIN_AT_0_C))
}

/**
 * Enthalpy of moist air per mass of dry air; zero for dry air at 0 °C.
 *
 * @param tempC [°C], valid -60 to 100
 * @param humidityRatio [kg/kg], valid 0 to 0.62
 * @returns [kJ/kg]
 * @throws RangeError outside the valid ranges
 * @see ASHRAE Fundamentals 2017, ch. 1, eq. 30
 */
export function enthalpyKjKg(tempC: number, humidityRatio: number): number {
  assertWithin(tempC, 'tempC', '°C', WATER_RANGE_C)
  assertWithin(humidityRatio, 'humidityRatio', 'kg/kg', [0, WATER_TO_AIR_MASS])
  return DRY_AIR_HEAT * tempC + humidityRatio * (LATENT_0_C + VAPOR_HEAT * tempC)
}

/**
 * Volume of moist air per mass of dry air.
 *
 * @param tempC [°C], valid -60 to 100
 * @param humidityRatio [kg/kg], valid 0 to 0.62
 * @param pressurePa [Pa], valid 30,000 to 120,000
 * @returns [m³/kg]
 * @throws RangeError outside the valid ranges
 * @see ASHRAE Fundamentals 2017, ch. 1, eq. 26
 */
export function specificVolumeM3Kg(tempC: number, humidityRatio: number, pressurePa: number): number {
  assertWithin(tempC, 'tempC', '°C', WATER_RANGE_C)
  assertWithin(humidityRatio, 'humidityRatio', 'kg/kg', [0, WATER_TO_AIR_MASS])
  assertWithin(pressurePa, 'pressurePa', 'Pa', PRESSURE_RANGE_PA)
  return (DRY_AIR_GAS_CONSTANT * (tempC + KELVIN_AT_0_C) * (1 + humidityRatio / WATER_TO_AIR_MASS)) / pressurePa
}

/**
 * Standard pressure at an elevation, for sites without a barometer. Weather swings a real one by about ±3 %.
 *
 * @param elevationM above sea level [m], valid -500 to 9,000
 * @returns [Pa]
 * @throws RangeError outside the valid range
 * @see ASHRAE Fundamentals 2017, ch. 1, eq. 3
 */
export function standardPressurePa(elevationM: number): number {
  assertWithin(elevationM, 'elevationM', 'm', [-500, 9000])
  return 101_325 * (1 - 2.25577e-5 * elevationM) ** 5.2559
}
