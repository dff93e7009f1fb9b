import { saturationPa } from './air.ts'
import { woodMoistureAt, woodRh, woodRhSlope } from './wood.ts'

/**
 * Floor framing and subfloor in three layers from the face inward, and masonry as one store. Each trades vapor with
 * the air through its face; water moves between the wood's layers slowly. All water is counted.
 */
const LAYER_KG_PER_M2 = [1.35, 3.2, 4.2] as const // kg dry wood a square meter of face: about 3, 7 and 9 mm
const FACE_CONDUCTANCE = 2.4e-9 // air film and half the face layer [kg/(m2 s Pa)]
const INNER_CONDUCTANCE = [1.1e-9, 5.5e-10] as const
export const WOOD_FACE_PER_FLOOR = 2.1 // underside and joist sides, m2 per m2 of floor
const MASONRY_FULL_KG_PER_M2 = 2.6
const MASONRY_CONDUCTANCE = 2.0e-9

export interface Store {
  /** Effective conductance of the step [kg/(s Pa)] and the vapor pressure it draws the air toward. */
  conductance: number
  pressurePa: number
}

export interface Wood {
  /** kg water per kg dry wood, face first. */
  moisture: Float64Array
  face: (tempC: number, seconds: number) => Store
  /** Takes up `faceKg` from the air and lets the layers trade. */
  step: (tempC: number, seconds: number, faceKg: number) => void
  waterKg: () => number
  /** Mean moisture of the layers a meter's pins reach (the first two), percent. */
  pinDepthPct: () => number
}

export function wood(floorAreaM2: number, startRh: number, startC: number): Wood {
  const area = floorAreaM2 * WOOD_FACE_PER_FLOOR
  const dryKg = LAYER_KG_PER_M2.map((kg) => kg * area)
  const moisture = new Float64Array(LAYER_KG_PER_M2.length).fill(woodMoistureAt(startRh, startC))
  return {
    moisture,
    face(tempC, seconds) {
      const es = saturationPa(tempC)
      const rh = woodRh(moisture[0]!, tempC)
      // The face answers while it takes up water; counting that inside the step keeps long steps stable.
      const paPerKg = (es * woodRhSlope(moisture[0]!, rh)) / dryKg[0]!
      const plain = FACE_CONDUCTANCE * area
      return { conductance: plain / (1 + plain * paPerKg * seconds), pressurePa: rh * es }
    },
    step(tempC, seconds, faceKg) {
      moisture[0] = moisture[0]! + faceKg / dryKg[0]!
      const es = saturationPa(tempC)
      for (let k = 0; k < INNER_CONDUCTANCE.length; k++) {
        const outer = es * woodRh(moisture[k]!, tempC)
        const inner = es * woodRh(moisture[k + 1]!, tempC)
        const kg = INNER_CONDUCTANCE[k]! * area * (outer - inner) * seconds
        moisture[k] = moisture[k]! - kg / dryKg[k]!
        moisture[k + 1] = moisture[k + 1]! + kg / dryKg[k + 1]!
      }
    },
    waterKg: () => moisture.reduce((sum, u, k) => sum + u * dryKg[k]!, 0),
    pinDepthPct: () => (100 * (moisture[0]! * dryKg[0]! + moisture[1]! * dryKg[1]!)) / (dryKg[0]! + dryKg[1]!),
  }
}

export interface Masonry {
  waterKg: number
  face: (tempC: number, seconds: number) => Store
}

export function masonry(wallAreaM2: number, startRh: number): Masonry {
  const full = MASONRY_FULL_KG_PER_M2 * wallAreaM2
  const store: Masonry = {
    waterKg: startRh * full,
    face(tempC, seconds) {
      const es = saturationPa(tempC)
      const plain = MASONRY_CONDUCTANCE * wallAreaM2
      return { conductance: plain / (1 + (plain * es * seconds) / full), pressurePa: (store.waterKg / full) * es }
    },
  }
  return store
}
