/** Wall-clock time to UTC, with the hour that comes twice and the hour that does not come. */
const MINUTE_MS = 60_000
const HOUR_MS = 3_600_000
const DAY_MS = 86_400_000

/** Offset of a local day: one for the whole day, or a change from `before` to `after` at the instant `changeAt`. */
interface DayOffset {
  before: number
  after: number
  changeAt: number
}

export interface LocalClock {
  /** How many instants were settled as the first and the second pass of a repeated hour, and fell in a missing hour. */
  counts: { repeatedFirst: number; repeatedSecond: number; missing: number }
  /**
   * UTC of a wall-clock time, NaN in the hour skipped in spring. In the hour repeated in autumn the candidate nearest
   * to one step after the previous row of the same probe is taken, so row order tells the two passes apart.
   *
   * @param day days since 1970-01-01 in local reckoning
   * @param msOfDay 0 to 86,400,000 (24:00)
   * @param previousAt UTC of the previous row, NaN for none
   * @param stepMs usual step between rows, negative where the newest row comes first; 0 when unknown
   */
  utc(day: number, msOfDay: number, previousAt: number, stepMs: number): number
}

/** Throws RangeError for a zone nobody knows. */
export function createLocalClock(zone: string): LocalClock {
  const counts = { repeatedFirst: 0, repeatedSecond: 0, missing: 0 }
  const fixed = fixedOffsetMs(zone)
  if (fixed !== null) return { counts, utc: (day, msOfDay) => day * DAY_MS + msOfDay - fixed }

  const offsetAt = zoneOffset(zone)
  const days = new Map<number, DayOffset>()
  let [lastDay, lastOffset] = [Number.NaN, { before: 0, after: 0, changeAt: 0 }]

  const offsetOf = (day: number): DayOffset => {
    if (day === lastDay) return lastOffset
    let offset = days.get(day)
    if (!offset) {
      if (days.size > 4000) days.clear()
      days.set(day, (offset = dayOffset(day, offsetAt)))
    }
    lastDay = day
    lastOffset = offset
    return offset
  }

  return {
    counts,
    utc(day, msOfDay, previousAt, stepMs) {
      const { before, after, changeAt } = offsetOf(day)
      const local = day * DAY_MS + msOfDay
      if (before === after) return local - before
      const [first, second] = [local - before, local - after]
      const firstHolds = first < changeAt
      const secondHolds = second >= changeAt
      if (firstHolds && secondHolds) {
        const takeSecond = isSecondPass(first, second, previousAt, stepMs)
        if (takeSecond) counts.repeatedSecond++
        else counts.repeatedFirst++
        return takeSecond ? second : first
      }
      if (firstHolds) return first
      if (secondHolds) return second
      counts.missing++
      return Number.NaN
    },
  }
}

function isSecondPass(first: number, second: number, previousAt: number, stepMs: number): boolean {
  if (Number.isNaN(previousAt)) return stepMs < 0
  if (stepMs === 0) return first <= previousAt
  const expected = previousAt + stepMs
  return Math.abs(second - expected) < Math.abs(first - expected)
}

/** `UTC`, `Z`, `-05:00`, `+2`; null for a named zone. */
export function fixedOffsetMs(zone: string): number | null {
  if (/^(utc|gmt|z)$/i.test(zone)) return 0
  const match = /^(?:utc|gmt)?\s*([+-])(\d{1,2})(?::?(\d\d))?$/i.exec(zone)
  if (!match) return null
  const ms = Number(match[2]) * HOUR_MS + Number(match[3] ?? 0) * MINUTE_MS
  return match[1] === '-' ? -ms : ms
}

/** `-05:00` from milliseconds. */
export function offsetName(ms: number): string {
  const minutes = Math.round(Math.abs(ms) / MINUTE_MS)
  const two = (n: number) => String(n).padStart(2, '0')
  return `${ms < 0 ? '-' : '+'}${two(Math.floor(minutes / 60))}:${two(minutes % 60)}`
}

export function isKnownZone(zone: string): boolean {
  if (fixedOffsetMs(zone) !== null) return true
  try {
    new Intl.DateTimeFormat('en-US', { timeZone: zone })
    return true
  } catch {
    return false
  }
}

/** Making a format costs a millisecond, asking it some microseconds. */
const formats = new Map<string, Intl.DateTimeFormat>()

/** Offset of a zone at a UTC instant, ms east of UTC. Slow (Intl): once or twice a local day. */
export function zoneOffset(zone: string): (at: number) => number {
  const fixed = fixedOffsetMs(zone)
  if (fixed !== null) return () => fixed
  let format = formats.get(zone)
  if (!format) {
    format = new Intl.DateTimeFormat('en-US', { timeZone: zone, timeZoneName: 'longOffset' })
    formats.set(zone, format)
  }
  return (at) => {
    const name = format.formatToParts(at).find((part) => part.type === 'timeZoneName')?.value ?? 'GMT'
    return fixedOffsetMs(name) ?? 0
  }
}

/** Offset without daylight saving, ms; taken from the winter or the summer of 2024, whichever is behind. */
export function standardOffsetMs(zone: string): number {
  const offset = zoneOffset(zone)
  return Math.min(offset(Date.UTC(2024, 0, 15)), offset(Date.UTC(2024, 6, 15)))
}

function dayOffset(day: number, offsetAt: (at: number) => number): DayOffset {
  const guess = day * DAY_MS - offsetAt(day * DAY_MS)
  // A day's local hours lie within this window whatever the change is; zones do not change twice within two days.
  let [low, high] = [guess - 12 * HOUR_MS, guess + 36 * HOUR_MS]
  const before = offsetAt(low)
  const after = offsetAt(high)
  if (before === after) return { before, after, changeAt: 0 }
  while (high - low > 1000) {
    const middle = Math.floor((low + high) / 2000) * 1000
    if (offsetAt(middle) === before) low = middle
    else high = middle
    if (high - low <= 1000) break
  }
  return { before, after, changeAt: high }
}
