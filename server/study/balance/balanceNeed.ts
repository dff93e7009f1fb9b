/** What a dehumidifier would have to take out, with the rating that asks for and the code's floor beside it. */
import type { Estimate } from '../../moisture/input.ts'
import type { Need } from '../../moisture/need.ts'
import { RATING_BASES_C, type RatingBasis } from '../../physics/dehumidifier.ts'
import { codeFloorLPerDay, ICING_BELOW_C, sizeDehumidifier } from '../../sizing/dehumidifier.ts'
import type { BalanceNeed } from './balanceAnswer.ts'

/** Air in which capacity curves can be asked at all [°C]. */
const CURVE_TEMP_C = [-10, 45] as const
const BASES = Object.keys(RATING_BASES_C) as RatingBasis[]

/** @param floorAreaM2 null where it was not recorded: the code's floor is then not known, and not guessed */
export function needAnswer(need: Need, floorAreaM2: number | null): BalanceNeed {
  const codeFloor = floorAreaM2 === null ? null : codeFloorLPerDay(floorAreaM2)
  if ('cannotTell' in need) {
    return { outcome: 'cannot tell', reason: need.cannotTell, missing: [need.needs], codeFloorLPerDay: codeFloor }
  }
  const { lPerDay, meanLPerDay, hardDays, basis, scale } = need
  const reached = hardDays.tempC >= CURVE_TEMP_C[0] && hardDays.tempC <= CURVE_TEMP_C[1] && lPerDay.low > 0
  return {
    outcome: 'told',
    lPerDay,
    meanLPerDay,
    air: hardDays,
    basis,
    scale,
    ratedLPerDay: reached ? ratings(lPerDay, hardDays) : null,
    ratingExtrapolated: reached && sizeDehumidifier(lPerDay.mid, hardDays, ANY_AREA_M2).extrapolated,
    icing: hardDays.tempC < ICING_BELOW_C,
    codeFloorLPerDay: codeFloor,
  }
}

/** Sizing takes an area for the code's floor alone, which is reckoned above. */
const ANY_AREA_M2 = 100

function ratings(load: Estimate, air: { tempC: number; rhPct: number }): Record<RatingBasis, Estimate> {
  const [low, mid, high] = [load.low, load.mid, load.high].map((l) => sizeDehumidifier(l, air, ANY_AREA_M2))
  return Object.fromEntries(
    BASES.map((basis) => [
      basis,
      { low: low!.ratedLPerDay[basis], mid: mid!.ratedLPerDay[basis], high: high!.ratedLPerDay[basis] },
    ]),
  ) as Record<RatingBasis, Estimate>
}
