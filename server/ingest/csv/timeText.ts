/** Takes the digits, AM/PM, offset and month names out of a time cell, whatever stands between them. */
import { plainWord } from './words.ts'

const [ZERO, NINE, PLUS, MINUS, COLON] = [48, 57, 43, 45, 58]
const HOUR_MS = 3_600_000

/**
 * What the last `addTimeText` calls found. `groups` are the runs of digits in order; a glued date or clock is taken
 * apart. Reused for speed: one row at a time.
 */
export const timeText = {
  groups: new Float64Array(10),
  digits: new Uint8Array(10),
  count: 0,
  /** 0 none, 1 AM, 2 PM. */
  meridiem: 0,
  /** Offset in the text, ms east of UTC; NaN where there is none. */
  offsetMs: Number.NaN,
  /** Which group is a month written as a word; -1 where the month is digits. */
  monthAt: -1,
  /** False when something was met that belongs to no time. */
  clean: true,
}

export function clearTimeText(): void {
  timeText.count = 0
  timeText.meridiem = 0
  timeText.offsetMs = Number.NaN
  timeText.monthAt = -1
  timeText.clean = true
}

export function addTimeText(bytes: Uint8Array, from: number, to: number): void {
  let at = from
  while (at < to) {
    const byte = bytes[at]!
    if (byte >= ZERO && byte <= NINE) {
      const start = at
      let value = byte - ZERO
      for (at++; at < to; at++) {
        const next = bytes[at]!
        if (next < ZERO || next > NINE) break
        value = value * 10 + (next - ZERO)
      }
      addGroup(value, at - start)
    } else if (isLetter(byte)) {
      const start = at
      while (at < to && (isLetter(bytes[at]!) || (bytes[at] === 46 && isLetter(bytes[at + 1] ?? 0)))) at++
      addWord(bytes, start, at)
    } else if ((byte === PLUS || byte === MINUS) && timeText.count >= 5 && isDigit(bytes[at + 1] ?? 0)) {
      at = addOffset(bytes, at, to)
    } else if (byte === MINUS && timeText.count === 0 && at === from) {
      timeText.clean = false // a negative number is no time
      at++
    } else at++
  }
}

const isDigit = (byte: number): boolean => byte >= ZERO && byte <= NINE
const isLetter = (byte: number): boolean => ((byte | 32) >= 97 && (byte | 32) <= 122) || byte >= 128

function addGroup(value: number, digits: number): void {
  const { count } = timeText
  if (count >= 8) {
    timeText.clean = false
  } else if (count === 0 && (digits === 8 || digits === 12 || digits === 14)) {
    const clockDigits = digits - 8
    const date = Math.floor(value / 10 ** clockDigits)
    put(Math.floor(date / 10_000), 4)
    put(Math.floor(date / 100) % 100, 2)
    put(date % 100, 2)
    if (clockDigits > 0) addGluedClock(value % 10 ** clockDigits, clockDigits)
  } else if (count === 3 && (digits === 3 || digits === 4 || digits === 6)) {
    addGluedClock(value, digits)
  } else put(value, digits)
}

function addGluedClock(value: number, digits: number): void {
  const hhmm = digits === 6 ? Math.floor(value / 100) : value
  put(Math.floor(hhmm / 100), 2)
  put(hhmm % 100, 2)
  if (digits === 6) put(value % 100, 2)
}

function put(value: number, digits: number): void {
  timeText.groups[timeText.count] = value
  timeText.digits[timeText.count] = digits
  timeText.count++
}

function addOffset(bytes: Uint8Array, signAt: number, to: number): number {
  let at = signAt + 1
  const start = at
  let value = 0
  while (at < to && isDigit(bytes[at]!)) value = value * 10 + (bytes[at++]! - ZERO)
  let [hours, minutes] = at - start > 2 ? [Math.floor(value / 100), value % 100] : [value, 0]
  if (bytes[at] === COLON && at < to) {
    minutes = 0
    for (at++; at < to && isDigit(bytes[at]!); at++) minutes = minutes * 10 + (bytes[at]! - ZERO)
  }
  if (hours > 14 || minutes > 59) timeText.clean = false
  const ms = hours * HOUR_MS + minutes * 60_000
  timeText.offsetMs = bytes[signAt] === MINUS ? -ms : ms
  return at
}

function addWord(bytes: Uint8Array, from: number, to: number): void {
  const first = bytes[from]! | 32
  const length = to - from
  if (length === 1 && first === 116) return // the T between date and clock
  if (length === 1 && first === 122) {
    timeText.offsetMs = 0
    return
  }
  const second = length > 1 ? bytes[from + 1]! | 32 : 0
  if ((first === 97 || first === 112) && length <= 4 && (length === 1 || second === 109 || bytes[from + 1] === 46)) {
    timeText.meridiem = first === 97 ? 1 : 2
    return
  }
  const word = plainWord(Buffer.from(bytes.subarray(from, to)).toString('utf8'))
  const offset = ZONE_WORDS.get(word)
  const month = monthOf(word)
  if (offset !== undefined) timeText.offsetMs = offset * HOUR_MS
  else if (month > 0 && timeText.count < 3) {
    timeText.monthAt = timeText.count
    put(month, 2)
  } else if (!NOISE_WORDS.has(word)) timeText.clean = false
}

/** Zone abbreviations that are unambiguous in the countries the vocabulary covers, hours east of UTC. */
const ZONE_WORDS = new Map([
  ['utc', 0],
  ['gmt', 0],
  ['est', -5],
  ['edt', -4],
  ['cst', -6],
  ['cdt', -5],
  ['mst', -7],
  ['mdt', -6],
  ['pst', -8],
  ['pdt', -7],
  ['cet', 1],
  ['cest', 2],
  ['mez', 1],
  ['mesz', 2],
])

const NOISE_WORDS = new Set(
  'h uhr klo de del le mon tue wed thu fri sat sun monday tuesday wednesday thursday friday saturday sunday'.split(' '),
)

/** Beginnings of month names, longest first where one begins another: English, German, French, Spanish, Italian, Dutch, Finnish. */
const MONTHS: readonly (readonly string[])[] = [
  ['jan', 'ene', 'gen', 'tammi'],
  ['feb', 'fev', 'helmi'],
  ['mar', 'maa', 'mrt'],
  ['apr', 'avr', 'abr', 'huhti'],
  ['may', 'mai', 'mei', 'mag', 'touko'],
  ['jun', 'juin', 'giu', 'kesa'],
  ['jul', 'juil', 'lug', 'heina'],
  ['aug', 'aou', 'ago', 'elo'],
  ['sep', 'set', 'syys'],
  ['oct', 'okt', 'ott', 'loka'],
  ['nov', 'marras'],
  ['dec', 'dez', 'dic', 'joulu'],
]

function monthOf(word: string): number {
  let [month, longest] = [0, 0]
  MONTHS.forEach((beginnings, i) => {
    for (const beginning of beginnings) {
      if (word.startsWith(beginning) && beginning.length > longest) [month, longest] = [i + 1, beginning.length]
    }
  })
  return month
}
