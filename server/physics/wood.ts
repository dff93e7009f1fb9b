/**
 * Moisture of wood in balance with air, and plain wood arithmetic. Moisture content is on the oven-dry basis: mass of
 * water over mass of dry wood.
 */
import { assertPositive, assertSameLength, assertWithin, type Range } from './check.ts'

/** The handbook's table spans -1.1 to 132.2 °C; below that the equation is continued, and still rises evenly with RH. */
export const EMC_TEMP_RANGE_C: Range = [-30, 70]
const RH_RANGE_PCT: Range = [0, 105]

/** The equation itself; h is RH as a fraction. */
function hailwoodHorrobin(tempC: number, h: number): number {
  const W = 349 + tempC * (1.29 + 0.0135 * tempC)
  const K = 0.805 + tempC * (0.000736 - 0.00000273 * tempC)
  const K1 = 6.27 - tempC * (0.00938 + 0.000303 * tempC)
  const K2 = 1.91 + tempC * (0.0407 - 0.000293 * tempC)
  const Kh = K * h
  const first = K1 * Kh
  const second = first * K2 * Kh
  return (1800 / W) * (Kh / (1 - Kh) + (first + 2 * second) / (1 + first + second))
}

/**
 * Equilibrium moisture content of softwood.
 *
 * @param tempC [°C], valid -30 to 70; below -1.1 °C outside the handbook's table
 * @param rhPct over water [%], valid 0 to 105; more than 100 counts as 100. Above 95 % the table ends: read the result
 *   as "near fiber saturation"
 * @returns [% of dry mass]; within 0.07 points of the table. Species and hysteresis spread it by 1 to 4 points
 * @throws RangeError outside the valid ranges
 * @see Wood Handbook FPL-GTR-282 (2021), ch. 4, eq. 4-5 (Simpson 1973, Hailwood-Horrobin form)
 */
export function equilibriumMoisturePct(tempC: number, rhPct: number): number {
  assertWithin(tempC, 'tempC', '°C', EMC_TEMP_RANGE_C)
  assertWithin(rhPct, 'rhPct', '%', RH_RANGE_PCT)
  return hailwoodHorrobin(tempC, Math.min(rhPct, 100) / 100)
}

/** Equilibrium moisture content [%] of temperatures [°C] and RH [%]; NaN for a row outside the valid ranges. */
export function equilibriumMoisturePctInto(out: Float64Array, tempC: Float64Array, rhPct: Float64Array): Float64Array {
  assertSameLength(out, tempC, rhPct)
  const [low, high] = EMC_TEMP_RANGE_C
  for (let i = 0; i < out.length; i++) {
    const [temp, rh] = [tempC[i]!, rhPct[i]!]
    const legal = temp >= low && temp <= high && rh >= 0 && rh <= 105
    out[i] = legal ? hailwoodHorrobin(temp, Math.min(rh, 100) / 100) : Number.NaN
  }
  return out
}

const SETTLED_H = 1e-12
const MAX_STEPS = 60

/**
 * The RH that holds wood at this moisture content: the inverse of `equilibriumMoisturePct`.
 *
 * @param tempC [°C], valid -30 to 70
 * @param woodMcPct [%], from 0 to the equilibrium at 100 % RH (28.8 at 20 °C); wetter wood holds liquid water
 * @returns [%], to 1e-10
 * @throws RangeError outside the valid ranges
 */
export function rhPctForEquilibriumMoisture(tempC: number, woodMcPct: number): number {
  assertWithin(tempC, 'tempC', '°C', EMC_TEMP_RANGE_C)
  const atSaturation = hailwoodHorrobin(tempC, 1)
  assertWithin(woodMcPct, 'woodMcPct', '%', [0, atSaturation])
  let [low, high] = [0, 1]
  for (let step = 0; step < MAX_STEPS && high - low > SETTLED_H; step++) {
    const middle = (low + high) / 2
    if (hailwoodHorrobin(tempC, middle) < woodMcPct) low = middle
    else high = middle
  }
  return 50 * (low + high)
}

/**
 * Moisture content from an oven-dry test.
 *
 * @param wetMass, dryMass in the same unit
 * @returns [% of dry mass]
 * @throws RangeError when a mass is not positive or the wet piece is lighter
 */
export function moistureFromMassesPct(wetMass: number, dryMass: number): number {
  assertPositive(dryMass, 'dryMass', '')
  assertWithin(wetMass, 'wetMass', '', [dryMass, 10 * dryMass])
  return (100 * (wetMass - dryMass)) / dryMass
}

/**
 * Density of moist wood.
 *
 * @param specificGravity on the volume at that moisture content, valid 0.05 to 1.5
 * @param woodMcPct [%], valid 0 to 250
 * @returns [kg/m³]
 * @throws RangeError outside the valid ranges
 * @see Wood Handbook, ch. 4
 */
export function woodDensityKgM3(specificGravity: number, woodMcPct: number): number {
  assertWithin(specificGravity, 'specificGravity', '', [0.05, 1.5])
  assertWithin(woodMcPct, 'woodMcPct', '%', [0, 250])
  return 1000 * specificGravity * (1 + woodMcPct / 100)
}

/**
 * Water that wood gives off while drying (negative: takes up).
 *
 * @param dryMassKg oven-dry mass of the wood [kg]
 * @param fromPct, toPct moisture content before and after [%], valid 0 to 250
 * @returns [kg]
 * @throws RangeError outside the valid ranges
 */
export function waterReleasedKg(dryMassKg: number, fromPct: number, toPct: number): number {
  assertPositive(dryMassKg, 'dryMassKg', 'kg')
  assertWithin(fromPct, 'fromPct', '%', [0, 250])
  assertWithin(toPct, 'toPct', '%', [0, 250])
  return (dryMassKg * (fromPct - toPct)) / 100
}

/**
 * A pin meter's reading corrected for the temperature of the wood. From memory, to be replaced by the meter's own
 * table: one point less for every 20 °F (11.1 K) above the calibration temperature, one more below; good near 15 to
 * 20 %. That warm wood reads high is certain, the size is not. Species corrections are not offered: none was verified.
 *
 * @param readingPct as read [%], valid 6 to 60
 * @param woodTempC [°C], valid -20 to 50
 * @param calibrationTempC [°C], valid 15 to 30; usually 70 to 80 °F
 * @returns [%]
 * @throws RangeError outside the valid ranges
 */
export function pinReadingAtCalibrationPct(readingPct: number, woodTempC: number, calibrationTempC = 21.1): number {
  assertWithin(readingPct, 'readingPct', '%', [6, 60])
  assertWithin(woodTempC, 'woodTempC', '°C', [-20, 50])
  assertWithin(calibrationTempC, 'calibrationTempC', '°C', [15, 30])
  return readingPct - (woodTempC - calibrationTempC) / (100 / 9)
}
