/**
 * Rain and pipes: runoff, full-pipe flow, grates. FHWA Hydraulic Engineering Circular 22, 4th edition (2024), chapters
 * 4, 7 and 9, in SI. For yards and roofs; no routing, no backwater, no pipe that is only partly full.
 */
import { assertPositive, assertWithin } from './check.ts'

const GRAVITY_M_S2 = 9.80665

/** Manning's n, HEC-22 table 9.1. */
export const MANNING_N = {
  'smooth PVC': [0.009, 0.011],
  'polyethylene, smooth inside': [0.009, 0.015],
  'polyethylene, corrugated inside': [0.018, 0.025],
  'concrete pipe': [0.01, 0.011],
} as const

/**
 * Peak flow by the rational method. The handbook's foot form drops a factor of 1.0083; this one does not.
 *
 * @param coefficient share of the rain that runs off, valid 0 to 1
 * @param rainMmPerHour intensity [mm/h], valid 0 to 1,000
 * @param areaM2 plan area [m²], valid 0 to 809,000 (200 acres, the method's limit)
 * @returns [m³/s]
 * @throws RangeError outside the valid ranges
 * @see HEC-22, eq. 4.1
 */
export function rationalFlowM3s(coefficient: number, rainMmPerHour: number, areaM2: number): number {
  assertWithin(coefficient, 'coefficient', '', [0, 1])
  assertWithin(rainMmPerHour, 'rainMmPerHour', 'mm/h', [0, 1000])
  assertWithin(areaM2, 'areaM2', 'm²', [0, 809_372])
  return (coefficient * rainMmPerHour * areaM2) / 3.6e6
}

/**
 * Runoff coefficient of several surfaces together, weighted by area (HEC-22, eq. 4.2).
 *
 * @param parts area in any one unit, and coefficient 0 to 1; at least one part
 * @throws RangeError outside the valid ranges
 */
export function weightedRunoffCoefficient(parts: readonly { area: number; coefficient: number }[]): number {
  let [area, product] = [0, 0]
  for (const part of parts) {
    assertWithin(part.area, 'area', '', [0, Number.POSITIVE_INFINITY])
    assertWithin(part.coefficient, 'coefficient', '', [0, 1])
    area += part.area
    product += part.area * part.coefficient
  }
  assertPositive(area, 'The total area', '')
  return product / area
}

/**
 * Water off a roof or yard in one rain.
 *
 * @param planAreaM2 projected, not sloped, area [m²], 0 or more
 * @param rainMm [mm], valid 0 to 2,000
 * @param coefficient share that runs off, valid 0 to 1
 * @returns [L]
 * @throws RangeError outside the valid ranges
 */
export function runoffL(planAreaM2: number, rainMm: number, coefficient = 1): number {
  assertWithin(planAreaM2, 'planAreaM2', 'm²', [0, Number.POSITIVE_INFINITY])
  assertWithin(rainMm, 'rainMm', 'mm', [0, 2000])
  assertWithin(coefficient, 'coefficient', '', [0, 1])
  return planAreaM2 * rainMm * coefficient
}

function assertPipe(manningN: number, slope: number): void {
  assertWithin(manningN, 'manningN', '', [0.005, 0.1])
  assertWithin(slope, 'slope', 'm/m', [1e-5, 1])
}

/**
 * Speed of water in a circular pipe that is just full; half full it is the same.
 *
 * @param diameterM inside [m], valid 0.01 to 5
 * @param manningN roughness, valid 0.005 to 0.1; see `MANNING_N`
 * @param slope real fall over length [m/m], valid 1e-5 to 1; a level pipe carries nothing by this formula
 * @returns [m/s]
 * @throws RangeError outside the valid ranges
 * @see HEC-22, eq. 9.1, in its exact form
 */
export function fullPipeVelocityMs(diameterM: number, manningN: number, slope: number): number {
  assertWithin(diameterM, 'diameterM', 'm', [0.01, 5])
  assertPipe(manningN, slope)
  return ((diameterM / 4) ** (2 / 3) * Math.sqrt(slope)) / manningN
}

/**
 * Flow of a full circular pipe; ranges as `fullPipeVelocityMs`. The most it can carry is 7.6 % more, at 93 % depth.
 *
 * @returns [m³/s]
 * @see HEC-22, eq. 9.2, in its exact form
 */
export function fullPipeFlowM3s(diameterM: number, manningN: number, slope: number): number {
  return ((Math.PI * diameterM ** 2) / 4) * fullPipeVelocityMs(diameterM, manningN, slope)
}

/**
 * Inside diameter that carries this flow full: the inverse of `fullPipeFlowM3s`.
 *
 * @param flowM3s [m³/s], above 0
 * @returns [m]; take the next size sold
 * @throws RangeError outside the valid ranges
 */
export function fullPipeDiameterM(flowM3s: number, manningN: number, slope: number): number {
  assertPositive(flowM3s, 'flowM3s', 'm³/s')
  assertPipe(manningN, slope)
  return ((flowM3s * manningN * 4 ** (5 / 3)) / (Math.PI * Math.sqrt(slope))) ** (3 / 8)
}

/** Weir and orifice coefficients of HEC-22, eq. 7.14 and 7.15. */
const WEIR = 0.37 * Math.sqrt(2 * GRAVITY_M_S2)
const ORIFICE = 0.67 * Math.sqrt(2 * GRAVITY_M_S2)

/**
 * Flow over the rim of a grate in a low spot, shallow water.
 *
 * @param perimeterM rim that water reaches, less what is clogged or against a wall [m], above 0
 * @param depthM [m], 0 to 1
 * @returns [m³/s]
 * @throws RangeError outside the valid ranges
 */
export function grateWeirFlowM3s(perimeterM: number, depthM: number): number {
  assertPositive(perimeterM, 'perimeterM', 'm')
  assertWithin(depthM, 'depthM', 'm', [0, 1])
  return WEIR * perimeterM * depthM ** 1.5
}

/** Rim that lets this flow in at this depth [m]; `flowM3s` and `depthM` above 0. */
export function grateWeirPerimeterM(flowM3s: number, depthM: number): number {
  assertPositive(flowM3s, 'flowM3s', 'm³/s')
  assertPositive(depthM, 'depthM', 'm')
  return flowM3s / (WEIR * depthM ** 1.5)
}

/**
 * Flow through the openings of a grate, deep water.
 *
 * @param openAreaM2 clear openings, less what is clogged [m²], above 0
 * @param depthM [m], 0 to 3
 * @returns [m³/s]
 * @throws RangeError outside the valid ranges
 */
export function grateOrificeFlowM3s(openAreaM2: number, depthM: number): number {
  assertPositive(openAreaM2, 'openAreaM2', 'm²')
  assertWithin(depthM, 'depthM', 'm', [0, 3])
  return ORIFICE * openAreaM2 * Math.sqrt(depthM)
}

export interface GrateDepth {
  depthM: number
  /** What holds the water back: the rim in shallow water, the openings in deep water. */
  controlledBy: 'rim' | 'openings'
}

/**
 * How deep water stands over a grate in a low spot: the larger of the rim's and the openings' answer.
 *
 * @param flowM3s [m³/s], above 0
 * @param perimeterM, openAreaM2 with clogging taken off each, above 0
 * @throws RangeError outside the valid ranges
 */
export function grateDepth(flowM3s: number, perimeterM: number, openAreaM2: number): GrateDepth {
  assertPositive(flowM3s, 'flowM3s', 'm³/s')
  assertPositive(perimeterM, 'perimeterM', 'm')
  assertPositive(openAreaM2, 'openAreaM2', 'm²')
  const rimM = (flowM3s / (WEIR * perimeterM)) ** (2 / 3)
  const openingsM = (flowM3s / (ORIFICE * openAreaM2)) ** 2
  return rimM >= openingsM ? { depthM: rimM, controlledBy: 'rim' } : { depthM: openingsM, controlledBy: 'openings' }
}
