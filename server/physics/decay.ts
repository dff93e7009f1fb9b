/**
 * Thresholds of wood decay. Dose models exist, but none could be checked against its paper, so none is here.
 * Source: Wood Handbook FPL-GTR-282 (2021), ch. 14.
 */
import { assertWithin } from './check.ts'

export const DECAY_STOPS_BELOW_C = 2
export const DECAY_SLOW_BELOW_C = 10
export const DECAY_SLOW_ABOVE_C = 35
export const DECAY_STOPS_ABOVE_C = 38
/** Average over species; serious decay needs wood wetter than this [% of dry mass]. */
export const FIBER_SATURATION_PCT = 30
/** The conventional limit to keep untreated lumber below: leaves room for meters and for boards that differ [%]. */
export const SAFE_WOOD_MC_PCT = 20

export type DecayMoisture = 'too dry' | 'above the safe limit' | 'wet enough'
export type DecayTemperature = 'stopped' | 'slow' | 'active'

/**
 * Whether wood at this moisture can decay: not below 20 %, certainly above 30 %, and between them not by the book, but
 * neither meters nor boards are exact enough to call it safe.
 *
 * @param woodMcPct [% of dry mass], valid 0 to 250
 * @throws RangeError outside the valid range
 */
export function decayMoisture(woodMcPct: number): DecayMoisture {
  assertWithin(woodMcPct, 'woodMcPct', '%', [0, 250])
  if (woodMcPct < SAFE_WOOD_MC_PCT) return 'too dry'
  return woodMcPct < FIBER_SATURATION_PCT ? 'above the safe limit' : 'wet enough'
}

/**
 * How decay fungi work at this temperature, moisture permitting.
 *
 * @param tempC of the wood [°C], valid -60 to 100
 * @throws RangeError outside the valid range
 */
export function decayTemperature(tempC: number): DecayTemperature {
  assertWithin(tempC, 'tempC', '°C', [-60, 100])
  if (tempC <= DECAY_STOPS_BELOW_C || tempC >= DECAY_STOPS_ABOVE_C) return 'stopped'
  return tempC < DECAY_SLOW_BELOW_C || tempC > DECAY_SLOW_ABOVE_C ? 'slow' : 'active'
}
