/** Whether a house needs an encapsulation, from what was measured and what one would change. */
import { thresholds } from '../../server/advice/thresholds.ts'
import type { HouseModel } from '../../server/moisture/house.ts'
import { whatIf } from '../../server/moisture/whatif.ts'
import { dailyMeans } from '../../server/series/days.ts'
import { medianAcross } from '../../server/series/robust.ts'
import type { StudiedHouse } from '../../server/study/studiedHouse.ts'

/** Days that must have been seen after the last work, and the share of them that may be damp. Judgement. */
const LEAST_DAYS = 60
const DAMP_DAYS_SHARE = 0.05
/** What an encapsulation must take off the mean RH to be worth its price. Judgement. */
const WORTH_RH_PCT = 5

/**
 * @returns false where the space stays dry as it is; true where it is damp and an encapsulation would clearly dry it;
 *   null where neither can be said
 */
export function encapsulationNeeded(house: StudiedHouse, model: HouseModel, spaceKey: string): boolean | null {
  const rh = medianAcross(
    house.spots.filter(({ space }) => space.key === spaceKey).map((spot) => dailyMeans(house.days, spot.hours.rhPct)),
  )
  const lastWork = Math.max(Number.NEGATIVE_INFINITY, ...house.works.map(({ from, to }) => to ?? from))
  const after = rh.filter((value, d) => house.days[d]!.from >= lastWork && !Number.isNaN(value))
  if (after.length < LEAST_DAYS) return null
  const dampShare = after.filter((value) => value > thresholds().closedOffRhPct).length / after.length
  if (dampShare <= DAMP_DAYS_SHARE) return false
  const { rhPct } = whatIf(model, [{ kind: 'encapsulation' }])
  return rhPct.change.high <= -WORTH_RH_PCT ? true : null
}
