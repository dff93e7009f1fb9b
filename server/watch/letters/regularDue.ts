/** Which letters that no notice causes are due to one owner now. Pure: house, what was sent and a clock in, letters out. */
import { localDateText, zoneClock } from '../../series/localTime.ts'
import type { CalendarNote, RegularHouse, RegularLetter, RegularLimits, Sent } from './regularHouse.ts'
import { MORNING_H, morningOf, turnsAround } from './turns.ts'
import { dueUpkeep } from './upkeepDue.ts'

const HOUR_MS = 3_600_000
const DAY_MS = 24 * HOUR_MS
/** Loggers are hung one after the other: the letter waits until all are heard, and counts them. */
const HANGING_MS = 2 * HOUR_MS
/** What the service could not say in time, because it stood still, it says so much later and no more. */
const PLACED_LATE_MS = 14 * DAY_MS
const WEEKLY_LATE_MS = 5 * DAY_MS
const MONTHLY_LATE_MS = 14 * DAY_MS
const RAIN_LATE_MS = 7 * DAY_MS
const NOTE_LATE_MS = 45 * DAY_MS
/** A span of which less was heard has nothing to sum up. */
const LEAST_HEARD_MS = 4 * DAY_MS
/** A storm goes on for a while. */
const STORM_MS = 6 * HOUR_MS

export function regularDue(house: RegularHouse, sent: Sent, held: RegularLimits, now: number): RegularLetter[] {
  const upkeep = dueUpkeep(house, held, now, (rain) => lookDay(rain, house.timeZone))
  const letters = [...placed(house, now), ...summary(house, sent, held, now), ...upkeep.letters]
  if (house.firstHeardAt !== null) {
    const first = house.bigRains.find((at) => at >= house.firstHeardAt!)
    // Whoever is asked to look at the basins after that rain is asked to look already.
    if (first !== undefined && !upkeep.afterRains.includes(first) && isDue(lookDay(first, house.timeZone), now))
      letters.push({ key: 'season after big rain', kind: 'season' })
  }
  return letters.filter(({ key }) => !sent.keys.has(key))
}

const isDue = (dueAt: number, now: number): boolean => now >= dueAt && now - dueAt < RAIN_LATE_MS

/** The first morning by which the storm is through. */
function lookDay(rainAt: number, timeZone: string): number {
  const clock = zoneClock(timeZone)
  const over = rainAt + STORM_MS
  const wall = over + clock.offsetMs(over)
  const midnight = wall - (wall % DAY_MS)
  const today = morningOf(midnight, timeZone)
  return today >= over ? today : morningOf(midnight + DAY_MS, timeZone)
}

function placed({ firstHeardAt, reporting }: RegularHouse, now: number): RegularLetter[] {
  if (firstHeardAt === null || reporting === 0) return []
  const since = now - firstHeardAt
  return since >= HANGING_MS && since < PLACED_LATE_MS ? [{ key: 'placed', kind: 'placed' }] : []
}

/** Weekly in the first season, then monthly; never both for one morning. */
function summary(house: RegularHouse, sent: Sent, held: RegularLimits, now: number): RegularLetter[] {
  const { firstHeardAt, reporting, timeZone } = house
  if (firstHeardAt === null || reporting === 0) return []
  const anchors = [
    firstHeardAt,
    ...house.works
      .filter(({ to, kinds }) => to === null && kinds.some((kind) => kind !== 'other'))
      .map(({ from }) => from),
  ]
  const inFirstSeason = (at: number) =>
    anchors.some((anchor) => anchor <= at && at - anchor < held.firstSeasonWeeks * 7 * DAY_MS)
  const [week, month] = [lastWeek(now, timeZone), lastMonth(now, timeZone)]
  const due = [
    ...(inFirstSeason(week.dueAt) && now - week.dueAt < WEEKLY_LATE_MS ? [{ kind: 'weekly' as const, ...week }] : []),
    ...(!inFirstSeason(month.dueAt) && now - month.dueAt < MONTHLY_LATE_MS
      ? [{ kind: 'monthly' as const, ...month }]
      : []),
  ]
    .filter(({ dueAt }) => dueAt - firstHeardAt >= LEAST_HEARD_MS)
    .sort((a, b) => b.dueAt - a.dueAt)[0]
  if (due === undefined) return []
  const from = Math.max(due.from, firstHeardAt)
  return [{ ...due, from, key: `${due.kind} ${localDateText(due.from, timeZone)}`, note: noteFor(house, sent, now) }]
}

/** In the first summary after the season turned, and in no other. */
function noteFor(house: RegularHouse, { summaryAt }: Sent, now: number): CalendarNote | null {
  const open = (turn: 'humid months' | 'frost') =>
    turnsAround(turn, now, house).some(
      (at) => at <= now && now - at < NOTE_LATE_MS && (summaryAt === null || summaryAt < at),
    )
  if (open('frost')) return 'before frost'
  return open('humid months') ? 'before humid months' : null
}

interface Span {
  from: number
  to: number
  dueAt: number
}

/** The last whole week, Monday to Sunday, told on the Monday after. */
function lastWeek(now: number, timeZone: string): Span {
  const wall = wallDay(now, timeZone)
  const monday = wall - ((new Date(wall).getUTCDay() + 6) % 7) * DAY_MS
  return span(monday - 7 * DAY_MS, monday, timeZone)
}

function lastMonth(now: number, timeZone: string): Span {
  const wall = new Date(wallDay(now, timeZone))
  const [year, month] = [wall.getUTCFullYear(), wall.getUTCMonth()]
  return span(Date.UTC(year, month - 1, 1), Date.UTC(year, month, 1), timeZone)
}

/** The local day, as if it were UTC, whose morning came last. */
function wallDay(now: number, timeZone: string): number {
  const wall = now + zoneClock(timeZone).offsetMs(now) - MORNING_H * HOUR_MS
  return wall - (wall % DAY_MS)
}

function span(fromWall: number, toWall: number, timeZone: string): Span {
  const at = (wall: number) => zoneClock(timeZone).instantsOf(wall).earlier
  return { from: at(fromWall), to: at(toWall), dueAt: morningOf(toWall, timeZone) }
}
