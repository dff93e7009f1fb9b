/** One possible house run through its weather with all flows kept: vapor pressure, wood, water by path. */
import { type Drivers, type Flows, newFlows, type Stretch, simulate } from './balance.ts'
import type { Draw, HouseModel } from './house.ts'
import type { Climate } from './prepare.ts'

export type FullRun = Flows & { vaporPressurePa: Float64Array; climate: Climate }

/** @param reuse columns to fill instead of new ones; what they held is lost */
export function woodAt(
  model: HouseModel,
  draw: Draw,
  drivers: Drivers,
  without: ReadonlySet<string>,
  reuse: Flows | null = null,
): FullRun {
  return runFully(draw, drivers, draw.house.stretches(draw.theta, without), model.prepared.hours, null, reuse)
}

/** @param startWoodRh puts the wood at this RH (0 to 1) at the start instead of the fitted one */
export function runFully(
  draw: Draw,
  drivers: Drivers,
  stretches: readonly Stretch[],
  hours: number,
  startWoodRh: number | null = null,
  reuse: Flows | null = null,
): FullRun {
  const constants = draw.house.constants(draw.theta)
  const started = startWoodRh === null ? constants : { ...constants, startRh: startWoodRh, startSurfaceRh: startWoodRh }
  const flows = reuse ?? newFlows(hours)
  if (reuse !== null) for (const column of Object.values(reuse)) column.fill(0)
  const vaporPressurePa = simulate(new Float64Array(hours), drivers, started, stretches, flows)
  return { ...flows, vaporPressurePa, climate: drivers.climate }
}
