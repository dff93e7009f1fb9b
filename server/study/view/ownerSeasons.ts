/** The seasons of a house week by week, as its owner sees them: the wettest place that was heard, and its wood. */
import { LEVELS, type Level } from '../../moisture/level.ts'
import { localDateText } from '../../series/localTime.ts'
import type { LevelRun } from '../findingData.ts'
import type { RiskSeries } from './riskSeries.ts'

export interface OwnerWeek {
  /** Local date of its first day. Weeks are counted from January 1, so that the same week of two years is the same season. */
  date: string
  level: Level
  /** Of the place whose wood is wettest; null while it is not known [% of dry mass]. */
  wood: { low: number; mid: number; high: number } | null
}

export interface SeasonsAsked {
  spots: readonly { spot: string; runs: readonly LevelRun[] }[]
  /** Spots where something hangs now: silence there counts. */
  hungNow: ReadonlySet<string>
  /** null while it is not known. */
  risk: RiskSeries | null
  timeZone: string
  asOf: number
}

const DAY_MS = 86_400_000
const LAST_WEEK = 51
/** One day of a week may be a splash, or the day of a visit. */
const DAYS_THAT_COUNT = 2

export function ownerSeasons(asked: SeasonsAsked): OwnerWeek[] {
  const weeks = new Map<string, Level[]>()
  for (const [date, level] of dayLevels(asked)) listOf(weeks, weekOf(date)).push(level)
  const wood = woodByWeek(asked)
  return [...weeks].map(([date, days]) => ({ date, level: levelOfWeek(days), wood: wood.get(date) ?? null }))
}

/** Local date on which the week of a local date begins; the last week of a year is a day or two longer. */
export function weekOf(date: string): string {
  const newYear = Date.UTC(Number(date.slice(0, 4)), 0, 1)
  const week = Math.min(LAST_WEEK, Math.floor((Date.parse(date) - newYear) / (7 * DAY_MS)))
  return dateOf(newYear + week * 7 * DAY_MS)
}

/** The worst level of at least two of its days. */
function levelOfWeek(days: readonly Level[]): Level {
  const enough = Math.min(DAYS_THAT_COUNT, days.length)
  return LEVELS.find((level) => days.filter((one) => one === level).length >= enough) ?? worst(days)
}

const worst = (levels: readonly Level[]): Level => LEVELS.find((level) => levels.includes(level)) ?? 'silent'

/** From the first day heard to the day it is told for. Silent is a day of which nothing was heard at any place. */
function dayLevels({ spots, hungNow, timeZone, asOf }: SeasonsAsked): [string, Level][] {
  const heard = new Map<string, Level[]>()
  for (const { runs } of spots) {
    for (const { level, from, to } of runs) {
      if (level === 'silent') continue
      for (const date of datesBetween(from, to)) listOf(heard, date).push(level)
    }
  }
  const dates = [...heard.keys()].sort()
  if (dates.length === 0) return []
  const lastHeard = dates.at(-1)!
  const today = localDateText(Math.max(0, asOf - 1), timeZone)
  const last = hungNow.size > 0 && today > lastHeard ? today : lastHeard
  return datesBetween(dates[0]!, last).map((date): [string, Level] => [date, worst(heard.get(date) ?? [])])
}

function woodByWeek({ risk, timeZone }: SeasonsAsked): Map<string, OwnerWeek['wood']> {
  const weeks = new Map<string, { low: number; mid: number; high: number }[]>()
  for (const [d, at] of (risk?.at ?? []).entries()) {
    const known = risk!.spots.flatMap(({ wood: { low, mid, high } }) =>
      low[d] == null || mid[d] == null || high[d] == null ? [] : [{ low: low[d], mid: mid[d], high: high[d] }],
    )
    const wettest = known.sort((a, b) => b.mid - a.mid)[0]
    if (wettest !== undefined) listOf(weeks, weekOf(localDateText(at, timeZone))).push(wettest)
  }
  const mean = (days: readonly Record<'low' | 'mid' | 'high', number>[], part: 'low' | 'mid' | 'high') =>
    Math.round((days.reduce((sum, day) => sum + day[part], 0) / days.length) * 10) / 10
  return new Map(
    [...weeks].map(([date, days]) => [
      date,
      { low: mean(days, 'low'), mid: mean(days, 'mid'), high: mean(days, 'high') },
    ]),
  )
}

/** Local dates, both ends among them. */
function datesBetween(from: string, to: string): string[] {
  const [first, last] = [Date.parse(from), Date.parse(to)]
  return Array.from({ length: Math.round((last - first) / DAY_MS) + 1 }, (_, d) => dateOf(first + d * DAY_MS))
}

const dateOf = (utc: number): string => new Date(utc).toISOString().slice(0, 10)

function listOf<T>(lists: Map<string, T[]>, key: string): T[] {
  let list = lists.get(key)
  if (list === undefined) lists.set(key, (list = []))
  return list
}
