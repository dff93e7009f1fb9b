/**
 * The house's wall clock. Offsets come from the IANA rules that the JavaScript runtime carries; each zone's answer is
 * kept for the quarter hour it holds in, so that a million rows ask the runtime a few thousand times.
 */

const QUARTER_HOUR_MS = 900_000
const HOUR_MS = 3_600_000
const DAY_MS = 24 * HOUR_MS

export interface ZoneClock {
  readonly timeZone: string
  /** Wall clock minus UTC at an instant [ms]. */
  offsetMs(at: number): number
  /**
   * The instant of a wall-clock time, given as if it were UTC epoch ms. In the hour that autumn repeats both readings
   * exist: `earlier` and `later` differ. In the hour that spring skips neither does: `kind` is 'skipped' and `earlier`
   * is what a clock that had not been changed would mean.
   */
  instantsOf(wallMs: number): { kind: 'once' | 'repeated' | 'skipped'; earlier: number; later: number }
  /** Start of the local day that holds the instant. */
  dayStart(at: number): number
  /** Start of the local day after the one that holds the instant; a day has 23, 24 or 25 hours. */
  nextDayStart(at: number): number
}

const clocks = new Map<string, ZoneClock>()

/**
 * @param timeZone IANA name
 * @throws RangeError when the runtime knows no zone of that name
 */
export function zoneClock(timeZone: string): ZoneClock {
  let clock = clocks.get(timeZone)
  if (!clock) {
    clock = createZoneClock(timeZone)
    clocks.set(timeZone, clock)
  }
  return clock
}

function createZoneClock(timeZone: string): ZoneClock {
  let format: Intl.DateTimeFormat
  try {
    format = new Intl.DateTimeFormat('en-US', {
      timeZone,
      hourCycle: 'h23',
      year: 'numeric',
      month: 'numeric',
      day: 'numeric',
      hour: 'numeric',
      minute: 'numeric',
      second: 'numeric',
    })
  } catch (cause) {
    throw new RangeError(
      `"${timeZone}" is not a time zone name known here. Use an IANA name such as America/New_York or Europe/Helsinki.`,
      { cause },
    )
  }
  const known = new Map<number, number>()

  const offsetMs = (at: number): number => {
    const quarter = Math.floor(at / QUARTER_HOUR_MS)
    let offset = known.get(quarter)
    if (offset === undefined) {
      const instant = quarter * QUARTER_HOUR_MS
      const part: Record<string, number> = {}
      for (const { type, value } of format.formatToParts(instant)) part[type] = Number(value)
      offset = Date.UTC(part.year!, part.month! - 1, part.day!, part.hour!, part.minute!, part.second!) - instant
      known.set(quarter, offset)
    }
    return offset
  }

  const instantsOf: ZoneClock['instantsOf'] = (wallMs) => {
    // The offsets a day to either side are the only two that can hold at this wall time.
    const before = offsetMs(wallMs - DAY_MS)
    const after = offsetMs(wallMs + DAY_MS)
    const candidates = [wallMs - before, wallMs - after].filter((at) => at + offsetMs(at) === wallMs)
    if (candidates.length === 0) return { kind: 'skipped', earlier: wallMs - before, later: wallMs - before }
    const earlier = Math.min(...candidates)
    const later = Math.max(...candidates)
    return { kind: earlier === later ? 'once' : 'repeated', earlier, later }
  }

  const dayStart = (at: number): number => {
    const wall = at + offsetMs(at)
    return instantsOf(wall - mod(wall, DAY_MS)).earlier
  }
  // 36 h after a day's start lies within the next day whether the day has 23, 24 or 25 hours.
  const nextDayStart = (at: number): number => dayStart(dayStart(at) + 36 * HOUR_MS)

  return { timeZone, offsetMs, instantsOf, dayStart, nextDayStart }
}

const LOCAL_TEXT = /^(\d{4})-(\d\d)-(\d\d)(?:T(\d\d):(\d\d)(?::(\d\d))?)?$/

/**
 * Instant of a local date or date-time as people type it: "2024-06-10" (start of that day) or "2024-06-10T09:30".
 * A time that autumn repeats means the earlier one; a time that spring skips means the moment the clock jumped over it.
 *
 * @throws RangeError when the text is neither, or names a day that does not exist
 */
export function instantOfLocalText(text: string, timeZone: string): number {
  const parts = LOCAL_TEXT.exec(text)
  if (!parts) throw new RangeError(`"${text}" is not a local date. Write 2024-06-10 or 2024-06-10T09:30.`)
  const [year, month, day, hour = 0, minute = 0, second = 0] = parts.slice(1).map((part) => Number(part ?? 0))
  const wall = Date.UTC(year!, month! - 1, day!, hour, minute, second)
  const back = new Date(wall)
  if (back.getUTCMonth() !== month! - 1 || back.getUTCDate() !== day || hour > 23 || minute > 59 || second > 59) {
    throw new RangeError(`"${text}" names a day or time that does not exist.`)
  }
  return zoneClock(timeZone).instantsOf(wall).earlier
}

/** The local date of an instant as 2024-06-10. */
export function localDateText(at: number, timeZone: string): string {
  return new Date(at + zoneClock(timeZone).offsetMs(at)).toISOString().slice(0, 10)
}

/** The local date and time of an instant as 2024-06-10T09:30. */
export function localTimeText(at: number, timeZone: string): string {
  return new Date(at + zoneClock(timeZone).offsetMs(at)).toISOString().slice(0, 16)
}

const MINUTE_MS = 60_000

/**
 * The first whole minute at or after an instant that the wall clock can name: what begins in the second turn of the hour
 * that autumn repeats begins when that hour is over, for its times mean the first turn.
 */
export function localTimeTextFrom(at: number, timeZone: string): string {
  const clock = zoneClock(timeZone)
  const minute = Math.ceil(at / MINUTE_MS) * MINUTE_MS
  const isSecondTurn = (instant: number) => clock.instantsOf(instant + clock.offsetMs(instant)).earlier < instant
  if (!isSecondTurn(minute)) return localTimeText(minute, timeZone)
  let quarter = Math.floor(minute / QUARTER_HOUR_MS) * QUARTER_HOUR_MS
  while (isSecondTurn(quarter)) quarter += QUARTER_HOUR_MS
  return localTimeText(quarter, timeZone)
}

const mod = (value: number, by: number): number => ((value % by) + by) % by
