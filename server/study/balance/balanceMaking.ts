/** Makes the moisture balance of a studied house: fits the model, asks it everything, and writes the answers as plain JSON. */
import type { Thresholds } from '../../advice/defaults.ts'
import { thresholds } from '../../advice/thresholds.ts'
import { type Departure, findDepartures, unseenDepartures } from '../../moisture/departure.ts'
import { type Change, type Effect, findEffects } from '../../moisture/effect.ts'
import { type ParameterReport, reportParameters } from '../../moisture/fit.ts'
import { type HouseModel, understandHouse } from '../../moisture/house.ts'
import { DAY_HOURS, HOUR_MS } from '../../moisture/input.ts'
import { findNeed } from '../../moisture/need.ts'
import { findSources, type PathAmount, type PeriodSources } from '../../moisture/sources.ts'
import type { SpotReport } from '../../moisture/spots.ts'
import type { StudiedHouse } from '../studiedHouse.ts'
import type {
  BalanceAnswer,
  BalanceChange,
  BalanceDeparture,
  BalanceEffect,
  BalanceParameter,
  BalancePath,
  BalanceSources,
  BalanceSpot,
  BalanceUnknown,
  PathStanding,
} from './balanceAnswer.ts'
import { FIXED_BY_DATA, LEAST_SHARE_PCT, pathEvidence } from './balanceEvidence.ts'
import { type GroundsAsked, type PeriodGrounds, periodGrounds } from './balanceGrounds.ts'
import { needAnswer } from './balanceNeed.ts'
import { balanceRecord, balanceSpace } from './balanceRecord.ts'
import { type EffectDays, effectDays, recordDays } from './effectDays.ts'

/** The answers, and apart from them, because it is long, each work day by day. */
export interface BalanceMade {
  answer: BalanceAnswer
  effectDays: EffectDays[]
}

export type OnProgress = (share: number, message: string) => void

/** Shares of the whole at which each step begins, by how long they took on a record of 16 months. */
const STEPS = { fit: 0, effects: 0.6, sources: 0.75, need: 0.85, departures: 0.92 } as const

/**
 * Reads nothing and stores nothing; takes seconds to minutes.
 * @param held thresholds of the house, by which the clues of the evidence are judged
 */
export function makeBalance(
  house: StudiedHouse,
  onProgress: OnProgress = () => {},
  held: Thresholds = thresholds(),
): BalanceMade {
  const fitted = fittedHouse(house, (share) => onProgress(share * STEPS.effects, 'fitting the house'))
  if ('outcome' in fitted) return { answer: fitted, effectDays: [] }
  const { model, floorAreaM2, space } = fitted
  onProgress(STEPS.effects, 'what each work did')
  const { startAt, hours } = model.record
  const { days, starts } = recordDays(startAt, hours, house.tree.timeZone)
  const found = findEffects(model, starts)
  onProgress(STEPS.sources, 'where the water comes from')
  const sources = findSources(model)
  onProgress(STEPS.need, 'what it would take')
  const need = findNeed(model)
  onProgress(STEPS.departures, 'whether it has got wet again')
  const departures = findDepartures(model, found, held)
  const { record, prepared } = model
  const at = (hour: number) => record.startAt + hour * HOUR_MS
  const effects = found.map((effect) => effectAnswer(effect, at))
  const grounds = groundsByPeriod(sources, { house, space, model, effects, held })
  const answer: BalanceAnswer = {
    outcome: 'told',
    space,
    from: record.startAt,
    to: at(record.hours),
    targetRhPct: record.targetRhPct,
    spots: prepared.space.spots.map((spot) => spotAnswer(spot, house)),
    wettestSpot: prepared.space.worstSpot,
    effects,
    sources: sources.map((period) => sourcesAnswer(period, model, grounds.get(period.fromHour)!)),
    need: needAnswer(need, floorAreaM2),
    departures: departures.map(departureAnswer),
    parameters: reportParameters(model.fitted).map(parameterAnswer),
    assumptions: model.assumptions,
    unseen: unseenDepartures(model, held),
  }
  return { answer, effectDays: effectDays(house, model, found, days) }
}

/** A house with its model. */
export interface FittedHouse {
  model: HouseModel
  space: string
  floorAreaM2: number | null
}

/** The house with its model, or why there is none. */
export function fittedHouse(
  house: StudiedHouse,
  onProgress: (share: number) => void = () => {},
): FittedHouse | BalanceUnknown {
  const space = balanceSpace(house)
  if (space === undefined) {
    const reason = 'No logger in a crawl space or basement of this house has been heard.'
    return { outcome: 'cannot tell', reason, missing: ['temperature and RH from a spot in the space'] }
  }
  let furthest = 0
  const understood = understandHouse(balanceRecord(house, space), {
    // Each part of the fit may be done again from an earlier point; a bar that runs back says nothing.
    onProgress: (share) => onProgress((furthest = Math.max(furthest, share))),
  })
  if ('cannotTell' in understood) {
    return { outcome: 'cannot tell', reason: understood.cannotTell, missing: [understood.needs] }
  }
  return { model: understood.model, space: space.key, floorAreaM2: space.floorAreaM2 ?? null }
}

const known = (value: number): number | null => (Number.isFinite(value) ? value : null)

function spotAnswer(spot: SpotReport, { spots }: StudiedHouse): BalanceSpot {
  return {
    spot: spot.key,
    name: spots.find(({ path }) => path === spot.key)?.name ?? spot.key,
    used: spot.used,
    reason: spot.reason,
    daysMeasured: spot.hoursMeasured / DAY_HOURS,
    vaporRatio: known(spot.vaporRatio),
    tempOffsetK: known(spot.tempOffsetC),
    excessPa: known(spot.meanExcessPa),
    rhExcessPct: known(spot.meanRhExcessPct),
    worstDayRhPct: known(spot.worstDayRhPct),
  }
}

function effectAnswer(effect: Effect, at: (hour: number) => number): BalanceEffect {
  return {
    works: effect.workKeys,
    kinds: effect.kinds,
    at: effect.from,
    verdict: effect.verdict,
    reason: effect.reason,
    needs: effect.needs,
    grade: effect.grade,
    lacks: lacksOf(effect),
    soFar: changeAnswer(effect.soFar, at),
    settled: effect.settled && changeAnswer(effect.settled, at),
    dryingEnds: at(effect.dryingEndsHour),
    nothingProbability: effect.probabilityNothing,
    bySpot: effect.bySpot
      .filter(({ humidityRatioGKg }) => Number.isFinite(humidityRatioGKg))
      .map(({ key, humidityRatioGKg }) => ({ spot: key, humidityRatioGKg })),
  }
}

/**
 * An effect must not be said to lack what its numbers have: an interval clear of zero that carries no verdict lacks size,
 * and "no clear change" needs none.
 */
export function lacksOf({
  lacks,
  needs,
  verdict,
  soFar,
}: Pick<Effect, 'lacks' | 'needs' | 'verdict' | 'soFar'>): string[] {
  const { low, high } = soFar.humidityRatioGKg
  const clear = low > 0 || high < 0
  return lacks.flatMap((lack) => {
    if (!lack.includes('clear of zero')) return [lack]
    if (verdict === 'no clear change' || (clear && needs.length > 0)) return []
    return clear ? ['an effect that is surely large enough to notice'] : [lack]
  })
}

/** A window without an hour has no change. */
function changeAnswer(change: Change, at: (hour: number) => number): BalanceChange | null {
  const { fromHour, toHour, humidityRatioGKg, vaporPressurePa, rhPct, tempC, woodMcPct, moldIndex } = change
  if (![humidityRatioGKg, vaporPressurePa, rhPct, tempC, woodMcPct, moldIndex].every(({ mid }) => Number.isFinite(mid)))
    return null
  return {
    from: at(fromHour),
    to: at(toHour),
    humidityRatioGKg,
    vaporPressurePa,
    rhPct,
    tempK: tempC,
    woodMcPct,
    moldIndex,
  }
}

/** By first hour, so that both bases of a period share them. */
function groundsByPeriod(sources: readonly PeriodSources[], asked: GroundsAsked): Map<number, PeriodGrounds> {
  const { house, model } = asked
  const { startAt } = model.record
  const grounds = new Map<number, PeriodGrounds>()
  for (const { fromHour, toHour } of sources) {
    if (grounds.has(fromHour)) continue
    // A work known by its day stands from that day's noon in the model, and from its morning in the house.
    const next = house.works.filter(({ key }) => worksBeginning(model, toHour).includes(key)).map(({ from }) => from)
    const to = Math.min(startAt + toHour * HOUR_MS, ...next)
    grounds.set(fromHour, periodGrounds(asked, { from: startAt + fromHour * HOUR_MS, to }))
  }
  return grounds
}

const worksBeginning = ({ plan }: HouseModel, fromHour: number): string[] =>
  plan.groups.filter((group) => group.fromHour === fromHour).flatMap(({ keys }) => keys)

function sourcesAnswer(period: PeriodSources, model: HouseModel, grounds: PeriodGrounds): BalanceSources {
  const { fromHour, toHour, basis, woodGivesLPerDay, woodTakesLPerDay, machineLPerDay, condensesLPerDay } = period
  const at = (hour: number) => model.record.startAt + hour * HOUR_MS
  return {
    from: at(fromHour),
    to: at(toHour),
    works: worksBeginning(model, fromHour),
    basis,
    paths: rankedPaths(period, grounds),
    woodGivesLPerDay,
    woodTakesLPerDay,
    machineLPerDay,
    condensesLPerDay,
    caution: period.caution,
  }
}

/** Only a path that is told gets a rank: one share among guesses would look surer than it is. */
function rankedPaths({ paths, caution }: PeriodSources, grounds: PeriodGrounds): BalancePath[] {
  const hidden = caution !== null
  const order = paths
    .filter((amount) => standingOf(amount, hidden) === 'told')
    .sort((a, b) => b.entersLPerDay.mid - a.entersLPerDay.mid)
  return paths.map((amount) => ({
    ...amount,
    ...pathEvidence(amount, grounds, hidden),
    dashed: amount.dataShare < FIXED_BY_DATA,
    standing: standingOf(amount, hidden),
    rank: order.includes(amount) ? order.indexOf(amount) + 1 : null,
  }))
}

function standingOf({ sharePct, dataShare }: PathAmount, hidden: boolean): PathStanding {
  if (hidden) return 'cannot tell from humidity alone'
  if (sharePct.mid < LEAST_SHARE_PCT) return 'below what can be told'
  return dataShare < FIXED_BY_DATA ? 'mostly assumed' : 'told'
}

const departureAnswer = ({ kind, at, support, size, reason }: Departure): BalanceDeparture => ({
  kind,
  at,
  support,
  size,
  reason,
})

function parameterAnswer(parameter: ParameterReport): BalanceParameter {
  const { key, label, unit, low, value, high, priorMedian, dataShare, basis, reason } = parameter
  return { key, label, unit, value: { low, mid: value, high }, priorMedian, dataShare, basis, reason }
}
