import { summerness } from './weather.ts'

const THICKNESS_M = [0.04, 0.08, 0.16, 0.32, 0.64, 1.2] as const
const HEAT_CAPACITY_J_M3K = 2.1e6 // moist mineral soil, common practice
const LAYERS = THICKNESS_M.length

/** Heat in the ground under the space: layers that thicken downward, above ground that lags the seasons. */
export interface SoilHeat {
  layersC: Float64Array
  /** One step; `topHeatW` enters the top layer from air, floor and evaporation. */
  step: (seconds: number, at: number, topHeatW: number, outdoorMeanC: number) => void
}

/** Yearly mean and swing of the ground about 2.5 m down; lags the air by some nine weeks. */
const deepC = (at: number, meanC: number, amplitudeC: number) =>
  meanC + 0.8 + 0.4 * amplitudeC * (2 * summerness(at - 65 * 86_400_000) - 1)

export function soilHeat(
  areaM2: number,
  perimeterM: number,
  conductivityWMK: number,
  climate: { meanTempC: number; tempAmplitudeC: number },
  startMs: number,
): SoilHeat {
  const layersC = new Float64Array(LAYERS)
  for (let k = 0; k < LAYERS; k++) layersC[k] = deepC(startMs + 6 * k * 86_400_000, climate.meanTempC, 6)
  const between = Array.from({ length: LAYERS }, (_, k) => {
    const below = k + 1 < LAYERS ? THICKNESS_M[k + 1]! / 2 : 0.6
    return (conductivityWMK * areaM2) / (THICKNESS_M[k]! / 2 + below)
  })
  const capacity = THICKNESS_M.map((d) => d * areaM2 * HEAT_CAPACITY_J_M3K)
  const flowW = new Float64Array(LAYERS)
  const sidewaysWK = 0.45 * perimeterM // ground beside the wall reaches in at the edge
  return {
    layersC,
    step(seconds, at, topHeatW, outdoorMeanC) {
      const deep = deepC(at, climate.meanTempC, climate.tempAmplitudeC)
      for (let k = 0; k < LAYERS; k++) {
        const belowC = k + 1 < LAYERS ? layersC[k + 1]! : deep
        flowW[k] = between[k]! * (belowC - layersC[k]!)
      }
      for (let k = 0; k < LAYERS; k++) {
        const fromAbove = k === 0 ? topHeatW : -flowW[k - 1]!
        const sideways = k === 2 ? sidewaysWK * (outdoorMeanC - layersC[k]!) : 0
        layersC[k] = layersC[k]! + (seconds * (flowW[k]! + fromAbove + sideways)) / capacity[k]!
      }
    },
  }
}
