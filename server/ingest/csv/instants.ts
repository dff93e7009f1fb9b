/** The instant of a row: its time cells read as the understanding says. */
import type { Row } from './cells.ts'
import { numberAt, stoppedAt } from './numbers.ts'
import { addTimeText, clearTimeText, timeText } from './timeText.ts'
import type { Column, ColumnRole, DateOrder, TimeReading } from './understanding.ts'
import { createLocalClock, type LocalClock } from './zones.ts'

const HOUR_MS = 3_600_000
const MINUTE_MS = 60_000
const DAY_MS = 86_400_000
const [COLON, BLANK, LETTER_T, LETTER_Z] = [58, 32, 84, 90]
/** `2024-05-13`, `05/13/2024`. */
const DATE_BYTES = 10

export type TimeProblem = 'unreadable' | 'missing hour'

export interface InstantReader {
  /** UTC epoch ms, NaN where the row has no readable time (`problem` then says why). */
  read(row: Row, previousAt: number, stepMs: number): number
  problem: TimeProblem
  clock: LocalClock
}

/** @param yearAs puts every row in this year (typical years), null leaves years as they are */
export function createInstantReader(
  columns: readonly Column[],
  time: TimeReading,
  yearAs: number | null,
): InstantReader {
  const clock = createLocalClock(time.zone)
  const at = (role: ColumnRole) => columns.find((column) => column.role === role)?.index ?? -1
  const reader: InstantReader = { read, problem: 'unreadable', clock }
  const epochScale = time.form === 'epochS' ? 1000 : 1
  const stampAt = at('time') >= 0 ? at('time') : at('date')
  const clockAt = at('clock')
  const offsetAt = at('offset')
  const parts = { year: at('year'), month: at('month'), day: at('day'), hour: at('hour'), minute: at('minute') }
  const secondAt = at('second')
  const fixedWidth = time.form === 'text' && clockAt < 0 && time.prefixDigits === 0
  const lastDate = { bytes: new Uint8Array(DATE_BYTES), day: Number.NaN }

  function read(row: Row, previousAt: number, stepMs: number): number {
    reader.problem = 'unreadable'
    if (time.form === 'epochS' || time.form === 'epochMs') {
      const epoch = cellNumber(row, stampAt) * epochScale
      return epoch > 0 && epoch < 8.64e15 ? Math.round(epoch) + time.shiftMs : Number.NaN
    }
    let day = lastDate.day
    if (!isSameDate(row)) {
      if (!(time.form === 'parts' ? takeParts(row) : takeText(row))) return Number.NaN
      day = dayOf(wall.year, wall.month, wall.dayOfMonth)
      if (Number.isNaN(day)) return Number.NaN
      if (fixedWidth) rememberDate(row, day)
    }
    let localMs = wall.clockMs
    if (wall.dateOnly) localMs = time.dateOnly === 'dayEnd' ? DAY_MS : DAY_MS / 2
    let offsetMs = timeText.offsetMs
    if (offsetAt >= 0 && Number.isNaN(offsetMs)) offsetMs = offsetCell(row, offsetAt)
    if (!Number.isNaN(offsetMs)) return day * DAY_MS + localMs - offsetMs + time.shiftMs
    const utc = clock.utc(day, localMs, previousAt - time.shiftMs, stepMs)
    if (Number.isNaN(utc)) reader.problem = 'missing hour'
    return utc + time.shiftMs
  }

  /**
   * Most files write one stamp of fixed width, and most rows have the date of the row before: then only the clock is
   * read. Anything else (another date, AM, a longer tail) takes the long way.
   */
  function isSameDate(row: Row): boolean {
    if (!fixedWidth || stampAt >= row.count) return false
    const { bytes } = row
    const from = row.from[stampAt]!
    const length = row.to[stampAt]! - from
    if (length !== 16 && length !== 19 && length !== 20) return false
    if (bytes[from + 13] !== COLON || (bytes[from + 10] !== BLANK && bytes[from + 10] !== LETTER_T)) return false
    if (length > 16 && bytes[from + 16] !== COLON) return false
    if (length === 20 && bytes[from + 19] !== LETTER_Z) return false
    for (let i = 0; i < DATE_BYTES; i++) if (bytes[from + i] !== lastDate.bytes[i]) return false
    timeText.meridiem = 0
    const second = length > 16 ? twoDigits(bytes, from + 17) : 0
    if (!setClock(twoDigits(bytes, from + 11), twoDigits(bytes, from + 14), second, 0)) return false
    timeText.offsetMs = length === 20 ? 0 : Number.NaN
    wall.dateOnly = false
    return true
  }

  function rememberDate(row: Row, day: number): void {
    const from = row.from[stampAt]!
    for (let i = 0; i < DATE_BYTES; i++) lastDate.bytes[i] = row.bytes[from + i] ?? 0
    // `1/2/2024 1` is ten bytes too: only a date that ends where the blank stands is one of fixed width.
    const ends = row.bytes[from + DATE_BYTES]
    lastDate.day = day
    if (ends !== BLANK && ends !== LETTER_T) lastDate.bytes[0] = 0
  }

  function takeText(row: Row): boolean {
    if (stampAt < 0 || stampAt >= row.count) return false
    clearTimeText()
    addTimeText(row.bytes, row.from[stampAt]! + time.prefixDigits, row.to[stampAt]!)
    if (clockAt >= 0) {
      if (clockAt >= row.count) return false
      if (timeText.count < 3) return false
      timeText.count = 3
      addTimeText(row.bytes, row.from[clockAt]!, row.to[clockAt]!)
      if (timeText.count === 3) return false
    }
    if (!takeWall(time.dateOrder)) return false
    if (yearAs !== null) wall.year = yearAs
    return true
  }

  function takeParts(row: Row): boolean {
    clearTimeText()
    wall.year = cellNumber(row, parts.year)
    wall.month = cellNumber(row, parts.month)
    wall.dayOfMonth = cellNumber(row, parts.day)
    if (yearAs !== null) wall.year = yearAs
    wall.dateOnly = parts.hour < 0 && clockAt < 0
    if (wall.dateOnly) return true
    if (clockAt >= 0) return clockAt < row.count && takeClockCell(row, clockAt)
    const hour = cellNumber(row, parts.hour)
    // Typical-year files write minute 60 (the span's end) or 0 beside hours 1 to 24: the hour alone is the time.
    const minute = parts.minute >= 0 ? cellNumber(row, parts.minute) % 60 : 0
    const second = secondAt >= 0 ? cellNumber(row, secondAt) : 0
    return setClock(hour, minute, second, 0)
  }

  return reader
}

/** NaN where one of the two bytes is no digit. */
function twoDigits(bytes: Uint8Array, at: number): number {
  const tens = bytes[at]! - 48
  const ones = bytes[at + 1]! - 48
  return tens >= 0 && tens <= 9 && ones >= 0 && ones <= 9 ? tens * 10 + ones : Number.NaN
}

const wall = { year: 0, month: 0, dayOfMonth: 0, clockMs: 0, dateOnly: false }

/** Date and clock from `timeText`; false where they are no date and clock. */
function takeWall(order: DateOrder): boolean {
  const { groups, digits } = timeText
  if (!timeText.clean) return false
  if (timeText.count < 3) return false
  // A four-digit year in front is ISO order whatever the rest of the file does.
  const yearFirst = digits[0] === 4 || (order === 'ymd' && timeText.monthAt < 0)
  const monthFirst = timeText.monthAt === 0 || (timeText.monthAt < 0 && order === 'mdy')
  const yearAt = yearFirst ? 0 : 2
  const monthAt = yearFirst || !monthFirst ? 1 : 0
  const dayAt = yearFirst ? 2 : monthFirst ? 1 : 0
  wall.year = fullYear(groups[yearAt]!, digits[yearAt]!)
  wall.month = groups[monthAt]!
  wall.dayOfMonth = groups[dayAt]!
  wall.dateOnly = timeText.count === 3
  return wall.dateOnly ? true : clockFromGroups(3)
}

function takeClockCell(row: Row, index: number): boolean {
  clearTimeText()
  timeText.count = 3
  addTimeText(row.bytes, row.from[index]!, row.to[index]!)
  return timeText.clean && timeText.count > 3 && clockFromGroups(3)
}

function clockFromGroups(from: number): boolean {
  const { groups, digits, count } = timeText
  const fraction = count > from + 3 ? groups[from + 3]! / 10 ** digits[from + 3]! : 0
  return setClock(
    groups[from]!,
    count > from + 1 ? groups[from + 1]! : 0,
    count > from + 2 ? groups[from + 2]! : 0,
    fraction,
  )
}

function setClock(hour: number, minute: number, second: number, fraction: number): boolean {
  if (timeText.meridiem > 0) {
    if (hour === 12) hour = timeText.meridiem === 1 ? 0 : 12
    else if (timeText.meridiem === 2 && hour < 12) hour += 12
    else if (timeText.meridiem === 1 && hour > 12) return false
  }
  if (!(hour >= 0 && hour <= 24 && minute >= 0 && minute < 60 && second >= 0 && second <= 60)) return false
  if (hour === 24 && (minute > 0 || second > 0)) return false
  wall.clockMs = Math.round(hour * HOUR_MS + minute * MINUTE_MS + (second + fraction) * 1000)
  return true
}

/** Two-digit years: 70 to 99 are the last century. */
const fullYear = (year: number, digits: number): number => (digits > 2 ? year : year < 70 ? 2000 + year : 1900 + year)

const DAYS_IN_MONTH = [31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]

/** Days since 1970-01-01 of the Gregorian calendar; NaN for a date that does not exist or lies outside 1800 to 2199. */
export function dayOf(year: number, month: number, dayOfMonth: number): number {
  if (!(year >= 1800 && year < 2200 && month >= 1 && month <= 12 && dayOfMonth >= 1)) return Number.NaN
  if (dayOfMonth > DAYS_IN_MONTH[month - 1]!) return Number.NaN
  if (month === 2 && dayOfMonth === 29 && (year % 4 !== 0 || (year % 100 === 0 && year % 400 !== 0))) return Number.NaN
  // Counting from March puts the leap day last, which makes the month lengths a straight line.
  const y = month > 2 ? year : year - 1
  const m = month > 2 ? month - 3 : month + 9
  const days = 365 * y + Math.floor(y / 4) - Math.floor(y / 100) + Math.floor(y / 400)
  return days + Math.floor((153 * m + 2) / 5) + dayOfMonth - 1 - 719_468
}

function cellNumber(row: Row, index: number): number {
  if (index < 0 || index >= row.count) return Number.NaN
  const value = numberAt(row.bytes, row.from[index]!, row.to[index]!, 46)
  return stoppedAt === row.to[index] ? value : Number.NaN
}

/** `-05:00`, `-5`, `+0200`. */
function offsetCell(row: Row, index: number): number {
  if (index >= row.count) return Number.NaN
  clearTimeText()
  timeText.count = 5
  const text = row.bytes.toString('latin1', row.from[index], row.to[index])
  const signed = /^[+-]/.test(text) ? text : `+${text}`
  addTimeText(Buffer.from(signed), 0, signed.length)
  return timeText.offsetMs
}
