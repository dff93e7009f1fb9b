/**
 * What one work, or works too close to part, changed: the balance with it minus the balance without it, in the same
 * weather and at the temperature the space would then have had. Simulated minus simulated, so common errors cancel.
 */
import { seasonsOf } from './circumstances.ts'
import { evaporationCooling } from './cooling.ts'
import {
  type Difference,
  NO_DIFFERENCE,
  type PairedDifference,
  pairedDifferences,
  type Question,
} from './difference.ts'
import { driversWithout, type HouseModel, middleDraw } from './house.ts'
import { DAY_HOURS, type Estimate, type WorkKind } from './input.ts'
import { around, meanAndSd } from './numbers.ts'
import { woodAt } from './timber.ts'
import { type Circumstances, type Grade, gradeOf, type Verdict, verdictOf } from './verdict.ts'
import type { WorkGroup } from './works.ts'

/** Model error that draws do not know of (judgement): a floor in g/kg and a share of the effect. */
const LEAST_SD_GKG = 0.1
const LEAST_SHARE = 0.12
/** Opened vents and machines: intervals were too narrow with the smaller share. */
const LEAST_SHARE_UNSEEN = 0.25
const PA_PER_GKG = 161
const LEAST_SIDE_DAYS = 20
const STORMS_FOR_DRAIN = 3
const LONGEST_DRYING_DAYS = 56
const DRY_SLOPE_PCT_WEEK = 0.3
const LEAST_SETTLED_DAYS = 14

export interface Change {
  fromHour: number
  toHour: number
  humidityRatioGKg: Estimate
  vaporPressurePa: Estimate
  rhPct: Estimate
  tempC: Estimate
  /** Wood 2 to 6 mm deep, where pins read, mean over the window [points]. */
  woodMcPct: Estimate
  /** Mold index on a surface as warm as the air, mean over the window (scale 0 to 6). */
  moldIndex: Estimate
}

export interface Effect {
  workKeys: string[]
  kinds: WorkKind[]
  from: number
  verdict: Verdict
  /** Verdict of the numbers alone, before asking whether the record can carry one. */
  reason: string
  needs: string[]
  grade: Grade
  lacks: string[]
  soFar: Change
  /** Without the drying period; null while it lasts or when too little is left. */
  settled: Change | null
  dryingEndsHour: number
  probabilityNothing: number
  /** The same effect at each spot, scaled by its level [g/kg]. */
  bySpot: { key: string; humidityRatioGKg: number }[]
  /** Vapor pressure day by day over the whole record, with minus without [Pa]. */
  dailyPa: Estimate[]
  circumstances: Circumstances
}

const DRAIN_KINDS: readonly WorkKind[] = ['downspout drain', 'yard drain', 'footing drain']

/**
 * Effects of all works, in order of date.
 * @param dayStarts hours of the record at which the days of `dailyPa` begin; without them it stays empty
 */
export function findEffects(model: HouseModel, dayStarts: readonly number[] = []): Effect[] {
  const questions = model.plan.groups.map((group) => questionOf(model, group))
  const answers = pairedDifferences(model, questions, dayStarts)
  return questions.map((question, g) =>
    effectOf(
      model,
      question,
      answers.map((draw) => draw[g]!),
    ),
  )
}

function questionOf(model: HouseModel, group: WorkGroup): Question {
  const dryingEndsHour = dryingEnd(model, group)
  return {
    group,
    without: new Set(group.keys),
    cooling: evaporationCooling(model, group),
    windows: [
      { fromHour: group.fromHour, toHour: group.windowEndHour },
      { fromHour: dryingEndsHour, toHour: group.windowEndHour },
    ],
  }
}

function effectOf(model: HouseModel, question: Question, draws: readonly PairedDifference[]): Effect {
  const { group, windows } = question
  const dryingEndsHour = windows[1].fromHour
  const probability = model.nothing.find((n) => n.group === group.index)?.probability ?? 0
  const bringsMachine = group.kinds.includes('dehumidifier')
  // The mixture: of the draws, this share comes from the model in which the work is nothing.
  const nothingCount = Math.round(probability * draws.length)
  const differences = draws.map((draw, i) => (i < nothingCount ? windows.map(() => NO_DIFFERENCE) : draw.windows))
  const share = bringsMachine || group.kinds.includes('vents opened') ? LEAST_SHARE_UNSEEN : LEAST_SHARE
  const change = (w: 0 | 1) =>
    changeOf(
      windows[w],
      differences.map((d) => d[w]!),
      share,
    )
  const soFar = change(0)
  const settledDays = (group.windowEndHour - dryingEndsHour) / DAY_HOURS
  const settled = settledDays >= LEAST_SETTLED_DAYS ? change(1) : null
  const circumstances = seasonsOf(model, group, dryingEndsHour)
  const needs = missing(group, circumstances)
  const sd = (soFar.humidityRatioGKg.high - soFar.humidityRatioGKg.mid) / 1.645
  const byNumbers = verdictOf(soFar.humidityRatioGKg.mid, sd)
  const verdict = needs.length > 0 ? 'cannot tell' : byNumbers
  const clear = soFar.humidityRatioGKg.low > 0 || soFar.humidityRatioGKg.high < 0
  return {
    workKeys: group.keys,
    kinds: group.kinds,
    from: group.from,
    verdict,
    reason: reasonOf(verdict, soFar, needs),
    needs,
    ...gradeOf(clear && verdict !== 'cannot tell', circumstances),
    soFar,
    settled,
    dryingEndsHour,
    probabilityNothing: probability,
    bySpot: model.prepared.space.spots
      .filter((s) => s.used)
      .map((s) => ({ key: s.key, humidityRatioGKg: soFar.humidityRatioGKg.mid * s.vaporRatio })),
    dailyPa: dailyEstimates(
      draws.map(({ dailyPa }, i) => (i < nothingCount ? null : dailyPa)),
      share,
    ),
    circumstances,
  }
}

/** Each day's estimate with the same floors as that of the window; a draw of "nothing" changes no day. */
function dailyEstimates(draws: readonly (Float64Array | null)[], share: number): Estimate[] {
  const days = draws.find((draw) => draw !== null)?.length ?? 0
  return Array.from({ length: days }, (_, d) => {
    const { mean, sd } = meanAndSd(draws.map((draw) => draw?.[d] ?? 0))
    return around(mean, Math.hypot(sd, LEAST_SD_GKG * PA_PER_GKG, share * mean))
  })
}

function changeOf(
  window: { fromHour: number; toHour: number },
  differences: readonly Difference[],
  share: number,
): Change {
  const estimate = (key: keyof Difference, floor: number) => {
    const { mean, sd } = meanAndSd(differences.map((d) => d[key]))
    return around(mean, Math.hypot(sd, floor, share * mean))
  }
  return {
    ...window,
    humidityRatioGKg: estimate('gkg', LEAST_SD_GKG),
    vaporPressurePa: estimate('pa', LEAST_SD_GKG * PA_PER_GKG),
    rhPct: estimate('rhPct', 0.7),
    tempC: estimate('tempC', 0.1),
    woodMcPct: estimate('woodPct', 0.3),
    moldIndex: estimate('moldIndex', 0.05),
  }
}

/**
 * Drying lasts while the difference that the work makes in the wood still grows by 0.3 points a week, but not over
 * eight weeks (proposals of the trade).
 */
function dryingEnd(model: HouseModel, group: WorkGroup): number {
  const without = new Set(group.keys)
  const draw = middleDraw(model)
  const a = woodAt(model, draw, driversWithout(model, draw, new Set()), new Set()).pinDepthMoisture
  const b = woodAt(model, draw, driversWithout(model, draw, without), without).pinDepthMoisture
  const week = 7 * DAY_HOURS
  const last = Math.min(group.windowEndHour, group.fromHour + LONGEST_DRYING_DAYS * DAY_HOURS)
  for (let h = group.fromHour; h + week <= last; h += DAY_HOURS) {
    const change = 100 * Math.abs(a[h + week - 1]! - b[h + week - 1]! - (a[h]! - b[h]!))
    if (change < DRY_SLOPE_PCT_WEEK) return h
  }
  return last
}

function missing(group: WorkGroup, c: Circumstances): string[] {
  const needs: string[] = []
  const daysBefore = Math.floor(c.daysBefore)
  const daysAfter = Math.floor(c.daysAfter)
  if (daysBefore < LEAST_SIDE_DAYS) needs.push(`${LEAST_SIDE_DAYS - daysBefore} more days before the work`)
  if (daysAfter < LEAST_SIDE_DAYS) needs.push(`${LEAST_SIDE_DAYS - daysAfter} more days after the work`)
  const onlyDrains = group.kinds.every((kind) => DRAIN_KINDS.includes(kind))
  if (onlyDrains && c.stormsBefore < STORMS_FOR_DRAIN) {
    needs.push(`rain of 12 mm or more on ${STORMS_FOR_DRAIN} days before the work; ${c.stormsBefore} were recorded`)
  }
  if (onlyDrains && c.stormsAfter < STORMS_FOR_DRAIN) {
    needs.push(`rain of 12 mm or more on ${STORMS_FOR_DRAIN} days after the work; ${c.stormsAfter} were recorded`)
  }
  return needs
}

function reasonOf(verdict: Verdict, change: Change, needs: readonly string[]): string {
  if (needs.length > 0) return `The record cannot carry a verdict yet: it needs ${needs.join(' and ')}.`
  const { low, mid, high } = change.humidityRatioGKg
  const numbers = `${mid.toFixed(2)} g/kg (90 % interval ${low.toFixed(2)} to ${high.toFixed(2)})`
  if (verdict === 'cannot tell') return `The interval is too wide for a verdict: ${numbers}.`
  return `With minus without the work in the same weather: ${numbers}.`
}
