/**
 * A run of solid drain pipe for roof and yard water, sized by the real fall of the run and not by a slope that was hoped
 * for. Pipe is designed three quarters full, so that leaves and silt do not fill it (proposal).
 */
import { assertPositive, assertWithin } from '../physics/check.ts'
import { metersFromFeet } from '../physics/units.ts'
import { fullPipeFlowM3s, fullPipeVelocityMs, rationalFlowM3s } from '../physics/water.ts'

export const DESIGN_FULL_SHARE = 0.75
/** Speed that carries silt away, 2 ft/s (common practice, no source). */
export const SELF_CLEANING_MS = metersFromFeet(2)
/** Flatter than this silts up (extension sheets give 0.5 to 1 % for yard drains). */
export const LEAST_SLOPE = 0.005

/** Inside diameters of pipe sold for yards [in]. */
const SIZES_IN = [3, 4, 6, 8, 10, 12] as const

export interface DrainRun {
  surfaces: readonly { areaM2: number; coefficient: number }[]
  /** Local design intensity; ask for the county's value, none is assumed [mm/h]. */
  rainMmPerHour: number
  lengthM: number
  /** Measured fall from inlet to outlet [m]; 0 or less carries nothing. */
  fallM: number
  manningN: number
}

export interface SizedDrain {
  flowM3s: number
  slope: number
  /** Smallest size that carries the flow; null when the largest does not, or when there is no fall. */
  diameterIn: number | null
  /** What that size carries when three quarters are counted, and its speed when full. */
  capacityM3s: number | null
  velocityMs: number | null
  /** Fall that would let the next smaller size do, to compare with digging deeper [m]. */
  fallForSmallerM: number | null
  cautions: string[]
  confirm: string
}

/**
 * @throws RangeError for lengths of 0, negative areas, coefficients outside 0 to 1
 * @see HEC-22 (2024): rational method eq. 4.1, full pipe eq. 9.1 and 9.2
 */
export function sizeDrain(run: DrainRun): SizedDrain {
  assertPositive(run.lengthM, 'lengthM', 'm')
  assertWithin(run.fallM, 'fallM', 'm', [-100, 100])
  const flowM3s = run.surfaces.reduce((sum, s) => sum + rationalFlowM3s(s.coefficient, run.rainMmPerHour, s.areaM2), 0)
  const slope = run.fallM / run.lengthM
  const confirm = 'Confirm the design rain, pipe material and discharge point with the local official.'
  const none = { flowM3s, slope, diameterIn: null, capacityM3s: null, velocityMs: null, fallForSmallerM: null, confirm }
  if (slope <= 0) {
    return {
      ...none,
      cautions: ['The outlet is not below the inlet: a pipe carries nothing without fall; it needs a pump.'],
    }
  }
  const carries = (inches: number, at: number) =>
    DESIGN_FULL_SHARE * fullPipeFlowM3s(metersFromFeet(inches / 12), run.manningN, at)
  const index = SIZES_IN.findIndex((inches) => carries(inches, slope) >= flowM3s)
  if (index < 0) return { ...none, cautions: ['No single pipe up to 12 in carries this flow: split the run.'] }
  const diameterIn = SIZES_IN[index]!
  const velocityMs = fullPipeVelocityMs(metersFromFeet(diameterIn / 12), run.manningN, slope)
  const smaller = SIZES_IN[index - 1]
  // Flow grows with the root of the slope, so the fall grows with the square of the flow asked for.
  const fallForSmallerM = smaller === undefined ? null : run.fallM * (flowM3s / carries(smaller, slope)) ** 2
  const cautions: string[] = []
  if (slope < LEAST_SLOPE) cautions.push('Flatter than 0.5 %: it will silt up; find more fall or a shorter way.')
  if (velocityMs < SELF_CLEANING_MS)
    cautions.push('Slower than 2 ft/s when full: plan clean-outs, it does not clean itself.')
  return { ...none, diameterIn, capacityM3s: carries(diameterIn, slope), velocityMs, fallForSmallerM, cautions }
}
