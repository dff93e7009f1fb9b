/** Where the water came from in the last period: a table for each basis, since the two are never mixed. */
import type { SourcePath } from '../moisture/sources.ts'
import { localDateText } from '../series/localTime.ts'
import type { BalanceSources, BalanceTold } from './balanceAnswer.ts'
import { type BalanceUnits, digits, PERCENT, span } from './balanceUnits.ts'
import { table, wrapped } from './pageText.ts'
import type { StudiedHouse } from './studiedHouse.ts'

const NAMES: Record<SourcePath, string> = {
  outdoorAir: 'outdoor air',
  ground: 'ground',
  rain: 'rain-wet ground',
  leak: 'steady leak',
  house: 'house air',
}

export function sourceLines({ tree }: Pick<StudiedHouse, 'tree'>, answer: BalanceTold, shown: BalanceUnits): string[] {
  const last = answer.sources.at(-1)
  if (last === undefined) return ['Where the water comes from', '- No period to tell it for.']
  const date = (at: number) => localDateText(at, tree.timeZone)
  const ofPeriod = answer.sources.filter(({ from }) => from === last.from)
  return [
    `Where the water comes from, ${date(last.from)} to ${date(last.to - 1)}, ${shown.water.unit} a day`,
    ...ofPeriod.flatMap((period) => [
      ...wrapped(`- ${titleOf(period, answer.targetRhPct)}:`, '  '),
      ...table(rowsOf(period, shown), '    '),
      ...beside(period, shown).flatMap((text) => wrapped(`    ${text}`, '      ')),
    ]),
    ...(last.caution ? wrapped(`- Caution: ${last.caution}`, '  ') : []),
    ...(ofPeriod.some(({ paths }) => paths.some(({ dashed }) => dashed))
      ? wrapped('- ┄ The readings fixed less than half of this path; it is not ranked.', '  ')
      : []),
  ]
}

const titleOf = ({ basis }: BalanceSources, targetRhPct: number): string =>
  basis === 'as it is'
    ? 'As it is'
    : `If held at ${targetRhPct} % RH by a machine, which lets evaporation come that humid air holds back`

function rowsOf({ paths }: BalanceSources, { water }: BalanceUnits): string[][] {
  const ordered = [...paths].sort((a, b) => (a.rank ?? 9) - (b.rank ?? 9) || b.entersLPerDay.mid - a.entersLPerDay.mid)
  const seen = ordered.filter(
    ({ entersLPerDay, leavesLPerDay }) => entersLPerDay.high > 0.005 || leavesLPerDay.high > 0.005,
  )
  return [
    ['', 'enters', '90 % interval', 'share', '90 % interval', 'leaves'],
    ...seen.map(({ path, dashed, rank, entersLPerDay, sharePct, leavesLPerDay }) => [
      `${dashed ? '┄' : (rank ?? ' ')} ${NAMES[path]}`,
      digits(entersLPerDay.mid, water),
      span(entersLPerDay, water),
      `${digits(sharePct.mid, PERCENT)} %`,
      span(sharePct, PERCENT),
      digits(leavesLPerDay.mid, water),
    ]),
  ]
}

/** What is no source and no exit of its own, and the machine. */
function beside(period: BalanceSources, { water }: BalanceUnits): string[] {
  const { woodGivesLPerDay, woodTakesLPerDay, machineLPerDay, condensesLPerDay } = period
  const parts = [
    ['the wood gives back', woodGivesLPerDay],
    ['the wood takes up', woodTakesLPerDay],
    ['the dehumidifier takes out', machineLPerDay],
    ['condenses', condensesLPerDay],
  ] as const
  const words = parts
    .filter(([, { mid }]) => Number(digits(mid, water)) > 0)
    .map(([what, value]) => `${what} ${digits(value.mid, water)} (${span(value, water)})`)
  return words.length === 0 ? [] : [`Besides: ${words.join('; ')}.`]
}
