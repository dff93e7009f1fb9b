/**
 * What is known of a house before any model is fitted: hourly series in UTC as measured, NaN where nothing was, and the
 * local days they fall in. The fitted model takes its own record (input.ts); everything here reads plain measurements.
 */
import { zoneClock } from '../series/localTime.ts'
import { HOUR_MS, type RainRecord } from './input.ts'

export interface ObservedSpot {
  key: string
  tempC: Float64Array
  /** Mean RH of the hour; serves only hours and means over an RH line, never converted. */
  rhPct: Float64Array
  /** Mean vapor pressure of the hour, not made from mean temperature and RH. */
  vaporPressurePa: Float64Array
  /** Highest dew point within the hour. */
  dewPointMaxC?: Float64Array
  /** Pins that log by themselves; readings of a visit are passed apart, with their dates. */
  woodMcPct?: Float64Array
  surfaceTempC?: Float64Array
  /** Share of the hour's readings that saw liquid water, 0 to 1. */
  waterPresentShare?: Float64Array
}

export interface ObservedOutdoor {
  tempC: Float64Array
  vaporPressurePa: Float64Array
}

export interface Observed {
  /** First hour of the grid, epoch ms on a whole hour in UTC. */
  startAt: number
  hours: number
  timeZone: string
  spots: readonly ObservedSpot[]
  outdoor: ObservedOutdoor | null
  /** null: nothing is known of rain, which is not "no rain". */
  rain: RainRecord | null
}

/** One local day on the hour grid. */
export interface LocalDay {
  /** Start of the local day, epoch ms. */
  at: number
  /** First hour of the grid in it and the one after its last, clipped to the grid. */
  from: number
  to: number
  /** Hours this day really has, 23, 24 or 25, whether or not the grid holds them all. */
  hours: number
}

/** An hour belongs to the local day it starts in. */
export function localDays({ startAt, hours, timeZone }: Pick<Observed, 'startAt' | 'hours' | 'timeZone'>): LocalDay[] {
  const clock = zoneClock(timeZone)
  const hourFrom = (at: number) => Math.ceil((at - startAt) / HOUR_MS)
  const days: LocalDay[] = []
  const end = startAt + hours * HOUR_MS
  for (let at = clock.dayStart(startAt); at < end; at = clock.nextDayStart(at)) {
    const [first, next] = [hourFrom(at), hourFrom(clock.nextDayStart(at))]
    days.push({ at, from: Math.max(0, first), to: Math.min(hours, next), hours: next - first })
  }
  return days
}

export interface DayLimits {
  /** Share of a day's real hours that must be known for the day to count, 0 to 1. */
  completeDayShare: number
}

export function knownHours(values: Float64Array, from: number, to: number): number {
  let known = 0
  for (let h = from; h < to; h++) if (!Number.isNaN(values[h]!)) known++
  return known
}

export const isComplete = (known: number, day: LocalDay, { completeDayShare }: DayLimits): boolean =>
  known >= completeDayShare * day.hours

/** Mean of the known hours in [from, to); NaN when none is known. */
export function meanOver(values: Float64Array, from: number, to: number): number {
  let [sum, known] = [0, 0]
  for (let h = Math.max(0, from); h < Math.min(to, values.length); h++) {
    const value = values[h]!
    if (Number.isNaN(value)) continue
    sum += value
    known++
  }
  return known === 0 ? Number.NaN : sum / known
}

/** Mean of each local day; NaN for a day that is not complete. */
export function dailyMeans(values: Float64Array, days: readonly LocalDay[], limits: DayLimits): Float64Array {
  return Float64Array.from(days, (day) =>
    isComplete(knownHours(values, day.from, day.to), day, limits) ? meanOver(values, day.from, day.to) : Number.NaN,
  )
}

/** Space minus outdoor vapor pressure, hour by hour [Pa]; NaN where either is missing. */
export function vaporExcessPa(spot: ObservedSpot, outdoor: ObservedOutdoor): Float64Array {
  return spot.vaporPressurePa.map((inside, h) => inside - outdoor.vaporPressurePa[h]!)
}

/** Mean over the spots that are known in each hour; NaN where none is. */
export function meanOfSpots(spots: readonly ObservedSpot[], pick: (spot: ObservedSpot) => Float64Array): Float64Array {
  const columns = spots.map(pick)
  const out = new Float64Array(columns[0]?.length ?? 0)
  for (let h = 0; h < out.length; h++) {
    let [sum, known] = [0, 0]
    for (const column of columns) {
      if (Number.isNaN(column[h]!)) continue
      sum += column[h]!
      known++
    }
    out[h] = known === 0 ? Number.NaN : sum / known
  }
  return out
}

/**
 * Rain by hour [mm], NaN where it is not known. A day's sum is spread evenly over its hours, which keeps sums over whole
 * days right and says nothing of the hour it fell in.
 */
export function rainByHourMm(rain: RainRecord | null, startAt: number, hours: number): Float64Array {
  if (rain?.step === 'hourly') return rain.rainMm
  const out = new Float64Array(hours).fill(Number.NaN)
  for (const day of rain?.days ?? []) {
    const from = Math.round((day.from - startAt) / HOUR_MS)
    const to = Math.round((day.to - startAt) / HOUR_MS)
    for (let h = Math.max(0, from); h < Math.min(hours, to); h++) out[h] = day.rainMm / (to - from)
  }
  return out
}
