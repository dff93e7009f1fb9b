import type { WaterSpec } from './spec.ts'

/** Rain on its way: wet soil beside the wall, then water under the house that lies wet and evaporates. Kilograms. */
export interface RainStores {
  besideWallKg: number
  underHouseKg: number
  enteredKg: number
  sankKg: number
}

const FIRST_LOSS_MM = 2.5 // wets gutters, roof and dry topsoil; refills in about two days
const DAY_S = 86_400
/** Share of the water beside the wall that finds its way under the house; the rest sinks outside. */
const ENTERING_SHARE = 0.18
const FULL_LITERS_PER_M2 = 8

export interface RainPath {
  stores: RainStores
  /** Share of the largest wet area that lies wet now (0-1). */
  wetShare: () => number
  /** Moves rain on by one step, after `evaporatedKg` went into the air. */
  step: (seconds: number, rainMm: number, roofShare: number, yardShare: number, evaporatedKg: number) => void
}

export function rainPath(water: WaterSpec): RainPath {
  const stores: RainStores = { besideWallKg: 0, underHouseKg: 0, enteredKg: 0, sankKg: 0 }
  let dryLossMm = FIRST_LOSS_MM
  return {
    stores,
    wetShare: () => 1 - Math.exp(-stores.underHouseKg / (FULL_LITERS_PER_M2 * water.wetAreaM2)),
    step(seconds, rainMm, roofShare, yardShare, evaporatedKg) {
      const lost = Math.min(dryLossMm, rainMm)
      dryLossMm = Math.min(FIRST_LOSS_MM, dryLossMm - lost + (FIRST_LOSS_MM * seconds) / (2 * DAY_S))
      const arriving = (rainMm - lost) * (roofShare * water.roofAreaM2 + yardShare * water.yardAreaM2)
      const leaving = stores.besideWallKg * (1 - Math.exp(-seconds / (water.daysToEnter * DAY_S)))
      const lying = stores.underHouseKg - evaporatedKg
      const sinking = lying * (1 - Math.exp(-seconds / (water.daysToSink * DAY_S)))
      const entering = ENTERING_SHARE * leaving
      stores.besideWallKg += arriving - leaving
      stores.underHouseKg = lying + entering - sinking
      stores.enteredKg += entering
      stores.sankKg += sinking
    },
  }
}
