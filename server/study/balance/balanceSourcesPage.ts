/** Where the water came from in the last period: a table for each basis, since the two are never mixed, and why. */
import type { SourcePath } from '../../moisture/sources.ts'
import { localDateText } from '../../series/localTime.ts'
import { table, wrapped } from '../pageText.ts'
import type { StudiedHouse } from '../studiedHouse.ts'
import { type Units, wordedText } from '../wording.ts'
import type { BalancePath, BalanceSources, BalanceTold } from './balanceAnswer.ts'
import { LEAST_SHARE_PCT } from './balanceEvidence.ts'
import { type BalanceUnits, digits, PERCENT, span } from './balanceUnits.ts'

const NAMES: Record<SourcePath, string> = {
  outdoorAir: 'outdoor air',
  ground: 'ground',
  rain: 'rain-wet ground',
  leak: 'steady leak',
  house: 'house air',
}

export function sourceLines(
  { tree }: Pick<StudiedHouse, 'tree'>,
  answer: BalanceTold,
  shown: BalanceUnits,
  units: Units,
): string[] {
  const last = answer.sources.at(-1)
  if (last === undefined) return ['Where the water comes from and goes', '- No period to tell it for.']
  const date = (at: number) => localDateText(at, tree.timeZone)
  const lead = ({ from, to }: BalanceSources) =>
    `Where the water comes from and goes, ${date(from)} to ${date(to - 1)}, ${shown.water.unit} a day`
  const lines = [lead(last), ...periodLines(ofPeriod(answer, last), answer.targetRhPct, shown)]
  const told = answer.sources.findLast(({ caution }) => caution === null)
  if (told === undefined) return [...lines, ...reasonLines(last, units)]
  if (last.caution === null) return [...lines, ...reasonLines(ofPeriod(answer, last)[0]!, units)]
  return [
    ...lines,
    '',
    ...wrapped(`${lead(told)}: the last period that can be told`, '  '),
    ...periodLines(ofPeriod(answer, told), answer.targetRhPct, shown),
    ...reasonLines(ofPeriod(answer, told)[0]!, units),
  ]
}

const ofPeriod = ({ sources }: BalanceTold, period: BalanceSources) =>
  sources.filter(({ from }) => from === period.from)

function periodLines(bases: readonly BalanceSources[], targetRhPct: number, shown: BalanceUnits): string[] {
  const { caution } = bases[0]!
  const marks = new Set(bases.flatMap(({ paths }) => paths.filter(isBig).map(markOf)))
  const tables = bases.flatMap((period) => [
    ...wrapped(`- ${titleOf(period, targetRhPct)}:`, '  '),
    ...table(rowsOf(period, shown), '    '),
    ...beside(period, shown).flatMap((text) => wrapped(`    ${text}`, '      ')),
  ])
  return [
    ...(caution ? wrapped(`- Caution: ${caution}`, '  ') : []),
    ...tables,
    ...(marks.has('┄') ? wrapped('- ┄ The readings fixed less than half of this path; it is not ranked.', '  ') : []),
    ...(marks.has('?') ? ['- ? What the model would guess; cannot tell from humidity alone.'] : []),
    ...(tables.some((line) => line.includes(SMALL)) ? [`- ${SMALL}: below what can be told.`] : []),
  ]
}

const titleOf = ({ basis }: BalanceSources, targetRhPct: number): string =>
  basis === 'as it is'
    ? 'As it is'
    : `If held at ${targetRhPct} % RH by a machine, which lets evaporation come that humid air holds back`

const SMALL = `< ${LEAST_SHARE_PCT} %`

const isBig = ({ sharePct }: BalancePath) => sharePct.mid >= LEAST_SHARE_PCT

function markOf({ standing, dashed, rank }: BalancePath): string {
  if (standing === 'cannot tell from humidity alone') return '?'
  return dashed ? '┄' : String(rank ?? ' ')
}

const inOrder = (paths: readonly BalancePath[]) => [...paths].sort((a, b) => b.entersLPerDay.mid - a.entersLPerDay.mid)

function rowsOf({ paths }: BalanceSources, { water }: BalanceUnits): string[][] {
  const seen = inOrder(paths).filter(
    ({ entersLPerDay, leavesLPerDay }) => entersLPerDay.high > 0.005 || leavesLPerDay.high > 0.005,
  )
  return [
    ['', 'enters', '90 % interval', 'share', '90 % interval', 'leaves', '90 % interval'],
    ...seen.map((path) => [
      `${isBig(path) ? markOf(path) : ' '} ${NAMES[path.path]}`,
      digits(path.entersLPerDay.mid, water),
      span(path.entersLPerDay, water),
      ...(isBig(path) ? [`${digits(path.sharePct.mid, PERCENT)} %`, span(path.sharePct, PERCENT)] : [SMALL, '']),
      digits(path.leavesLPerDay.mid, water),
      span(path.leavesLPerDay, water),
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

/** The page has room for the most telling; the answer holds all of it. */
const SHOWN = 2

function reasonLines({ paths }: BalanceSources, units: Units): string[] {
  return inOrder(paths.filter(isBig)).flatMap((path) => {
    const words = (texts: readonly string[]) =>
      texts
        .slice(0, SHOWN)
        .map((text) => wordedText(text, path, units))
        .join(' ') || 'nothing in the record.'
    const name = NAMES[path.path]
    return [
      ...wrapped(`- Why ${name}? For: ${words(path.evidenceFor)}`, '  '),
      ...wrapped(`    Against: ${words(path.evidenceAgainst)}`, '      '),
      ...wrapped(`    Would change it: ${path.wouldChangeIt} Next test: ${path.nextTest}`, '      '),
    ]
  })
}
