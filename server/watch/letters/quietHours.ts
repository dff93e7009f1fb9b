/** When a letter that can wait goes out: not at night, by the clock of the house. */
import { zoneClock } from '../../series/localTime.ts'

const HOUR_MS = 3_600_000
const DAY_MS = 24 * HOUR_MS
/** From 9 in the evening to 7 in the morning (proposal). */
const QUIET_FROM_H = 21
const QUIET_TO_H = 7

/** @returns the instant itself by day, else the morning that follows */
export function afterQuietHours(at: number, timeZone: string): number {
  const clock = zoneClock(timeZone)
  const wall = at + clock.offsetMs(at)
  const hour = new Date(wall).getUTCHours()
  if (hour >= QUIET_TO_H && hour < QUIET_FROM_H) return at
  const midnight = wall - (wall % DAY_MS) + (hour < QUIET_TO_H ? 0 : DAY_MS)
  return clock.instantsOf(midnight + QUIET_TO_H * HOUR_MS).earlier
}
