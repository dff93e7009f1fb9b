/** What a dehumidifier would have to take out, in sentences; the code's floor stands beside the load, never in its place. */
import type { RatingBasis } from '../../physics/dehumidifier.ts'
import { CODE_PINTS_PER_1000_FT2, ICING_BELOW_C } from '../../sizing/dehumidifier.ts'
import { wrapped } from '../pageText.ts'
import type { BalanceNeed } from './balanceAnswer.ts'
import { amount, type BalanceUnits, estimate, span } from './balanceUnits.ts'

export function needLines(need: BalanceNeed, shown: BalanceUnits): string[] {
  return [...loadTexts(need, shown), ...codeTexts(need, shown)].flatMap((text) => wrapped(`- ${text}`, '  '))
}

function loadTexts(need: BalanceNeed, { water, capacity, temperature }: BalanceUnits): string[] {
  if (need.outcome === 'cannot tell') {
    return [
      `This record has no humid season, so what a dehumidifier must take out cannot be told. ${need.reason} Missing: ${need.missing.join('; ')}.`,
    ]
  }
  const { lPerDay, meanLPerDay, air, basis, scale, ratedLPerDay, ratingExtrapolated, icing } = need
  const pints = water.unit === capacity.unit ? '' : `, or ${amount(lPerDay.mid, capacity)} (${span(lPerDay, capacity)})`
  const texts = [
    `A dehumidifier would have to take out ${estimate(lPerDay, water)} on a hard day${pints}; ${amount(meanLPerDay.mid, water)} on the mean day of the record. Basis: ${basis}; ${scale}.`,
  ]
  if (ratedLPerDay === null) return texts
  const at = `${amount(air.tempC, temperature)} and ${air.rhPct} % RH`
  const outside = ratingExtrapolated
    ? ' That air lies outside what capacity curves were measured in: a real unit may do less.'
    : ''
  const label = (basis: RatingBasis) => estimate(ratedLPerDay[basis], capacity)
  texts.push(
    `At ${at} this asks for a unit rated ${label('65 °F')} a day on the 65 °F / 60 % test of portable units, ${label('73 °F')} on the 73 °F / 60 % test of whole-home units, or ${label('80 °F')} on the older 80 °F / 60 % test, 20 % margin included.${outside}`,
  )
  if (icing) {
    texts.push(
      `That air is under ${amount(ICING_BELOW_C, temperature)}: coils ice and capacity falls. Read the ratings as a range, and look for a unit made for cold spaces.`,
    )
  }
  return texts
}

function codeTexts({ codeFloorLPerDay }: BalanceNeed, { capacity }: BalanceUnits): string[] {
  if (codeFloorLPerDay === null) {
    return ['The code floor goes by the floor area, which is not recorded: record it first.']
  }
  return [
    `Beside that, the model code's option for a closed crawl space asks for a capacity of ${amount(codeFloorLPerDay, capacity)} a day for this floor (${CODE_PINTS_PER_1000_FT2} pints a day per 1,000 ft²). That is a floor of capacity and not the load; confirm the adopted code with the local official.`,
  ]
}
