/** The balance of a house as a page of plain sentences: what the work did, where the water comes from, what it would take. */
import { localDateText } from '../../series/localTime.ts'
import { table, wrapped } from '../pageText.ts'
import type { StudiedHouse } from '../studiedHouse.ts'
import type { Units } from '../wording.ts'
import { listWords, workWords } from '../workWords.ts'
import type { BalanceAnswer, BalanceChange, BalanceDeparture, BalanceEffect, BalanceTold } from './balanceAnswer.ts'
import { needLines } from './balanceNeedPage.ts'
import { sourceLines } from './balanceSourcesPage.ts'
import { type BalanceUnits, digits, estimate, PERCENT, POINTS, span, turned, unitsOf } from './balanceUnits.ts'

export function balancePage(house: Pick<StudiedHouse, 'tree' | 'works'>, answer: BalanceAnswer, units: Units): string {
  const { name, place, invented, timeZone } = house.tree
  const lines = [`${name}${place ? `, ${place}` : ''}`]
  if (invented) lines.push('This house is invented: its readings come from a simulation.')
  if (answer.outcome === 'cannot tell') {
    lines.push(
      '',
      ...wrapped(`The balance cannot be told yet. ${answer.reason}`),
      `Missing: ${answer.missing.join('; ')}.`,
    )
    return `${lines.join('\n')}\n`
  }
  const shown = unitsOf(units)
  const date = (at: number) => localDateText(at, timeZone)
  const space = house.tree.spaces.find(({ key }) => key === answer.space)?.name ?? answer.space
  lines.push(
    ...wrapped(
      `Moisture balance of the air in: ${space}. Readings of ${date(answer.from)} to ${date(answer.to - 1)}. Intervals hold the true value in 9 of 10 such cases.`,
    ),
    '',
    'Did the work do it',
    ...(answer.effects.length === 0
      ? ['- No work falls into the record, so there is none to judge.']
      : answer.effects.flatMap((effect) => effectLines(house, effect, shown))),
    ...departureLines(answer.departures, date),
    ...answer.unseen.flatMap((text) => wrapped(`- ${text}`, '  ')),
    '',
    ...sourceLines(house, answer, shown, units),
    '',
    'What it would take',
    ...needLines(answer.need, shown),
    '',
    ...groundsLines(answer, shown),
  )
  return `${lines.join('\n')}\n`
}

/** An effect smaller than this is no change anyone would notice (see moisture/verdict.ts). */
const CLEAR_GKG = 0.25

function effectLines(
  house: Pick<StudiedHouse, 'tree' | 'works'>,
  effect: BalanceEffect,
  shown: BalanceUnits,
): string[] {
  const what = workWords(house, effect.works)
  const more = (text: string) => wrapped(`    ${text}`, '      ')
  return [
    ...wrapped(`- ${what.charAt(0).toUpperCase()}${what.slice(1)}: ${verdictWords(effect, shown)}`, '  '),
    ...more(proofWords(effect)),
    ...(effect.soFar ? more(`So far: ${besideWords(effect.soFar, shown)}.`) : []),
    ...settledLines(house, effect, shown).flatMap(more),
  ]
}

/** How well the work is shown to have done it, with what a better grade needs. */
export function proofWords({
  grade,
  verdict,
  needs,
  lacks,
}: Pick<BalanceEffect, 'grade' | 'verdict' | 'needs' | 'lacks'>): string {
  const unchanged = verdict === 'no clear change'
  const lacking = (lead: string) => (lacks.length > 0 ? ` ${lead} ${listWords(lacks)}.` : '')
  switch (grade) {
    case 'A':
      return `Grade A: shown${unchanged ? ', and too small to notice' : ''}.`
    case 'B':
      return `Grade B: likely${unchanged ? ', and too small to notice' : ''}.${lacking('To be shown it lacks')}`
    case 'C':
      return `Grade C: the space meets its target now; that the work did it is not shown.${lacking('For that it lacks')}`
    case 'D':
      if (unchanged) return `Grade D: no effect to credit the work with.${lacking('To be sure of that it lacks')}`
      if (verdict === 'cannot tell')
        return `Grade D: ${needs.length > 0 ? 'untested so far' : 'not shown yet'}.${lacking('It lacks')}`
      return `Grade D: not shown yet. The numbers say ${verdict}.${lacking('To credit the work with it, the record lacks')}`
  }
}

/** The first thing a reader sees of a work. */
function verdictWords({ verdict, needs, soFar }: BalanceEffect, { ratio }: BalanceUnits): string {
  if (needs.length > 0)
    return `cannot tell yet. The verdict is held back because the record still needs ${listWords(needs)}.`
  if (soFar === null) return 'cannot tell: no hour of the record shows it.'
  const change = soFar.humidityRatioGKg
  const line = `${digits(CLEAR_GKG, ratio)} ${ratio.unit}`
  switch (verdict) {
    case 'drier':
      return `drier. In the same weather the air holds ${estimate(turned(change), ratio)} less water than without it.`
    case 'wetter':
      return `wetter. In the same weather the air holds ${estimate(change, ratio)} more water than without it.`
    case 'no clear change':
      return `no clear change: ${estimate(change, ratio)} against the same weather without it; less than ${line} either way is nothing anyone would notice.`
    case 'cannot tell':
      return `cannot tell: ${estimate(change, ratio)} against the same weather without it. The verdict is held back because it may or may not be more than ${line}, the least that anyone would notice.`
  }
}

const signed = (text: string): string => (text.startsWith('-') || Number(text) === 0 ? text : `+${text}`)

function besideWords({ rhPct, tempK, woodMcPct, moldIndex }: BalanceChange, { difference }: BalanceUnits): string {
  return listWords([
    `RH ${signed(digits(rhPct.mid, POINTS))} points (${span(rhPct, POINTS)})`,
    `temperature ${signed(digits(tempK.mid, difference))} ${difference.unit} (${span(tempK, difference)})`,
    `wood ${signed(digits(woodMcPct.mid, POINTS))} points of moisture (${span(woodMcPct, POINTS)})`,
    `mold index ${signed(digits(moldIndex.mid, POINTS))} (${span(moldIndex, POINTS)})`,
  ])
}

function settledLines(
  { tree }: Pick<StudiedHouse, 'tree' | 'works'>,
  effect: BalanceEffect,
  shown: BalanceUnits,
): string[] {
  const { settled, soFar, dryingEnds } = effect
  if (soFar === null) return []
  if (settled === null) return ['Settled: not yet; drying still shows, or too little of the record is left behind it.']
  if (settled.from <= soFar.from) return ['No drying period shows, so the settled effect is the same.']
  return [
    `Settled, from ${localDateText(dryingEnds, tree.timeZone)} on: ${estimate(settled.humidityRatioGKg, shown.ratio)}; ${besideWords(settled, shown)}.`,
  ]
}

function departureLines(departures: readonly BalanceDeparture[], date: (at: number) => string): string[] {
  if (departures.length === 0) return ['- Nothing shows that the house has left its path since.']
  return [
    ...wrapped('- The house has left its path. What may have begun, best explanation first; ranked, not proven:', '  '),
    ...departures.flatMap(({ kind, at, size, reason }) =>
      wrapped(`    ${kind}, from ${date(at)}${size ? `, ${size}` : ''}. ${reason}`, '      '),
    ),
  ]
}

function groundsLines(answer: BalanceTold, { difference }: BalanceUnits): string[] {
  const fixed = answer.parameters.filter(({ dataShare }) => dataShare >= 0.5)
  const assumed = answer.parameters.filter(({ dataShare }) => dataShare < 0.5)
  const words = (parameters: BalanceTold['parameters']) =>
    parameters.map(({ label, dataShare }) => `${label} (${digits(100 * dataShare, PERCENT)} %)`).join(', ')
  const spots = answer.spots.map((spot) =>
    spot.used
      ? [
          `${spot.name}${spot.spot === answer.wettestSpot ? ' (wettest)' : ''}`,
          `${digits(spot.daysMeasured, PERCENT)} days`,
          spot.vaporRatio === null ? '' : `${signed(digits(100 * (spot.vaporRatio - 1), POINTS))} % vapor`,
          spot.rhExcessPct === null ? '' : `${signed(digits(spot.rhExcessPct, POINTS))} points RH`,
          spot.tempOffsetK === null ? '' : `${signed(digits(spot.tempOffsetK, difference))} ${difference.unit}`,
        ]
      : [spot.name, spot.reason],
  )
  return [
    'What it rests on',
    '- Spots, each against the middle of all:',
    ...table(spots, '    '),
    ...wrapped(`- Fixed by the readings (share fixed): ${words(fixed) || 'nothing by half or more'}.`, '  '),
    ...wrapped(`- Mostly taken from what is usual: ${words(assumed) || 'nothing'}.`, '  '),
    ...answer.assumptions.flatMap((text) => wrapped(`- Assumed: ${text}`, '  ')),
  ]
}
