/** Local days of a house on a UTC hour grid. A day has 23, 24 or 25 hours and is judged by its real number. */
import { HOUR_MS } from './hourly.ts'
import { localDateText, zoneClock } from './localTime.ts'

export interface LocalDay {
  /** 2024-06-10 */
  date: string
  from: number
  to: number
  /** Rows of the hour grid: hours that start within the day. */
  first: number
  end: number
}

/** A day counts when at least this share of its hours has a value. Common practice, no source. */
export const COMPLETE_SHARE = 0.8

/** Every local day that has an hour on the grid, the cut ones at both ends too. */
export function localDays(grid: { from: number; hours: number }, timeZone: string): LocalDay[] {
  const clock = zoneClock(timeZone)
  const gridEnd = grid.from + grid.hours * HOUR_MS
  const row = (at: number) => Math.min(grid.hours, Math.max(0, Math.ceil((at - grid.from) / HOUR_MS)))
  const days: LocalDay[] = []
  for (let from = clock.dayStart(grid.from); from < gridEnd; ) {
    const to = clock.nextDayStart(from)
    days.push({ date: localDateText(from, timeZone), from, to, first: row(from), end: row(to) })
    from = to
  }
  return days
}

/** How many hours the day really has. */
export const hoursOf = (day: LocalDay): number => Math.round((day.to - day.from) / HOUR_MS)

/** Mean of each day; NaN for a day with fewer than `COMPLETE_SHARE` of its hours. */
export function dailyMeans(days: readonly LocalDay[], values: Float64Array): Float64Array {
  return Float64Array.from(days, (day) => {
    let sum = 0
    let count = 0
    for (let i = day.first; i < day.end; i++) {
      if (Number.isNaN(values[i]!)) continue
      sum += values[i]!
      count++
    }
    return count >= COMPLETE_SHARE * hoursOf(day) ? sum / count : Number.NaN
  })
}

/** Days from 1 January, 0 to 365, of a date such as 2024-06-10. */
export function dayOfYear(date: string): number {
  const at = Date.parse(`${date}T00:00:00Z`)
  return Math.round((at - Date.UTC(new Date(at).getUTCFullYear(), 0, 1)) / (24 * HOUR_MS))
}
