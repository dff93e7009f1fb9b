/** Tables for the inner loop of the balance, where millions of values are needed and 0.01 % is ample. */
import { saturationVaporPressurePa } from '../physics/air.ts'
import { equilibriumMoisturePct } from '../physics/wood.ts'

const SATURATION_LOW_C = -45
const SATURATION_HIGH_C = 60
const SATURATION_PER_K = 20

const SATURATION = Float64Array.from(
  { length: (SATURATION_HIGH_C - SATURATION_LOW_C) * SATURATION_PER_K + 2 },
  (_, i) => saturationVaporPressurePa(SATURATION_LOW_C + i / SATURATION_PER_K),
)

/**
 * Saturation vapor pressure [Pa] by straight lines between points 0.05 K apart (within 2e-6 of the exact value); held
 * at the ends outside -45 to 60 °C, where no crawl space has been.
 */
export function saturationPa(tempC: number): number {
  const position = (tempC - SATURATION_LOW_C) * SATURATION_PER_K
  const clamped = position < 0 ? 0 : position > SATURATION.length - 2 ? SATURATION.length - 2 : position
  const i = clamped | 0
  const low = SATURATION[i]!
  return low + (clamped - i) * (SATURATION[i + 1]! - low)
}

/** RH up to which the handbook's sorption curve is used; above it the last slope is continued (no capillary branch). */
const SORPTION_TOP = 0.97
const SORPTION_STEPS = 400
const SORPTION_TEMP_C = 20

/** Wood moisture [kg/kg] at RH 0, 1/400, ... of the range. */
const SORPTION = Float64Array.from(
  { length: SORPTION_STEPS + 1 },
  (_, i) => equilibriumMoisturePct(SORPTION_TEMP_C, (100 * SORPTION_TOP * i) / SORPTION_STEPS) / 100,
)
const RH_STEP = SORPTION_TOP / SORPTION_STEPS
const TOP_SLOPE = (SORPTION[SORPTION_STEPS]! - SORPTION[SORPTION_STEPS - 1]!) / RH_STEP

/** Moisture-to-RH table at even steps of moisture, with the slope of moisture by RH beside it. */
const MOISTURE_STEPS = 600
const TOP_MOISTURE = SORPTION[SORPTION_STEPS]!
export const MOISTURE_PER_STEP = MOISTURE_STEPS / TOP_MOISTURE
const { rhTable, slopeTable } = invertSorption()

/** Equilibrium moisture of wood at 20 °C [kg/kg] from RH as a fraction (0 to above 1). */
export function moistureFromRh(rh: number): number {
  if (rh >= SORPTION_TOP) return TOP_MOISTURE + (rh - SORPTION_TOP) * TOP_SLOPE
  const position = Math.max(0, rh) / RH_STEP
  const i = position | 0
  return SORPTION[i]! + (position - i) * (SORPTION[i + 1]! - SORPTION[i]!)
}

/** RH as a fraction that wood of this moisture [kg/kg] stands in balance with. */
export function rhFromMoisture(moisture: number): number {
  const position = moisture * MOISTURE_PER_STEP
  if (position >= MOISTURE_STEPS) return SORPTION_TOP + (moisture - TOP_MOISTURE) / TOP_SLOPE
  const clamped = position < 0 ? 0 : position
  const i = clamped | 0
  return rhTable[i]! + (clamped - i) * (rhTable[i + 1]! - rhTable[i]!)
}

/** Slope of moisture by RH [kg/kg per 1] at this moisture. */
export function sorptionSlope(moisture: number): number {
  const position = moisture * MOISTURE_PER_STEP
  if (position >= MOISTURE_STEPS) return TOP_SLOPE
  return slopeTable[position < 0 ? 0 : position | 0]!
}

function invertSorption() {
  const rhTable = new Float64Array(MOISTURE_STEPS + 1)
  let i = 0
  for (let k = 0; k <= MOISTURE_STEPS; k++) {
    const moisture = k / MOISTURE_PER_STEP
    while (i < SORPTION_STEPS - 1 && SORPTION[i + 1]! < moisture) i++
    rhTable[k] = RH_STEP * (i + (moisture - SORPTION[i]!) / (SORPTION[i + 1]! - SORPTION[i]!))
  }
  const slopeTable = new Float64Array(MOISTURE_STEPS)
  for (let k = 0; k < MOISTURE_STEPS; k++) slopeTable[k] = 1 / MOISTURE_PER_STEP / (rhTable[k + 1]! - rhTable[k]!)
  return { rhTable, slopeTable }
}
