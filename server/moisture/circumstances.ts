/** What each side of a work has seen: days, storms, humid season, overlap of the weather; the grade rests on it. */

import { dayMean } from './held.ts'
import type { HouseModel } from './house.ts'
import { DAY_HOURS, HOUR_MS } from './input.ts'
import { quantile } from './numbers.ts'
import type { Circumstances } from './verdict.ts'
import type { WorkGroup } from './works.ts'

/** A storm for the proof of a drain: half an inch in a day. */
export const STORM_MM = 12
/** Outdoor dew point near 16 °C: the days on which outdoor air wets a cool space (proposal). */
const HUMID_PA = 1800
const NEIGHBOUR_DAYS = 60
const RAIN_KINDS = ['downspout drain', 'yard drain', 'footing drain', 'encapsulation'] as const

export function seasonsOf(model: HouseModel, group: WorkGroup, dryingEndsHour: number): Circumstances {
  const { prepared, plan } = model
  const previous = plan.groups.filter((g) => g.fromHour < group.fromHour).at(-1)
  const start = previous?.fromHour ?? 0
  const outdoor = dailyOutdoor(model)
  const before = daysBetween(start, group.fromHour)
  const after = daysBetween(group.fromHour, group.windowEndHour)
  const measured = (days: readonly number[]) =>
    days.filter((d) => Number.isFinite(dayMean(d, prepared.hours, (h) => prepared.space.vaporPressurePa[h]!)))
  const storms = (days: readonly number[]) => days.filter((d) => rainOf(model, d) >= STORM_MM).length
  const humid = (days: readonly number[]) => days.filter((d) => outdoor[d]! >= HUMID_PA).length
  const seen = measured(before).map((d) => outdoor[d]!)
  const later = measured(after).map((d) => outdoor[d]!)
  const inside = (e: number) => e >= quantile(seen, 0.025) && e <= quantile(seen, 0.975)
  return {
    daysBefore: measured(before).length,
    daysAfter: measured(after).length,
    humidDaysBefore: humid(measured(before)),
    humidDaysAfter: humid(measured(after)),
    stormsBefore: prepared.rainKnown ? storms(measured(before)) : 0,
    stormsAfter: prepared.rainKnown ? storms(measured(after)) : 0,
    rainMatters: group.kinds.some((kind) => (RAIN_KINDS as readonly string[]).includes(kind)),
    overlap: seen.length === 0 || later.length === 0 ? 0 : later.filter(inside).length / later.length,
    drying: dryingEndsHour >= group.windowEndHour,
    meetsTarget: meetsTarget(model, Math.max(dryingEndsHour, group.windowEndHour - NEIGHBOUR_DAYS * DAY_HOURS), group),
    daysPastDrying: Math.max(0, (group.windowEndHour - dryingEndsHour) / DAY_HOURS),
  }
}

/** Outdoor vapor pressure by day [Pa]. */
export function dailyOutdoor(model: HouseModel): number[] {
  const { hours, outdoorPa } = model.prepared
  return Array.from({ length: Math.ceil(hours / DAY_HOURS) }, (_, d) => dayMean(d, hours, (h) => outdoorPa[h]!))
}

function rainOf(model: HouseModel, day: number): number {
  return model.prepared.rainMm.subarray(day * DAY_HOURS, (day + 1) * DAY_HOURS).reduce((a, b) => a + b, 0)
}

function daysBetween(fromHour: number, toHour: number): number[] {
  const first = Math.ceil(fromHour / DAY_HOURS)
  const last = Math.floor(toHour / DAY_HOURS)
  return Array.from({ length: Math.max(0, last - first) }, (_, i) => first + i)
}

/** 95 % of the days of this stretch at or below the target RH plus 10 points, the trade's line for a closed space. */
function meetsTarget(model: HouseModel, fromHour: number, group: WorkGroup): boolean {
  const { prepared, record } = model
  const rh = daysBetween(fromHour, group.windowEndHour)
    .map((d) =>
      dayMean(d, prepared.hours, (h) => prepared.space.vaporPressurePa[h]! / prepared.climate.saturationPa[h]!),
    )
    .filter(Number.isFinite)
  if (rh.length < 14) return false
  return quantile(rh, 0.95) <= (record.targetRhPct + 10) / 100
}

/** True when the record holds at least 45 days of the months in which outdoor air is most humid. */
export function coversHumidSeason(model: HouseModel): boolean {
  const { prepared, record } = model
  let days = 0
  for (let h = 12; h < prepared.hours; h += DAY_HOURS) {
    const month = new Date(record.startAt + h * HOUR_MS).getUTCMonth()
    const north = prepared.latitude < 0 ? (month + 6) % 12 : month
    if (north >= 5 && north <= 8) days++
  }
  return days >= 45
}
