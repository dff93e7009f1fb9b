/**
 * Mold growth index on a surface, 0 (none) to 6 (covered): Hukka and Viitanen 1999 for pine and spruce sapwood, and the
 * four sensitivity classes of Ojanen, Viitanen and others 2010 that ANSI/ASHRAE 160-2016 uses. 1 is seen in the
 * microscope, 3 with the eye. Written for small clean samples, 0 to 50 °C; not for wood that stays wet or is treated.
 * Coefficients were read in public implementations, not in the papers themselves.
 */
import { assertSameLength, assertWithin, type Range } from './check.ts'

export interface MoldMaterial {
  /** RH below which nothing grows at any temperature [%]. */
  rhMinPct: number
  /** Growth rate against the pine reference below index 1. */
  rateBelow1: number
  /** The same from index 1 on; 'response times' takes it from the times to index 1 and 3, as the pine model does. */
  rateFrom1: number | 'response times'
  /** Highest index of a climate: A + B x − C x², x from 0 at critical RH to 1 at 100 %. */
  highest: readonly [A: number, B: number, C: number]
  /** 0 pine, 1 spruce. */
  species: 0 | 1
  /** 0 resawn, 1 original kiln-dried surface. */
  surface: 0 | 1
}

export type MoldClass = 'very sensitive' | 'sensitive' | 'medium resistant' | 'resistant'

/** Pine sapwood is very sensitive; planed or glued boards, spruce, paper facings sensitive; concrete, glass wool medium. */
export const MOLD_CLASSES: Record<MoldClass, MoldMaterial> = {
  'very sensitive': { rhMinPct: 80, rateBelow1: 1, rateFrom1: 2, highest: [1, 7, 2], species: 0, surface: 0 },
  sensitive: { rhMinPct: 80, rateBelow1: 0.578, rateFrom1: 0.386, highest: [0.3, 6, 1], species: 0, surface: 0 },
  'medium resistant': {
    rhMinPct: 85,
    rateBelow1: 0.072,
    rateFrom1: 0.097,
    highest: [0, 5, 1.5],
    species: 0,
    surface: 0,
  },
  resistant: { rhMinPct: 85, rateBelow1: 0.033, rateFrom1: 0.014, highest: [0, 3, 1], species: 0, surface: 0 },
}

/** The original 1999 model: resawn pine sapwood unless told otherwise. */
export function sapwood(
  species: 'pine' | 'spruce' = 'pine',
  surface: 'resawn' | 'kiln-dried' = 'resawn',
): MoldMaterial {
  return {
    rhMinPct: 80,
    rateBelow1: 1,
    rateFrom1: 'response times',
    highest: [1, 7, 2],
    species: species === 'spruce' ? 1 : 0,
    surface: surface === 'kiln-dried' ? 1 : 0,
  }
}

/** Growth is described above 0 and below 50 °C; colder or hotter hours are taken as unfavorable. */
export const MOLD_TEMP_RANGE_C: Range = [0, 50]
const INPUT_TEMP_RANGE_C: Range = [-60, 100]
const INPUT_RH_RANGE_PCT: Range = [0, 105]
const INDEX_RANGE: Range = [0, 6]
const HOURS_PER_WEEK = 168

/**
 * RH from which mold grows: falls from 100 % at 0 °C to the material's minimum at about 15 to 20 °C.
 *
 * @param tempC surface temperature [°C], valid 0 to 50
 * @param rhMinPct 80 for wood, 85 for the two resistant classes
 * @returns [%]
 * @throws RangeError outside the valid range
 * @see Hukka and Viitanen 1999
 */
export function criticalRhPct(tempC: number, rhMinPct = 80): number {
  assertWithin(tempC, 'tempC', '°C', MOLD_TEMP_RANGE_C)
  return critical(tempC, rhMinPct)
}

function critical(tempC: number, rhMinPct: number): number {
  if (tempC > 20) return rhMinPct
  return Math.max(rhMinPct, 100 + tempC * (-3.13 + tempC * (0.16 - 0.00267 * tempC)))
}

function toIndex1(tempC: number, rhPct: number, material: MoldMaterial): number {
  const wood = 0.14 * material.species - 0.33 * material.surface
  return Math.exp(-0.68 * Math.log(tempC) - 13.9 * Math.log(rhPct) + wood + 66.02)
}

function toIndex3(tempC: number, rhPct: number, material: MoldMaterial): number {
  return Math.exp(-0.74 * Math.log(tempC) - 12.72 * Math.log(rhPct) + 0.06 * material.species + 61.5)
}

/**
 * Weeks of constant climate until index 1 (growth seen in the microscope) on sapwood.
 *
 * @param tempC above 0 to 50 [°C]
 * @param rhPct 75 to 100 [%]; meaningful from the critical RH on
 * @throws RangeError outside the valid ranges
 * @see Hukka and Viitanen 1999, response time tm
 */
export function weeksToIndex1(tempC: number, rhPct: number, material: MoldMaterial = sapwood()): number {
  assertWithin(tempC, 'tempC', '°C', [0.1, 50])
  assertWithin(rhPct, 'rhPct', '%', [75, 100])
  return toIndex1(tempC, rhPct, material)
}

/**
 * Weeks of constant climate until index 3 (growth seen with the eye) on sapwood; ranges as `weeksToIndex1`.
 *
 * @see Hukka and Viitanen 1999, response time tv
 */
export function weeksToIndex3(tempC: number, rhPct: number, material: MoldMaterial = sapwood()): number {
  assertWithin(tempC, 'tempC', '°C', [0.1, 50])
  assertWithin(rhPct, 'rhPct', '%', [75, 100])
  return toIndex3(tempC, rhPct, material)
}

/**
 * Highest index that a constant climate can reach; 0 below the critical RH.
 *
 * @param tempC 0 to 50 [°C]
 * @param rhPct 0 to 105 [%]; more than 100 counts as 100
 * @throws RangeError outside the valid ranges
 */
export function highestMoldIndex(tempC: number, rhPct: number, material: MoldMaterial = sapwood()): number {
  assertWithin(tempC, 'tempC', '°C', MOLD_TEMP_RANGE_C)
  assertWithin(rhPct, 'rhPct', '%', INPUT_RH_RANGE_PCT)
  const criticalPct = critical(tempC, material.rhMinPct)
  return rhPct < criticalPct ? 0 : Math.max(0, highest(Math.min(rhPct, 100), criticalPct, material))
}

function highest(rhPct: number, criticalPct: number, material: MoldMaterial): number {
  const x = criticalPct >= 100 ? 0 : (rhPct - criticalPct) / (100 - criticalPct)
  const [A, B, C] = material.highest
  return A + x * (B - C * x)
}

/** Index and how long the surface has been too dry or too cold to grow. */
export interface MoldState {
  index: number
  unfavorableHours: number
}

export interface MoldOptions {
  material: MoldMaterial
  /**
   * How fast an index fades in dry spells against pine: 1 pine, 0.5, 0.25, 0.1 for slower materials. From memory:
   * ASHRAE 160 takes 0.1 where nothing better is known, so that is the default.
   */
  declineCoefficient?: number
}

const DEFAULT_DECLINE = 0.1
/** Decline per hour on pine: in the first 6 h, none from 6 to 24 h, slower afterwards (0.032 and 0.016 per day). */
const EARLY_DECLINE_PER_H = 0.032 / 24
const LATE_DECLINE_PER_H = 0.016 / 24
const EARLY_ENDS_H = 6
const LATE_BEGINS_H = 24

/** Decline on pine from the start of a dry spell to `hours` into it. */
function declineSince(hours: number): number {
  return EARLY_DECLINE_PER_H * Math.min(hours, EARLY_ENDS_H) + LATE_DECLINE_PER_H * Math.max(0, hours - LATE_BEGINS_H)
}

function growthPerHour(
  index: number,
  tempC: number,
  rhPct: number,
  criticalPct: number,
  material: MoldMaterial,
): number {
  const room = 1 - Math.exp(2.3 * (index - highest(rhPct, criticalPct, material)))
  if (room <= 0) return 0
  const weeks1 = toIndex1(tempC, rhPct, material)
  let rate = material.rateBelow1
  if (index >= 1) {
    const fixed = material.rateFrom1
    rate = fixed === 'response times' ? 2 / (toIndex3(tempC, rhPct, material) / weeks1 - 1) : fixed
  }
  return (rate * room) / (HOURS_PER_WEEK * weeks1)
}

/** One step in place, inputs already checked: the loop of `moldIndexInto` allocates nothing. */
function advance(
  state: MoldState,
  tempC: number,
  rhPct: number,
  hours: number,
  material: MoldMaterial,
  decline: number,
) {
  const rh = Math.min(rhPct, 100)
  const criticalPct = critical(tempC, material.rhMinPct)
  if (tempC > 0 && tempC < 50 && rh >= criticalPct) {
    state.index = Math.min(6, state.index + hours * growthPerHour(state.index, tempC, rh, criticalPct, material))
    state.unfavorableHours = 0
    return
  }
  const until = state.unfavorableHours + hours
  const loss = decline * (declineSince(until) - declineSince(state.unfavorableHours))
  state.index = Math.max(0, state.index - loss)
  state.unfavorableHours = until
}

function assertStep(stepHours: number, decline: number): void {
  // Growth is one Euler step; the fastest, near 100 % and 50 °C, adds about 0.6 in 24 h: longer steps would overshoot.
  assertWithin(stepHours, 'stepHours', 'h', [1 / 60, 24])
  assertWithin(decline, 'declineCoefficient', '', [0, 1])
}

/**
 * The state after one step of a constant climate at the surface.
 *
 * @param tempC, rhPct at the surface, not in the air [°C, -60 to 100; %, 0 to 105]
 * @param stepHours [h], valid 1/60 to 24; hourly steps are what the model is used with
 * @throws RangeError outside the valid ranges
 */
export function stepMold(
  state: MoldState,
  tempC: number,
  rhPct: number,
  stepHours: number,
  { material, declineCoefficient = DEFAULT_DECLINE }: MoldOptions,
): MoldState {
  assertWithin(state.index, 'index', '', INDEX_RANGE)
  assertWithin(tempC, 'tempC', '°C', INPUT_TEMP_RANGE_C)
  assertWithin(rhPct, 'rhPct', '%', INPUT_RH_RANGE_PCT)
  assertStep(stepHours, declineCoefficient)
  const next = { ...state }
  advance(next, tempC, rhPct, stepHours, material, declineCoefficient)
  return next
}

/**
 * Mold index after each row of a series of even steps.
 *
 * A row that is missing (NaN) or outside the ranges of `stepMold` holds the index and the dry spell's length: silence
 * neither grows nor dries mold. So a gap in the wet season reads low; callers say how many rows were missing.
 *
 * @param tempC, rhPct at the surface [°C, %]
 * @param stepHours [h], valid 1/60 to 24
 * @param startIndex before the first row, 0 to 6
 * @throws RangeError for a bad step, start or unequal columns
 */
export function moldIndexInto(
  out: Float64Array,
  tempC: Float64Array,
  rhPct: Float64Array,
  stepHours: number,
  { material, declineCoefficient = DEFAULT_DECLINE }: MoldOptions,
  startIndex = 0,
): Float64Array {
  assertSameLength(out, tempC, rhPct)
  assertStep(stepHours, declineCoefficient)
  assertWithin(startIndex, 'startIndex', '', INDEX_RANGE)
  const state: MoldState = { index: startIndex, unfavorableHours: 0 }
  for (let i = 0; i < out.length; i++) {
    const [temp, rh] = [tempC[i]!, rhPct[i]!]
    const known = temp >= -60 && temp <= 100 && rh >= 0 && rh <= 105
    if (known) advance(state, temp, rh, stepHours, material, declineCoefficient)
    out[i] = state.index
  }
  return out
}
