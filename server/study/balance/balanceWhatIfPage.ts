/** A what-if as a page: what is held back first, then what the remedies would change. */
import { DEFERS } from '../../advice/holds.ts'
import type { Estimate } from '../../moisture/input.ts'
import type { Compared, WhatIfPeriod } from '../../moisture/whatif.ts'
import type { HouseTree } from '../../store/houseTree.ts'
import { wrapped } from '../pageText.ts'
import type { Units } from '../wording.ts'
import { listWords } from '../workWords.ts'
import type { BalanceNeed } from './balanceAnswer.ts'
import { needLines } from './balanceNeedPage.ts'
import {
  amount,
  type BalanceUnits,
  digits,
  estimate,
  PERCENT,
  POINTS,
  type Shown,
  span,
  turned,
  unitsOf,
} from './balanceUnits.ts'
import type { WhatIfAnswer, WhatIfRemedy } from './balanceWhatIf.ts'

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
    ...airTexts(answer, shown).flatMap(item),
    ...harmTexts(answer).flatMap(item),
    '',
    'A dehumidifier with these remedies done',
    ...item(useText(answer, shown)),
    ...needLines(answer.need.after, shown),
    ...item(`As the house is now: ${needWords(answer.need.asIs, shown)}.`),
    ...savesTexts(answer, shown).flatMap(item),
    '',
    ...answer.assumptions.flatMap((text) => item(`Assumed: ${text}`)),
    ...(held.length === 0 ? item(DEFERS) : []),
  )
  return `${lines.join('\n')}\n`
}

const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1)
const signed = (text: string): string => (text.startsWith('-') || Number.parseFloat(text) === 0 ? text : `+${text}`)

type Told = Extract<WhatIfAnswer, { outcome: 'told' }>

function airTexts(answer: Told, { ratio, temperature, difference }: BalanceUnits): string[] {
  const { humidityRatioGKg, vaporPressurePa, rhPct, tempC, hoursOver80Share } = answer
  const change = (of: Compared<Estimate>, by: Shown, at: Shown) =>
    `${signed(estimate(of.change, by))}, to ${amount(of.after.mid, at)} (${span(of.after, at)}); now ${amount(of.asIs.mid, at)}.`
  const tempAt = { ...temperature, digits: 1 }
  return [
    `Water in the air: ${change(humidityRatioGKg, ratio, ratio)}`,
    `Vapor pressure on average: ${change(vaporPressurePa, PASCAL, PASCAL)}`,
    `RH on average: ${change(rhPct, POINTS, PERCENT)}`,
    `Temperature on average: ${change(tempC, difference, tempAt)}`,
    `Hours above 80 % RH: ${both(hoursOver80Share, SHARE)}`,
  ]
}

function harmTexts({ woodMcPct, moldIndex, condensation, period }: Told): string[] {
  return [
    `Wood where pins read, on average: ${both(woodMcPct, WOOD)}`,
    `Mold index (1 is seen in the microscope, 3 with the eye), highest: ${both(moldIndex.max, INDEX)} At the end: ${both(moldIndex.end, INDEX)}`,
    condensation.outcome === 'told'
      ? `Condensation on ${condensation.surface}, ${periodWords(period)}: ${both(condensation.hours, HOURS)}`
      : `Condensation cannot be told. ${condensation.reason} Missing: ${condensation.missing.join('; ')}.`,
  ]
}

function savesTexts({ need: { savesLPerDay } }: Told, { capacity }: BalanceUnits): string[] {
  if (savesLPerDay === null) return []
  const shown = Number(digits(savesLPerDay.mid, capacity))
  if (shown > 0) return [`Doing these first saves ${estimate(savesLPerDay, capacity)} a day of that.`]
  if (shown === 0) return ['Doing these first does not lighten a hard day.']
  return [`Doing these first adds ${estimate(turned(savesLPerDay), capacity)} a day to that.`]
}

function useText({ machine, period, costs }: Told, { water }: BalanceUnits): string {
  const sum = { ...water, digits: 0 }
  const use = ({ runningHours, liters, kwh }: NonNullable<Told['machine']['asIs']>, cost: Estimate | null) =>
    `${estimate(runningHours, HOURS)}, ${estimate(liters, sum)} taken out, ${estimate(kwh, KWH)}${cost === null ? '' : `, ${estimate(cost, DOLLARS)}`}`
  const now = machine.asIs === null ? 'None runs now.' : `Now: ${use(machine.asIs, costs.asIs)}.`
  if (machine.after === null) return `None runs with these remedies. ${now}`
  return `It runs, ${periodWords(period)}: ${use(machine.after, costs.after)}. ${now}`
}

const PASCAL: Shown = { unit: 'Pa', digits: 0, of: (value) => value }
const SHARE: Shown = { unit: '%', digits: 0, of: (share) => 100 * share }
const WOOD: Shown = { unit: '%', digits: 1, of: (value) => value }
const INDEX: Shown = { unit: '', digits: 1, of: (value) => value }
const HOURS: Shown = { unit: 'hours', digits: 0, of: (value) => value }
const DOLLARS: Shown = { unit: 'dollars', digits: 0, of: (value) => value }
const KWH: Shown = { unit: 'kWh', digits: 0, of: (value) => value }

/** "12 % (3 to 20); now 40 %." */
const both = ({ asIs, after }: Compared<Estimate>, shown: Shown): string =>
  `${amount(after.mid, shown).trim()} (${span(after, shown)}); now ${amount(asIs.mid, shown).trim()}.`

const periodWords = ({ basis, days }: WhatIfPeriod): string =>
  basis === 'a year' ? 'in a year' : `in the ${Math.round(days)} days of the record`

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
    details?.litersPerKwh === undefined ? null : `${details.litersPerKwh} L/kWh`,
  ].filter((text) => text !== null)
  return told.length === 0 ? kind : `${kind} (${told.join(', ')})`
}
