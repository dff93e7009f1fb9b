/** A what-if as a page: what is held back first, then what the remedies would change. */
import { DEFERS } from '../advice/holds.ts'
import type { HouseTree } from '../store/houseTree.ts'
import type { BalanceNeed } from './balanceAnswer.ts'
import { needLines } from './balanceNeedPage.ts'
import { amount, type BalanceUnits, digits, estimate, PERCENT, POINTS, span, unitsOf } from './balanceUnits.ts'
import type { WhatIfAnswer, WhatIfRemedy } from './balanceWhatIf.ts'
import { wrapped } from './pageText.ts'
import type { Units } from './wording.ts'
import { listWords } from './workWords.ts'

export function whatIfPage(house: Pick<HouseTree, 'name' | 'invented'>, answer: WhatIfAnswer, units: Units): string {
  const lines = [house.name]
  if (house.invented) lines.push('This house is invented: its readings come from a simulation.')
  if (answer.outcome === 'cannot tell') {
    lines.push('', ...wrapped(`It cannot be told yet. ${answer.reason}`), `Missing: ${answer.missing.join('; ')}.`)
    return `${lines.join('\n')}\n`
  }
  const shown = unitsOf(units)
  const held = answer.remedies.filter((remedy) => remedy.held !== null)
  const weather = answer.yearName === null ? "the record's own weather" : `the typical year of ${answer.yearName}`
  const item = (text: string) => wrapped(`- ${text}`, '  ')
  lines.push(
    ...held.flatMap((remedy) => ['', ...wrapped(`${capital(remedyWords(remedy, shown))}. ${remedy.held!.reason}`)]),
    '',
    ...wrapped(`What if: ${listWords(answer.remedies.map((remedy) => remedyWords(remedy, shown)))}, in ${weather}:`),
    ...item(
      `Water in the air: ${signed(estimate(answer.changeGKg, shown.ratio))}, to ${amount(answer.humidityRatioGKg.mid, shown.ratio)}.`,
    ),
    ...item(
      `RH on average: ${signed(estimate(answer.changeRhPct, POINTS))}, to ${digits(answer.rhPct.mid, PERCENT)} % (${span(answer.rhPct, PERCENT)}).`,
    ),
    ...item(hoursText(answer.hoursOver80Share)),
    ...item(
      `Wood where pins read, on average: ${digits(answer.woodMcPct.mid, POINTS)} % (${span(answer.woodMcPct, POINTS)}).`,
    ),
    '',
    'A dehumidifier with these remedies done',
    ...needLines(answer.need.after, shown),
    ...item(`As the house is now: ${needWords(answer.need.asIs, shown)}.`),
    '',
    ...answer.assumptions.flatMap((text) => item(`Assumed: ${text}`)),
    ...(held.length === 0 ? item(DEFERS) : []),
  )
  return `${lines.join('\n')}\n`
}

const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1)
const signed = (text: string): string => (text.startsWith('-') || Number.parseFloat(text) === 0 ? text : `+${text}`)

function hoursText({
  asIs,
  after,
}: {
  asIs: { mid: number }
  after: { low: number; mid: number; high: number }
}): string {
  const percent = (share: number) => digits(100 * share, PERCENT)
  return `Hours above 80 % RH: ${percent(after.mid)} % (${percent(after.low)} to ${percent(after.high)}); now ${percent(asIs.mid)} %.`
}

const needWords = (need: BalanceNeed, { water }: BalanceUnits): string =>
  need.outcome === 'told' ? `${estimate(need.lPerDay, water)} on a hard day` : 'cannot be told from this weather'

/** "dehumidifier (rated 70 pints a day at 80 °F / 60 %)" */
function remedyWords({ kind, details }: WhatIfRemedy, { capacity }: BalanceUnits): string {
  const told = [
    details?.ratedLPerDay === undefined
      ? null
      : `rated ${amount(details.ratedLPerDay, capacity)} a day at ${details.ratingBasis ?? '80 °F'} / 60 %`,
    details?.setRhPct === undefined ? null : `set at ${details.setRhPct} % RH`,
    details?.coverShareAfter === undefined ? null : `${digits(100 * details.coverShareAfter, PERCENT)} % of the ground`,
    details?.fanM3PerHour === undefined ? null : `${Math.round(details.fanM3PerHour)} m³/h`,
  ].filter((text) => text !== null)
  return told.length === 0 ? kind : `${kind} (${told.join(', ')})`
}
