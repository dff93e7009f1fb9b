/**
 * The level of each spot and of the house, day by day and now: dry, drying, damp, wet or silent. Each level names the
 * line that set it, its number and the harm it guards against, and the lines that could not be judged.
 */
import { type ColdSurface, type Condensation, type CondensationLimits, condensationOn } from './condensation.ts'
import { HOUR_MS } from './input.ts'
import { type DampLimits, type DayView, type Line, linesOf } from './levelLines.ts'
import { closedDampByHour, type LiquidLimits, liquidByHour } from './levelStates.ts'
import {
  dailyMeans,
  type LocalDay,
  localDays,
  meanOver,
  type Observed,
  type ObservedSpot,
  vaporExcessPa,
} from './observed.ts'
import {
  moldBand,
  type PinReading,
  type RiskLimits,
  thirtyDaySurface,
  type WoodEstimate,
  woodMoisture,
} from './risk.ts'

export type Level = 'wet' | 'damp' | 'drying' | 'silent' | 'dry'

/** Worst first. Silent stands above dry: no news never means dry. */
export const LEVELS: readonly Level[] = ['wet', 'damp', 'drying', 'silent', 'dry']

/** null when there is none. */
export const worstLevel = (levels: readonly Level[]): Level | null =>
  LEVELS.find((level) => levels.includes(level)) ?? null

export interface LevelLimits extends RiskLimits, CondensationLimits, DampLimits, LiquidLimits {
  /** A work counts as drying for this long [weeks] ... */
  dryingWeeks: number
  /** ... while wood falls by this much in a week [points] or excess falls from one week to the next [Pa]. */
  fallingWoodPoints: number
  fallingExcessPa: number
  silentHours: number
}

export interface LevelContext {
  /** A conditioned space is judged as a closed one. */
  kind: 'vented' | 'closed' | 'conditioned'
  /** Instants at which works took effect. */
  worksAt: readonly number[]
  pins: Readonly<Record<string, readonly PinReading[]>>
  coldSurfaces: Readonly<Record<string, ColdSurface>>
}

export interface DayLevel {
  at: number
  level: Level
  /** The line that set it; for drying the line that would have. null for dry and silent. */
  setBy: Line | null
  /** Other lines crossed that day. */
  also: readonly Line[]
  /** Lines crossed only if a surface is colder than the air, or at the high end of an estimate. */
  possible: readonly Line[]
  /** Lines that could not be judged, each with why. "Dry" is only as good as this list is short. */
  notJudged: readonly string[]
}

export interface SpotLevels {
  spot: string
  days: DayLevel[]
  /** End of the last hour in which anything was heard, epoch ms; null: never. */
  lastHeardAt: number | null
}

export interface Levels {
  spots: SpotLevels[]
  /** The worst spot of each day sets the house. */
  house: { at: number; level: Level; spot: string | null }[]
}

export function levelsThroughTime(observed: Observed, context: LevelContext, limits: LevelLimits): Levels {
  const days = localDays(observed)
  const spots = observed.spots.map((spot) => spotLevels(observed, spot, days, context, limits))
  const house = days.map((day, d) => {
    const worst = worstOf(spots.map(({ spot, days: own }) => ({ spot, level: own[d]!.level })))
    return { at: day.at, level: worst?.level ?? 'silent', spot: worst?.spot ?? null }
  })
  return { spots, house }
}

function worstOf<T extends { level: Level }>(all: readonly T[]): T | null {
  return all.reduce<T | null>(
    (worst, next) => (worst === null || LEVELS.indexOf(next.level) < LEVELS.indexOf(worst.level) ? next : worst),
    null,
  )
}

export interface LevelNow {
  level: Level
  spot: string | null
  day: DayLevel | null
  /** What was last known of a silent spot. */
  lastKnown: Level | null
  lastHeardAt: number | null
}

/**
 * The level at an instant: each spot's last heard day, silent when nothing was heard for `silentHours` before it.
 *
 * @param asOf epoch ms, at or after the last reading
 */
export function levelNow(levels: Levels, asOf: number, limits: Pick<LevelLimits, 'silentHours'>): LevelNow {
  const perSpot = levels.spots.map(({ spot, days, lastHeardAt }): LevelNow => {
    const day = days.findLast((own) => own.level !== 'silent') ?? null
    const silent = lastHeardAt === null || asOf - lastHeardAt >= limits.silentHours * HOUR_MS
    return {
      level: silent ? 'silent' : (day?.level ?? 'silent'),
      spot,
      day,
      lastKnown: day?.level ?? null,
      lastHeardAt,
    }
  })
  return worstOf(perSpot) ?? { level: 'silent', spot: null, day: null, lastKnown: null, lastHeardAt: null }
}

function spotLevels(
  observed: Observed,
  spot: ObservedSpot,
  days: readonly LocalDay[],
  context: LevelContext,
  limits: LevelLimits,
): SpotLevels {
  const closed = context.kind !== 'vented'
  const wood = woodMoisture(spot, observed.startAt, context.pins[spot.key] ?? [], limits)
  const mold = moldBand(spot, limits)
  const thirty = thirtyDaySurface(spot, days, limits)
  const surface = context.coldSurfaces[spot.key]
  const cold: Condensation | null = surface ? condensationOn(spot, surface, days, limits) : null
  const excess = observed.outdoor
    ? dailyMeans(vaporExcessPa(spot, observed.outdoor), days, limits)
    : new Float64Array(days.length).fill(Number.NaN)
  const liquid = liquidByHour(spot, limits)
  const closedDamp = closedDampByHour(spot.rhPct, limits)

  const levels = days.map((day, d): DayLevel => {
    if (!heardIn(spot, day.from, day.to)) {
      return { at: day.at, level: 'silent', setBy: null, also: [], possible: [], notJudged: [] }
    }
    const view: DayView = {
      closed,
      liquid: liquid === null ? null : liquid.subarray(day.from, day.to).some((value) => value === 1),
      woodPct: endOf(wood, day),
      woodMeasured: wood.measuredHours > 0 || wood.resetAt.length > 0,
      tempC: meanOver(spot.tempC, day.from, day.to),
      mold: { low: mold.low[day.to - 1]!, high: mold.high[day.to - 1]! },
      thirty: thirty[d]!,
      condensation: cold === null ? null : { surface: cold.surface, day: cold.days[d]! },
      closedRh: { damp: closedDamp.damp[day.to - 1]!, meanPct: closedDamp.meanPct[day.to - 1]! },
      excessDaysPa: excess.slice(Math.max(0, d + 1 - limits.ventedExcessDays), d + 1),
    }
    const { crossed, possible, notJudged } = linesOf(view, limits)
    const [setBy = null, ...also] = crossed
    const drying =
      setBy !== null &&
      view.liquid !== true &&
      afterWork(context.worksAt, observed.startAt + day.to * HOUR_MS, limits) &&
      (woodFalls(wood, day, limits) || excessFalls(excess, d, limits))
    return {
      at: day.at,
      level: setBy === null ? 'dry' : drying ? 'drying' : setBy.level,
      setBy,
      also,
      possible,
      notJudged,
    }
  })
  return { spot: spot.key, days: levels, lastHeardAt: lastHeard(spot, observed.startAt) }
}

const columnsOf = (spot: ObservedSpot) =>
  [spot.tempC, spot.vaporPressurePa, spot.woodMcPct, spot.surfaceTempC, spot.waterPresentShare].filter(
    (column) => column !== undefined,
  )

function heardIn(spot: ObservedSpot, from: number, to: number): boolean {
  return columnsOf(spot).some((column) => column.subarray(from, to).some((value) => !Number.isNaN(value)))
}

function lastHeard(spot: ObservedSpot, startAt: number): number | null {
  const last = Math.max(-1, ...columnsOf(spot).map((column) => column.findLastIndex((value) => !Number.isNaN(value))))
  return last < 0 ? null : startAt + (last + 1) * HOUR_MS
}

/** The estimate at the end of the day. */
function endOf(wood: WoodEstimate, day: LocalDay): { low: number; mid: number; high: number } {
  const h = day.to - 1
  return { low: wood.lowPct[h]!, mid: wood.midPct[h]!, high: wood.highPct[h]! }
}

function afterWork(worksAt: readonly number[], dayEnd: number, limits: LevelLimits): boolean {
  const longest = limits.dryingWeeks * 7 * 24 * HOUR_MS
  return worksAt.some((at) => at < dayEnd && dayEnd - at <= longest)
}

const WEEK_HOURS = 168

function woodFalls(wood: WoodEstimate, day: LocalDay, limits: LevelLimits): boolean {
  const fall = wood.midPct[day.to - 1 - WEEK_HOURS]! - wood.midPct[day.to - 1]!
  return fall >= limits.fallingWoodPoints // false for NaN: a fall must be seen
}

function excessFalls(excess: Float64Array, d: number, limits: LevelLimits): boolean {
  if (d < 13) return false
  const mean = (from: number) => excess.subarray(from, from + 7).reduce((sum, value) => sum + value, 0) / 7
  return mean(d - 13) - mean(d - 6) >= limits.fallingExcessPa
}
