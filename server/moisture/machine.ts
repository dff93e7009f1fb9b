/** Dehumidifier capacity as the balance needs it: relative to the 80 °F / 60 % rating, never an exception. */
import {
  capacityLPerDay,
  DEHUMIDIFIER_CURVES,
  RATING_BASES_C,
  RATING_RH_PCT,
  type RatingBasis,
  ratingNeededLPerDay,
} from '../physics/dehumidifier.ts'
import type { Machine } from './input.ts'

/** Below this share the curve is far outside its data and the coil ices; a machine still takes out a little. */
const LOWEST_FACTOR = 0.05
const [A, B, C, D, E, F] = DEHUMIDIFIER_CURVES.generic.capacity
const BASIS: RatingBasis = '80 °F'
const AT_RATING = rawFactor(RATING_BASES_C[BASIS], RATING_RH_PCT)

function rawFactor(tempC: number, rhPct: number): number {
  return A + tempC * (B + C * tempC + F * rhPct) + rhPct * (D + E * rhPct)
}

/** Capacity at this air over that at 80 °F / 60 % RH. See `capacityLPerDay`, whose range checks the inner loop spares. */
export function machineFactor(tempC: number, rhPct: number): number {
  const factor = rawFactor(tempC, rhPct) / AT_RATING
  return factor > LOWEST_FACTOR ? factor : LOWEST_FACTOR
}

/** A rating moved to the 80 °F / 60 % basis [L/day]; the older label is the larger number. */
export function ratedAt80F(ratedLPerDay: number, basis: RatingBasis | null): number {
  const unit = capacityLPerDay({ ratedLPerDay, basis: basis ?? BASIS }, RATING_BASES_C[BASIS], RATING_RH_PCT)
  return ratingNeededLPerDay(unit, BASIS, RATING_BASES_C[BASIS], RATING_RH_PCT)
}

/** Assumed where nothing was recorded (judgement): the usual set point and a common size. */
export const USUAL_SET_RH_PCT = 52
export const USUAL_RATED_L_PER_DAY = 33

export interface KnownMachine {
  setRh: number
  ratedKgPerH: number
  ratingKnown: boolean
  setKnown: boolean
}

export function knownMachine(machine: Partial<Machine>): KnownMachine {
  const rated = machine.ratedLPerDay ?? null
  return {
    setRh: (machine.setRhPct ?? USUAL_SET_RH_PCT) / 100,
    ratedKgPerH: ratedAt80F(rated ?? USUAL_RATED_L_PER_DAY, machine.ratingBasis ?? null) / 24,
    ratingKnown: rated !== null,
    setKnown: (machine.setRhPct ?? null) !== null,
  }
}
