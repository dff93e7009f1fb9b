/**
 * When the seasons turn for a crawl space, roughly, by latitude; common practice, no source. The dates say when to write,
 * nothing is judged by them.
 */
import { zoneClock } from '../../series/localTime.ts'

export type Turn = 'humid months' | 'frost' | 'leaf fall'

type MonthDay = readonly [month: number, day: number]
interface Turns extends Record<Turn, MonthDay | null> {
  fromDegrees: number
}

/**
 * Northern; nearest the pole first. Notes go on the first of a month, with the monthly summary, before the season is there.
 * Below 30 degrees frost is no matter of the season.
 */
const TURNS: readonly Turns[] = [
  { fromDegrees: 42, 'humid months': [5, 1], frost: [9, 1], 'leaf fall': [9, 25] },
  { fromDegrees: 36, 'humid months': [5, 1], frost: [10, 1], 'leaf fall': [10, 10] },
  { fromDegrees: 30, 'humid months': [4, 1], frost: [11, 1], 'leaf fall': [10, 25] },
  { fromDegrees: 0, 'humid months': [3, 1], frost: null, 'leaf fall': [11, 10] },
]
/** Of a house that nobody placed on the map. */
const UNPLACED_DEGREES = 40
/** Letters go out in the morning. */
export const MORNING_H = 8
const HOUR_MS = 3_600_000

/** Mornings on which it turns in the years before, of and after the instant, ascending. */
export function turnsAround(turn: Turn, at: number, place: { latitude: number | null; timeZone: string }): number[] {
  const latitude = place.latitude ?? UNPLACED_DEGREES
  const date = TURNS.find(({ fromDegrees }) => Math.abs(latitude) >= fromDegrees)![turn]
  if (date === null) return []
  const [month, day] = date
  const year = new Date(at).getUTCFullYear()
  return [year - 1, year, year + 1].map((one) =>
    morningOf(Date.UTC(one, month - 1 + (latitude < 0 ? 6 : 0), day), place.timeZone),
  )
}

/** @param wallMidnight a local day, as if it were UTC */
export const morningOf = (wallMidnight: number, timeZone: string): number =>
  zoneClock(timeZone).instantsOf(wallMidnight + MORNING_H * HOUR_MS).earlier
