/**
 * Wall time for the generator. It is written apart from the service's own zone code on purpose: if both were the same
 * code, a mistake about the clock change would be in the demo files and in the reading of them, and nobody would see it.
 */
const HOUR_MS = 3_600_000

export interface WallTime {
  year: number
  month: number
  day: number
  hour: number
  minute: number
  second: number
  /** Minutes east of UTC at that instant. */
  offsetMinutes: number
}

export interface WallClock {
  wallTime: (at: number) => WallTime
  /** `2024-06-10` or `2024-06-10T09:30`; a time that occurs twice means its first pass. */
  instantOf: (localText: string) => number
}

export function wallClock(timeZone: string): WallClock {
  const format = new Intl.DateTimeFormat('en-US', {
    timeZone,
    hourCycle: 'h23',
    year: 'numeric',
    month: 'numeric',
    day: 'numeric',
    hour: 'numeric',
    minute: 'numeric',
    second: 'numeric',
  })
  const offsetByHour = new Map<number, number>()

  /** Offsets change on whole UTC hours in the zones the generator is used for, so one look-up an hour is enough. */
  function offsetMs(at: number): number {
    const hour = Math.floor(at / HOUR_MS)
    const known = offsetByHour.get(hour)
    if (known !== undefined) return known
    const part: Record<string, number> = {}
    for (const { type, value } of format.formatToParts(hour * HOUR_MS)) part[type] = Number(value)
    const wall = Date.UTC(part.year!, part.month! - 1, part.day!, part.hour!, part.minute!, part.second!)
    const offset = wall - hour * HOUR_MS
    offsetByHour.set(hour, offset)
    return offset
  }

  return {
    wallTime(at) {
      const offset = offsetMs(at)
      const d = new Date(at + offset)
      return {
        year: d.getUTCFullYear(),
        month: d.getUTCMonth() + 1,
        day: d.getUTCDate(),
        hour: d.getUTCHours(),
        minute: d.getUTCMinutes(),
        second: d.getUTCSeconds(),
        offsetMinutes: offset / 60_000,
      }
    },
    instantOf(localText) {
      const wall = Date.parse(`${localText.length === 10 ? `${localText}T00:00` : localText}Z`)
      if (Number.isNaN(wall)) throw new RangeError(`"${localText}" is not a local date or date-time.`)
      // The offset a day earlier is the one in force before a change on that day, hence "first pass".
      const first = wall - offsetMs(wall - 24 * HOUR_MS)
      return offsetMs(first) === offsetMs(wall - 24 * HOUR_MS) ? first : wall - offsetMs(first)
    },
  }
}
