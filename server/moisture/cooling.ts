/**
 * Evaporation cools. A work that keeps water from evaporating leaves the space warmer than it would have been, by
 * 0.2 to 0.6 K under covers and drains, and warmer air stands for more vapor: leaving this out overstated their effects
 * by a sixth. A machine's works are left to the temperature regression, which sees machine and evaporation together.
 */
import { driversWithout, type HouseModel, middleDraw } from './house.ts'
import { lowPass } from './prepare.ts'
import { woodAt } from './timber.ts'
import type { WorkGroup } from './works.ts'

/** Heat to evaporate a kilogram an hour [W]. */
export const WATT_PER_KG_H = 684
/**
 * Heat that reaches the ground's surface and the air for each kelvin they cool, a m2 of floor [W/(m2 K)]: soil 1 to 2,
 * floor above 0.4 to 1.2, walls and vents about 1 (sum of textbook parts, judged to within a factor of 1.6).
 */
const SURROUNDINGS_W_PER_M2K = 4
const THREE_DAYS_H = 72

/** Warming by the group's works through evaporation saved, by hour [K], with minus without; null when none is at stake. */
export function evaporationCooling(model: HouseModel, group: WorkGroup): Float64Array | null {
  if (group.kinds.includes('dehumidifier')) return null
  const wet = model.plan.steps.some((s) => s.group === group.index && s.target !== 'air' && s.target !== 'airFactor')
  if (!wet) return null
  const draw = middleDraw(model)
  const without = new Set(group.keys)
  const a = woodAt(model, draw, driversWithout(model, draw, new Set()), new Set())
  let warming: Float64Array | null = null
  // Cooler ground evaporates less, so the first answer is a little too large; the second is within a few per cent.
  for (let pass = 0; pass < 2; pass++) {
    const b = woodAt(model, draw, driversWithout(model, draw, without, warming), without)
    const saved = a.ground.map((kg, h) => b.ground[h]! + b.rain[h]! - kg - a.rain[h]!)
    const perKgH = WATT_PER_KG_H / (SURROUNDINGS_W_PER_M2K * model.size.floorAreaM2)
    warming = lowPass(saved, THREE_DAYS_H, 0).map((kg) => perKgH * kg)
  }
  return warming
}
