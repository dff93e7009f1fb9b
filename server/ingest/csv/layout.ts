/** From the head of a file to a first understanding, still without the facts that only the whole file tells. */
import { createHash } from 'node:crypto'
import { MISSING_TEXTS } from './cellValue.ts'
import type { Head } from './head.ts'
import { columnsOf } from './roles.ts'
import { findTable, type Table } from './table.ts'
import { type ColumnKind, columnKinds, findTimeColumns, type TimeColumns } from './timeColumns.ts'
import { FileTrouble } from './trouble.ts'
import { asTypicalYear } from './typicalYear.ts'
import type { Answers, Column, ColumnRole, DecimalMark, Understanding } from './understanding.ts'

export interface Layout {
  table: Table
  kinds: ColumnKind[]
  time: TimeColumns
  columns: Column[]
  decimalMark: DecimalMark
  decimalMarkSure: boolean
  typicalYear: boolean
  /** Fixed offset a typical-year file states in its station line. */
  stationZone: string | null
}

/** @throws FileTrouble when there is no table or no time in it */
export function layoutOf(name: string, head: Head, answers: Answers): Layout {
  const found = findTable(head.lines)
  if (!found) {
    throw new FileTrouble(
      'NO_ROWS',
      `${name} has no rows with a time and a number.`,
      'Export the readings as a table: one row a reading, with its date and time.',
    )
  }
  const typical = asTypicalYear(head.lines, found)
  const table = typical?.table ?? found
  const kinds = columnKinds(table)
  const time = timeFromAnswers(table, kinds, answers) ?? findTimeColumns(table, kinds)
  if (!time) {
    throw new FileTrouble(
      'NO_TIME',
      `${name} has no column that can be read as a date and time.`,
      'Export the readings with their date and time, or say which column holds them.',
    )
  }
  const columns = columnsOf(table, kinds, time, answers)
  for (const [index, unit] of typical?.units ?? []) {
    const column = columns[index]
    if (column?.role === 'quantity' && !column.unit) Object.assign(column, { unit, unitFrom: 'standard' })
  }
  const marks = decimalMarks(kinds)
  return {
    table,
    kinds,
    time,
    columns,
    decimalMark: answers.decimalMark ?? marks.mark,
    decimalMarkSure: answers.decimalMark !== undefined || marks.sure,
    typicalYear: typical !== null,
    stationZone: typical?.zone ?? null,
  }
}

/** Roles a person gave count over what the cells look like. */
function timeFromAnswers(table: Table, kinds: readonly ColumnKind[], answers: Answers): TimeColumns | null {
  const roles = Object.entries(answers.columnRoles ?? {}).filter(([, answer]) => TIME.has(answer.role))
  if (roles.length === 0) return null
  const keys = table.names.map((name, index) => (name === '' ? `column ${index + 1}` : name))
  const blanked = {
    ...table,
    names: table.names.map((name, i) => (roles.some(([key]) => key === keys[i]) ? name : '')),
  }
  const only = kinds.map((kind, i) => (roles.some(([key]) => key === keys[i]) ? kind : { ...kind, share: 0 }))
  const found = findTimeColumns(blanked, only)
  if (found) return found
  const given = new Map<number, ColumnRole>()
  for (const [key, answer] of roles) given.set(keys.indexOf(key), answer.role)
  given.delete(-1)
  return given.size === 0
    ? null
    : { roles: given, form: 'text', prefixDigits: 0, zone: null, offsetInText: false, dateOnly: false }
}

const TIME = new Set<string>(['time', 'date', 'clock', 'year', 'month', 'day', 'hour', 'minute'])

function decimalMarks(kinds: readonly ColumnKind[]): { mark: DecimalMark; sure: boolean } {
  const commas = kinds.filter((kind) => kind.kind === 'commaNumber')
  const points = kinds.filter((kind) => kind.kind === 'number' && kind.texts.some((text) => /\d\.\d/.test(text)))
  return { mark: commas.length > points.length ? ',' : '.', sure: commas.length === 0 || points.length === 0 }
}

/** The layout without any value, so that the same export of another month has the same key. */
export function shapeKeyOf(head: Head, layout: Layout): string {
  const { table, kinds, time } = layout
  const form = {
    delimiter: table.delimiter,
    names: table.names,
    preamble: table.preamble.map((cells) => cells.length),
    kinds:
      table.headerLine === null
        ? kinds.map((kind) => (kind.share >= 0.8 ? kind.kind.replace('integer', 'number') : 'mixed'))
        : [],
    time: [time.form, ...time.roles.values()],
    decimalMark: layout.decimalMark,
    encoding: head.encoding.startsWith('utf-16') ? 'utf-16' : 'bytes',
  }
  return createHash('sha256').update(JSON.stringify(form)).digest('hex').slice(0, 24)
}

/** Numbers declared as "no value" above the table: a line that says missing, invalid or no data. */
export function declaredMissing(table: Table): { texts: string[]; numbers: number[] } {
  const texts: string[] = []
  const numbers: number[] = []
  for (const cells of table.preamble) {
    if (!/missing|no.?data|nodata|invalid|fill.?value|fehlwert|manquant/i.test(cells.join(' '))) continue
    for (const cell of cells) {
      const last = cell.split(/[\s:=]+/).at(-1) ?? ''
      if (/^-?\d+(\.\d+)?$/.test(last)) numbers.push(Number(last))
      else if (/^[a-z#*/-]{1,6}$/i.test(cell) && cell.length > 1) texts.push(cell.toLowerCase())
    }
  }
  return { texts: [...new Set([...MISSING_TEXTS, ...texts])], numbers: [...new Set(numbers)] }
}

export function draftOf(head: Head, layout: Layout, answers: Answers): Understanding {
  const { table, time } = layout
  const missing = declaredMissing(table)
  const quantities = layout.columns.filter((column) => column.role === 'quantity')
  const sumsOnly =
    quantities.length > 0 && quantities.every((c) => c.quantity === 'rainMm' || c.quantity === 'condensateL')
  const wide = new Set(quantities.map((column) => column.probeKey)).size > 1
  const long = layout.columns.some((column) => column.role === 'probe') || time.prefixDigits > 0
  return {
    encoding: head.encoding,
    bomBytes: head.bomBytes,
    gzip: head.gzip,
    delimiter: table.delimiter,
    lineEnd: head.lineEnd,
    decimalMark: layout.decimalMark,
    headerLine: table.headerLine,
    preambleLines: (table.headerLine ?? table.firstRowLine) - 1,
    firstRowLine: table.firstRowLine,
    columns: layout.columns,
    shape: wide ? 'wide' : long ? 'long' : 'one probe',
    time: {
      form: time.form,
      dateOrder: 'ymd',
      clock12h: false,
      prefixDigits: time.prefixDigits,
      zone: 'UTC',
      dateOnly: time.dateOnly ? (sumsOnly ? 'dayEnd' : 'noon') : null,
      shiftMs: 0,
      rowStepMs: 0,
    },
    timeZoneBasis: 'house zone',
    missingTexts: missing.texts,
    missingNumbers: [...missing.numbers, ...(answers.missingMarkers ?? [])],
    keptKinds: answers.rowKinds ?? [],
    typicalYear: layout.typicalYear,
    typicalYearAs: answers.typicalYear ?? null,
    rows: 0,
    emptyRows: 0,
    refusedRows: 0,
    firstAt: Number.NaN,
    lastAt: Number.NaN,
    stepMs: null,
    probes: [],
    shapeKey: shapeKeyOf(head, layout),
    sentences: [],
  }
}
