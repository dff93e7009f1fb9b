/** What a cell of the head looks like, by itself. */
import { MISSING_TEXTS } from './cellValue.ts'

export type CellKind =
  | 'empty'
  | 'missing'
  | 'stamp'
  | 'date'
  | 'clock'
  | 'epochS'
  | 'epochMs'
  | 'gluedDate'
  | 'gluedStamp'
  | 'prefixedStamp'
  | 'integer'
  | 'number'
  | 'commaNumber'
  | 'text'

const MONTH_WORD = '[\\p{L}]{3,10}\\.?'
const DATE = `(?:\\d{4}[-/.]\\d{1,2}[-/.]\\d{1,2}|\\d{1,2}[-/.]\\d{1,2}[-/.](?:\\d{4}|\\d{2})|\\d{1,2}[-\\s./]+${MONTH_WORD}[-\\s./,]+\\d{2,4}|${MONTH_WORD}\\s+\\d{1,2},?\\s+\\d{4}|\\d{4}[-\\s]${MONTH_WORD}[-\\s]\\d{1,2})`
const ZONE = '(?:\\s*(?:z|utc|gmt|[ecmp][sd]t|cest?|mesz?|[+-]\\d{1,2}(?::?\\d\\d)?))?'
const CLOCK = `(?:\\d{1,2}(?::\\d{2}){1,2}(?:[.,]\\d+)?|\\d{1,2}\\.\\d{2}\\.\\d{2}|\\d{1,2}(?:[:.]\\d{2})?(?=\\s*[ap]\\.?m))(?:\\s*[ap]\\.?m\\.?)?${ZONE}`
const WEEKDAY = '(?:(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*,?\\s+)?'
const DATE_ONLY = new RegExp(`^${WEEKDAY}${DATE}$`, 'iu')
const CLOCK_ONLY = new RegExp(`^${CLOCK}$`, 'iu')
const STAMP = new RegExp(`^${WEEKDAY}${DATE}(?:\\s*T\\s*|[\\s,]+)(?:${CLOCK}|\\d{4,6}${ZONE})$`, 'iu')
const YMD = '(?:19|20)\\d\\d(?:0[1-9]|1[0-2])(?:0[1-9]|[12]\\d|3[01])'
const HHMM = '(?:[01]\\d|2[0-4])[0-5]\\d'
const GLUED_DATE = new RegExp(`^${YMD}$`)
const GLUED_STAMP = new RegExp(`^${YMD}[T_ -]?${HHMM}(?:[0-5]\\d)?Z?$`)
const PREFIXED_STAMP = new RegExp(`^(\\d{1,4})${YMD}${HHMM}$`)
const NUMBER_TAIL = '(?:\\s*(?:°|º|deg|%|[a-z]{1,4}).{0,3})?'
const NUMBER = new RegExp(`^[+-]?(?:\\d+\\.?\\d*|\\.\\d+)(?:e[+-]?\\d+)?${NUMBER_TAIL}$`, 'i')
const COMMA_NUMBER = new RegExp(`^[+-]?\\d*,\\d+(?:e[+-]?\\d+)?${NUMBER_TAIL}$`, 'i')
const MISSING = new Set(MISSING_TEXTS)

export function cellKind(cell: string): CellKind {
  const text = cell.trim()
  if (text === '') return 'empty'
  if (MISSING.has(text.toLowerCase())) return 'missing'
  if (/^[+-]?\d+$/.test(text)) {
    if (GLUED_DATE.test(text)) return 'gluedDate'
    if (GLUED_STAMP.test(text)) return 'gluedStamp'
    if (PREFIXED_STAMP.test(text)) return 'prefixedStamp'
    if (/^[12]\d{9}$/.test(text)) return 'epochS'
    if (/^[12]\d{12}$/.test(text)) return 'epochMs'
    return 'integer'
  }
  if (GLUED_STAMP.test(text)) return 'gluedStamp'
  if (STAMP.test(text)) return 'stamp'
  if (DATE_ONLY.test(text)) return 'date'
  if (CLOCK_ONLY.test(text)) return 'clock'
  if (/^[12]\d{9}\.\d+$/.test(text)) return 'epochS'
  if (NUMBER.test(text)) return 'number'
  if (COMMA_NUMBER.test(text)) return 'commaNumber'
  return 'text'
}

export const isNumeric = (kind: CellKind): boolean =>
  kind === 'integer' || kind === 'number' || kind === 'commaNumber' || kind === 'gluedDate'

export const isTimeLike = (kind: CellKind): boolean =>
  kind === 'stamp' ||
  kind === 'date' ||
  kind.startsWith('epoch') ||
  kind.startsWith('glued') ||
  kind === 'prefixedStamp'

/** Digits before the date in a cell such as `07201607061800`. */
export const prefixDigitsOf = (cell: string): number => PREFIXED_STAMP.exec(cell.trim())?.[1]?.length ?? 0
