/** Makes the moisture balance of a studied house: fits the model, asks it everything, and writes the answers as plain JSON. */
import { type Departure, findDepartures } from '../moisture/departure.ts'
import { type Change, type Effect, findEffects } from '../moisture/effect.ts'
import { type ParameterReport, reportParameters } from '../moisture/fit.ts'
import { type HouseModel, understandHouse } from '../moisture/house.ts'
import { DAY_HOURS, HOUR_MS } from '../moisture/input.ts'
import { findNeed } from '../moisture/need.ts'
import { findSources, type PathAmount, type PeriodSources } from '../moisture/sources.ts'
import type { SpotReport } from '../moisture/spots.ts'
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
} from './balanceAnswer.ts'
import { needAnswer } from './balanceNeed.ts'
import { balanceRecord, balanceSpace } from './balanceRecord.ts'
import type { StudiedHouse } from './studiedHouse.ts'

export type OnProgress = (share: number, message: string) => void

/** Shares of the whole at which each step begins, by how long they took on a record of 16 months. */
const STEPS = { fit: 0, effects: 0.6, sources: 0.75, need: 0.85, departures: 0.92 } as const
/** Below this a path is dashed and not ranked. */
const FIXED_BY_DATA = 0.5

/** Reads nothing and stores nothing; takes seconds to minutes. */
export function makeBalance(house: StudiedHouse, onProgress: OnProgress = () => {}): BalanceAnswer {
  const fitted = fittedHouse(house, (share) => onProgress(share * STEPS.effects, 'fitting the house'))
  if ('outcome' in fitted) return fitted
  const { model, floorAreaM2, space } = fitted
  onProgress(STEPS.effects, 'what each work did')
  const effects = findEffects(model)
  onProgress(STEPS.sources, 'where the water comes from')
  const sources = findSources(model)
  onProgress(STEPS.need, 'what it would take')
  const need = findNeed(model)
  onProgress(STEPS.departures, 'whether it has got wet again')
  const departures = findDepartures(model, effects)
  const { record, prepared } = model
  const at = (hour: number) => record.startAt + hour * HOUR_MS
  return {
    outcome: 'told',
    space,
    from: record.startAt,
    to: at(record.hours),
    targetRhPct: record.targetRhPct,
    spots: prepared.space.spots.map((spot) => spotAnswer(spot, house)),
    wettestSpot: prepared.space.worstSpot,
    effects: effects.map((effect) => effectAnswer(effect, at)),
    sources: sources.map((period) => sourcesAnswer(period, model, at)),
    need: needAnswer(need, floorAreaM2),
    departures: departures.map(departureAnswer),
    parameters: reportParameters(model.fitted).map(parameterAnswer),
    assumptions: model.assumptions,
  }
}

/** The house with its model, or why there is none. */
export function fittedHouse(
  house: StudiedHouse,
  onProgress: (share: number) => void = () => {},
): { model: HouseModel; space: string; floorAreaM2: number | null } | BalanceUnknown {
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
    lacks: effect.lacks,
    soFar: changeAnswer(effect.soFar, at),
    settled: effect.settled && changeAnswer(effect.settled, at),
    dryingEnds: at(effect.dryingEndsHour),
    nothingProbability: effect.probabilityNothing,
    bySpot: effect.bySpot
      .filter(({ humidityRatioGKg }) => Number.isFinite(humidityRatioGKg))
      .map(({ key, humidityRatioGKg }) => ({ spot: key, humidityRatioGKg })),
  }
}

/** A window without an hour has no change. */
function changeAnswer(change: Change, at: (hour: number) => number): BalanceChange | null {
  const { fromHour, toHour, humidityRatioGKg, vaporPressurePa, rhPct, tempC, woodMcPct } = change
  if (![humidityRatioGKg, vaporPressurePa, rhPct, tempC, woodMcPct].every(({ mid }) => Number.isFinite(mid)))
    return null
  return { from: at(fromHour), to: at(toHour), humidityRatioGKg, vaporPressurePa, rhPct, tempK: tempC, woodMcPct }
}

function sourcesAnswer(period: PeriodSources, model: HouseModel, at: (hour: number) => number): BalanceSources {
  const { fromHour, toHour, basis, woodGivesLPerDay, woodTakesLPerDay, machineLPerDay, condensesLPerDay } = period
  return {
    from: at(fromHour),
    to: at(toHour),
    works: model.plan.groups.filter((group) => group.fromHour === fromHour).flatMap(({ keys }) => keys),
    basis,
    paths: rankedPaths(period.paths),
    woodGivesLPerDay,
    woodTakesLPerDay,
    machineLPerDay,
    condensesLPerDay,
    caution: period.caution,
  }
}

function rankedPaths(paths: readonly PathAmount[]): BalancePath[] {
  const order = paths
    .filter(({ dataShare, entersLPerDay }) => dataShare >= FIXED_BY_DATA && entersLPerDay.mid > 0)
    .sort((a, b) => b.entersLPerDay.mid - a.entersLPerDay.mid)
  return paths.map((amount) => ({
    ...amount,
    dashed: amount.dataShare < FIXED_BY_DATA,
    rank: order.includes(amount) ? order.indexOf(amount) + 1 : null,
  }))
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
