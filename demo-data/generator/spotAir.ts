import { saturationPa } from './air.ts'
import { randomStream } from './random.ts'
import type { SpotTruth } from './record.ts'
import type { SpotSpec } from './spec.ts'

/** The state of the space as a whole in one step; what the spots lean away from. */
export interface SpaceState {
  tempC: number
  vaporPressurePa: number
  outdoorC: number
  outdoorPa: number
  outdoorAirChanges: number
  floorC: number
  groundC: number
  rainKgPerHour: number
  leakKgPerHour: number
}

/** The spots feel vents fully from about this many air changes an hour. */
const BRISK_AIR_CHANGES = 3
const SWING_MEMORY = 0.992 // in a five-minute step; about ten hours

/** Air at each spot: the mean of the space, leaning to what is near the spot, with slow swings of its own. */
export function spotAir(specs: readonly SpotSpec[], steps: number, seed: number) {
  const truth: SpotTruth[] = specs.map(() => ({
    tempC: new Float64Array(steps),
    vaporPressurePa: new Float64Array(steps),
  }))
  // One stream a spot: the swings stay the same whatever is done to the house.
  const random = specs.map((spot) => randomStream(seed, `spot ${spot.key}`))
  const swings = specs.map(() => ({ c: 0, pa: 0 }))
  const kick = Math.sqrt(12 * (1 - SWING_MEMORY ** 2)) // times an even draw of width 1: variance 1
  return {
    truth,
    step(i: number, state: SpaceState): void {
      const brisk = Math.min(1, state.outdoorAirChanges / BRISK_AIR_CHANGES)
      for (let k = 0; k < specs.length; k++) {
        const spot = specs[k]!
        const swing = swings[k]!
        swing.c = SWING_MEMORY * swing.c + kick * spot.swingC * (random[k]!.uniform() - 0.5)
        swing.pa = SWING_MEMORY * swing.pa + kick * spot.swingPa * (random[k]!.uniform() - 0.5)
        const tempC =
          state.tempC +
          brisk * spot.outdoorShare * (state.outdoorC - state.tempC) +
          spot.floorShare * (state.floorC - state.tempC) +
          spot.groundShare * (state.groundC - state.tempC) +
          swing.c
        const pa =
          state.vaporPressurePa +
          brisk * spot.outdoorShare * (state.outdoorPa - state.vaporPressurePa) +
          spot.wetPaPerLH * state.rainKgPerHour +
          spot.leakPaPerLH * state.leakKgPerHour +
          swing.pa
        const column = truth[k]!
        column.tempC[i] = tempC
        column.vaporPressurePa[i] = Math.max(20, Math.min(pa, saturationPa(tempC)))
      }
    },
  }
}
