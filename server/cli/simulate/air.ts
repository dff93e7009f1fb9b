/** Invented air under an invented house: days, slow swells, and a little noise, the same for the same seed. */
import { rhPctFromVaporPressure, saturationVaporPressurePa } from '../../physics/air.ts'
import type { Quantity } from '../../series/quantities.ts'

const DAY_MS = 86_400_000

export interface InventedSpot {
  /** Mean over a day. */
  tempC: number
  dewPointC: number
  /** How much of the day's swing reaches it. */
  share: number
  seed: number
}

/** Spots of one crawl space differ by a little; every fourth is the wet corner. */
export const inventedSpot = (index: number): InventedSpot => ({
  tempC: 19.5 - 0.4 * (index % 4),
  dewPointC: 14.5 + (index % 4 === 3 ? 1.6 : 0.2 * (index % 3)),
  share: 1 - 0.15 * (index % 3),
  seed: index + 1,
})

/** @param at UTC epoch ms */
export function inventedAir(spot: InventedSpot, at: number): Partial<Record<Quantity, number>> {
  const day = (2 * Math.PI * at) / DAY_MS
  const slow = Math.sin(day / 5.3 + spot.seed)
  const tempC = spot.tempC + spot.share * (1.8 * Math.sin(day - 2.2) + 0.8 * slow) + 0.06 * chance(spot.seed, at)
  const dewPointC = spot.dewPointC + 0.9 * slow + 0.5 * Math.sin(day - 1.1) + 0.08 * chance(spot.seed + 50, at)
  const rhPct = Math.min(100, rhPctFromVaporPressure(tempC, saturationVaporPressurePa(dewPointC)))
  return { tempC: rounded(tempC), rhPct: rounded(rhPct) }
}

const rounded = (value: number): number => Math.round(value * 100) / 100

/** Between -1 and 1, another one each second. */
function chance(seed: number, at: number): number {
  let mixed = Math.imul(seed ^ Math.floor(at / 1000), 2_654_435_761) >>> 0
  mixed = Math.imul(mixed ^ (mixed >>> 15), 2_246_822_507) >>> 0
  return (mixed ^ (mixed >>> 13)) / 2 ** 31
}
