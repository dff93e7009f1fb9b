/**
 * What the importer hands around: what it understood of a file, what it has to ask, and the typed rows.
 * All of it except `Source` and the batches is plain JSON, so it can be shown, stored with a job and sent back.
 */
import type { Quantity } from '../../series/quantities.ts'

/** A file that can be opened more than once: looking reads it before anything is stored, reading reads it again. */
export interface Source {
  name: string
  /** A `node:stream` Readable is an AsyncIterable and fits. Each call starts at the first byte. */
  open(): AsyncIterable<Uint8Array>
  /** Bytes as stored (zipped size for gzip); used for progress and to refuse early. */
  sizeBytes?: number
}

export interface LookContext {
  /** IANA zone of the house: local times that name no zone are read in it. */
  timeZone: string
  /** UTC epoch ms; readings later than this are warned about. */
  now: number
  /** The firm's answers for this layout, by question key. */
  answers?: Answers
  /** Largest file as stored, bytes. Default 200 MB. */
  maxBytes?: number
  /** Largest file after unzipping, bytes. Default 1 GB. */
  maxUnzippedBytes?: number
  signal?: AbortSignal
}

export type DateOrder = 'ymd' | 'dmy' | 'mdy'
export type DecimalMark = '.' | ','
export type Delimiter = ',' | ';' | '\t' | '|' | ' '
export type Encoding = 'utf-8' | 'utf-16le' | 'utf-16be' | 'windows-1252'

/** Everything a column can be measured in; `UNITS` in units.ts says how each becomes a stored quantity. */
export type Unit =
  | '°C'
  | '°F'
  | 'K'
  | '%'
  | 'fraction'
  | 'mm'
  | '0.1 mm'
  | 'cm'
  | 'in'
  | 'Pa'
  | 'hPa'
  | 'kPa'
  | 'mmHg'
  | 'inHg'
  | 'W'
  | 'kW'
  | 'L'
  | 'mL'
  | 'gal'
  | 'pt'
  | 'V'
  | 'mV'
  | '0 or 1'

/** A stored quantity, or one that becomes RH together with the temperature of the same probe. */
export type ColumnQuantity = Quantity | 'dewPointC' | 'vaporPressurePa'

export type ColumnRole =
  | 'time'
  | 'date'
  | 'clock'
  | 'year'
  | 'month'
  | 'day'
  | 'hour'
  | 'minute'
  | 'second'
  | 'offset'
  | 'probe'
  | 'kind'
  | 'quantity'
  | 'ignored'

export interface Column {
  /** Position in the row, from 0. */
  index: number
  /** Unique handle for answers: the header's words, or `column 5` where there is no header (counted from 1). */
  key: string
  /** The header's words as they stand in the file, '' where there are none. */
  name: string
  role: ColumnRole
  quantity?: ColumnQuantity
  unit?: Unit
  /** Where the unit comes from: in the header, declared above it, in the cells, worked out, answered. */
  unitFrom?: 'header' | 'preamble' | 'cells' | 'values' | 'answer' | 'standard'
  probeKey?: string
  /** In words: why it is read so, or why it is left out. */
  because: string
}

/** What a person may decide; every member is optional and counts over what was worked out. */
export interface Answers {
  dateOrder?: DateOrder
  /** `house`, `UTC`, a fixed offset such as `-05:00`, or an IANA zone. */
  timeZone?: string
  decimalMark?: DecimalMark
  /** Unit by column key. */
  columnUnits?: Record<string, Unit>
  /** Role by column key. */
  columnRoles?: Record<string, ColumnAnswer>
  /** Extra numbers that mean "no value". */
  missingMarkers?: number[]
  /** Which kinds of row to keep, of the column with the role `kind`; an empty list keeps all. */
  rowKinds?: string[]
  /** Whether the time on a rain-only row is the end or the start of the span it sums. */
  sumsMark?: 'end' | 'start'
  /** A typical year (years changing by month) is read only when the year to put it in is given. */
  typicalYear?: number
}

export type ColumnAnswer =
  | { role: Exclude<ColumnRole, 'quantity'> }
  | { role: 'quantity'; quantity: ColumnQuantity; unit?: Unit; probeKey?: string }

export type TimeZoneBasis = 'offset in text' | 'UTC' | 'house zone' | 'fixed offset' | 'named zone' | 'asked'

/** How the time of a row is made of its cells. */
export interface TimeReading {
  /** text: a stamp or date (+ clock) in digits or month names; glued: yyyymmdd[HHMM[SS]]; parts: one column each. */
  form: 'text' | 'glued' | 'parts' | 'epochS' | 'epochMs'
  dateOrder: DateOrder
  clock12h: boolean
  /** Digits glued before the date that name the unit (0: none). */
  prefixDigits: number
  /** The zone wall-clock times are read in: `UTC`, a fixed offset such as `-05:00`, or an IANA zone. */
  zone: string
  /** Dates without a clock: sums belong to the end of the local day, instants to its noon. */
  dateOnly: 'dayEnd' | 'noon' | null
  /** Added to every instant: one step where the time marks the start of the summed span. */
  shiftMs: number
  /** Usual step between rows of a probe, ms, negative where the newest row comes first; 0 unknown. Settles repeated hours. */
  rowStepMs: number
}

export interface QuantityFound {
  quantity: Quantity
  /** Readings of this quantity that will be stored. */
  count: number
  /** Smallest and largest in the stored unit. */
  min: number
  max: number
  sum: number
}

export interface ProbeFound {
  probeKey: string
  /** Rows that carry at least one value for this probe. */
  rows: number
  firstAt: number
  lastAt: number
  /** Most common step between its rows, ms; null with fewer than three rows. */
  stepMs: number | null
  quantities: QuantityFound[]
}

export interface Understanding {
  encoding: Encoding
  bomBytes: number
  gzip: boolean
  /** ' ' stands for runs of blanks (also fixed width). */
  delimiter: Delimiter
  /** Byte that ends a line: 10, or 13 in files of old machines. */
  lineEnd: 10 | 13
  decimalMark: DecimalMark
  /** Line number from 1; null where the file has no header. */
  headerLine: number | null
  /** Lines above the header (or above the first row). */
  preambleLines: number
  firstRowLine: number
  columns: Column[]
  shape: 'one probe' | 'wide' | 'long'
  time: TimeReading
  timeZoneBasis: TimeZoneBasis
  /** Texts and numbers read as "no value". */
  missingTexts: string[]
  missingNumbers: number[]
  /** Kinds of row that are kept, of the column with the role `kind`; empty keeps all. */
  keptKinds: string[]
  /** A typical year: months from different years. `typicalYear` in the answers is the year rows are put in. */
  typicalYear: boolean
  typicalYearAs: number | null
  /** Lines that carry a time, whether or not they carry a value. */
  rows: number
  /** Rows with a time but no value at all. */
  emptyRows: number
  refusedRows: number
  firstAt: number
  lastAt: number
  stepMs: number | null
  probes: ProbeFound[]
  /** Hash of the layout (header words, delimiter, form of preamble and time; no values): answers are kept under it. */
  shapeKey: string
  /** What was understood, for a person. */
  sentences: string[]
}

export interface Choice {
  /** Goes into the answers as is. */
  value: string
  label: string
  /** What the file's first rows mean if this is chosen. */
  examples: string[]
}

export interface Question {
  key:
    | 'dateOrder'
    | 'timeZone'
    | 'columnUnits'
    | 'columnRoles'
    | 'decimalMark'
    | 'rowKinds'
    | 'sumsMark'
    | 'typicalYear'
  /** Column key, for columnUnits and rowKinds. */
  column?: string
  /** All columns that one answer is for, where several are in the same case. */
  columns?: string[]
  why: string
  choices: Choice[]
  /** What is taken when nobody answers; null: nothing may be stored before it is answered. */
  assumed: string | null
}

export interface Warning {
  code:
    | 'unitUnlikely'
    | 'fractionRh'
    | 'rainTotal'
    | 'outOfClimate'
    | 'allEqual'
    | 'stuck'
    | 'future'
    | 'clockJump'
    | 'duplicates'
    | 'clamped'
    | 'refused'
    | 'suspect'
    | 'trace'
    | 'repeatedHour'
    | 'missingHour'
    | 'clockIgnoresDst'
    | 'noValues'
    | 'probesDiffer'
  /** A sentence: what, where, and what to do. */
  message: string
  column?: string
  probeKey?: string
  count?: number
}

export interface Refusal {
  code:
    | 'EMPTY'
    | 'BINARY'
    | 'TOO_LARGE'
    | 'UNZIPS_TOO_LARGE'
    | 'BAD_GZIP'
    | 'TRUNCATED_GZIP'
    | 'NO_TIME'
    | 'NO_QUANTITY'
    | 'NO_ROWS'
    | 'LINE_TOO_LONG'
    | 'BAD_ANSWER'
  message: string
  hint: string
}

export interface PreviewRow {
  line: number
  text: string
  /** What the row becomes; null values are missing. */
  readings: { probeKey: string; at: number; values: Partial<Record<Quantity, number>> }[]
}

export type Look =
  | {
      ok: true
      understanding: Understanding
      questions: Question[]
      warnings: Warning[]
      preview: PreviewRow[]
      /** The first refused lines, to show beside the preview. */
      refused: RefusedLine[]
      /** True when every question has an answer or an assumption: `readRows` may be called. */
      ready: boolean
    }
  | { ok: false; refusal: Refusal }

/** Up to 1,000 rows of one probe in file order. Arrays are exactly `at.length` long and belong to the receiver. */
export interface ReadingsBatch {
  kind: 'readings'
  probeKey: string
  /** UTC epoch ms, in the order of the file (not always ascending). */
  at: Float64Array
  /** One array a quantity in the stored unit, NaN where missing; every row carries at least one value. */
  columns: Partial<Record<Quantity, Float64Array>>
  /** Line of each row in the file, from 1. */
  lines: Uint32Array
}

export interface RefusedLine {
  line: number
  /** The quantity that was refused; absent when the whole row was. */
  quantity?: Quantity
  probeKey?: string
  reason: string
  fix: string
  /** The line as it stands, cut to 200 characters. */
  text: string
}

export interface RefusedBatch {
  kind: 'refused'
  lines: RefusedLine[]
}

export type Batch = ReadingsBatch | RefusedBatch

export interface ReadOptions {
  signal?: AbortSignal
  /** Called about once a chunk with bytes read as stored (zipped for gzip). */
  onProgress?: (bytesRead: number) => void
  maxBytes?: number
  maxUnzippedBytes?: number
}

/** Returned when the last batch has been taken. */
export interface ReadSummary {
  rows: number
  emptyRows: number
  /** Refused entries given out: whole rows and single quantities. */
  refused: number
  refusedRows: number
  clamped: number
  /** Lines that are no rows: repeated headers, notes, blank lines, kinds left out. */
  skippedLines: number
  /** Set when the file broke off (truncated gzip, over the limit): what came before was given out. */
  brokeOff: Refusal | null
}
