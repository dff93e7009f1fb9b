/** Finds the table in the head of a file: delimiter, preamble, header, first row. */
import { cellKind, isNumeric, isTimeLike } from './cellKind.ts'
import { cellsOfLines } from './cells.ts'
import type { Delimiter } from './understanding.ts'
import { unitNamed } from './units.ts'

export interface Table {
  delimiter: Delimiter
  /** Lines from 1; null where there is no header. */
  headerLine: number | null
  firstRowLine: number
  /** One name a cell of the rows, '' where the header has none. */
  names: string[]
  preamble: string[][]
  rows: { line: number; cells: string[] }[]
}

/** Where two delimiters split equally evenly, the one that is less likely to stand inside a cell. */
const CANDIDATES: readonly Delimiter[] = ['\t', ';', '|', ',', ' ']
/** Preambles of a hundred lines exist. */
const TRIAL_LINES = 300
/** Two months of hours, so that a year that changes with the month is seen. */
const SAMPLE_LINES = 1500

/** null where no two lines look like rows of one table. */
export function findTable(lines: readonly string[]): Table | null {
  let best: { delimiter: Delimiter; score: number } | null = null
  for (const delimiter of CANDIDATES) {
    const table = tableWith(delimiter, lines.slice(0, TRIAL_LINES))
    const score = (table?.rows.length ?? 0) / Math.min(lines.length, TRIAL_LINES)
    // A later candidate must be clearly better: it is the one more likely to be part of the cells.
    if (score > (best ? best.score * 1.2 + 0.01 : 0)) best = { delimiter, score }
  }
  return best && tableWith(best.delimiter, lines.slice(0, SAMPLE_LINES))
}

function tableWith(delimiter: Delimiter, lines: readonly string[]): Table | null {
  const split = cellsOfLines(lines, delimiter)
  const rowLike = split.map(looksLikeRow)
  const width = rowWidth(split, rowLike)
  return width < 2 ? null : tableOf(delimiter, split, rowLike, width)
}

/** Cell count of most lines that look like rows. */
function rowWidth(split: readonly string[][], rowLike: readonly boolean[]): number {
  const widths = new Map<number, number>()
  split.forEach((cells, i) => {
    if (rowLike[i]) widths.set(cells.length, (widths.get(cells.length) ?? 0) + 1)
  })
  let [width, most] = [0, 0]
  for (const [cells, lines] of widths) if (lines > most) [width, most] = [cells, lines]
  return width
}

/** A time beside a number, or mostly numbers. */
function looksLikeRow(cells: readonly string[]): boolean {
  if (cells.length < 2) return false
  let [filled, times, numbers] = [0, 0, 0]
  for (const cell of cells) {
    const kind = cellKind(cell)
    if (kind === 'empty') continue
    filled++
    if (kind === 'missing' || isNumeric(kind)) numbers++
    if (isTimeLike(kind)) times++
  }
  return (times > 0 && numbers > 0) || (filled >= 3 && numbers >= filled * 0.6)
}

function tableOf(
  delimiter: Delimiter,
  split: readonly string[][],
  rowLike: readonly boolean[],
  width: number,
): Table | null {
  const first = split.findIndex((cells, i) => cells.length === width && rowLike[i])
  if (first < 0) return null
  const rows: Table['rows'] = []
  split.forEach((cells, i) => {
    if (i >= first && rowLike[i]) rows.push({ line: i + 1, cells })
  })
  const header = headerAbove(split, first, width)
  const names = header ? header.names : Array.from({ length: width }, () => '')
  const preambleEnd = header ? header.line - 1 : first
  return {
    delimiter,
    headerLine: header?.line ?? null,
    firstRowLine: first + 1,
    names: alignNames(names, rows, width),
    preamble: split.slice(0, preambleEnd).filter((cells) => cells.length > 0),
    rows,
  }
}

/** The nearest line above the rows that has words for most cells; a line of units below it is joined on. */
function headerAbove(
  split: readonly string[][],
  first: number,
  width: number,
): { line: number; names: string[] } | null {
  let at = first - 1
  while (at >= 0 && split[at]!.length === 0) at--
  if (at < 0) return null
  const line = cleanHeader(split[at]!)
  if (isUnitLine(line) && at > 0) {
    const above = cleanHeader(split[at - 1]!)
    if (isHeader(above, width)) {
      return {
        line: at,
        names: above.map((name, i) => (line[i] && unitNamed(line[i]!) ? `${name} [${line[i]}]` : name)),
      }
    }
  }
  return isHeader(line, width) ? { line: at + 1, names: line } : null
}

function isHeader(cells: readonly string[], width: number): boolean {
  if (cells.length < 2 || cells.length < width - 1 - Math.floor(width * 0.3)) return false
  const filled = cells.filter((cell) => cell !== '')
  const words = filled.filter((cell) => cellKind(cell) === 'text' || /[a-z]/i.test(cell))
  return filled.length >= 2 && words.length >= filled.length * 0.6
}

const isUnitLine = (cells: readonly string[]): boolean => {
  const filled = cells.filter((cell) => cell !== '' && !/^[ymdhs:./\s-]+$/i.test(cell))
  return filled.length > 0 && filled.every((cell) => unitNamed(cell.replaceAll(/[[\]()]/g, '')) !== null)
}

/** `#` before the header and `1:` before its words are numbering, not names. */
function cleanHeader(cells: readonly string[]): string[] {
  const names = cells.map((cell) => cell.trim())
  if (names[0] === '#') names.shift()
  else if (names[0]?.startsWith('#')) names[0] = names[0].slice(1).trim()
  const numbered = names.filter((name) => /^\d+:/.test(name)).length > names.length / 2
  return numbered ? names.map((name) => name.replace(/^\d+:/, '')) : names
}

/**
 * One name a cell. A header one name shorter than the rows has left out the name of a row number in front, when its
 * names fit the cells better shifted by one: that is how some statistics programs write tables.
 */
function alignNames(names: readonly string[], rows: Table['rows'], width: number): string[] {
  const trimmed = [...names]
  while (trimmed.length > width && trimmed.at(-1) === '') trimmed.pop()
  if (trimmed.length === width - 1 && rows[0]) {
    const timeAt = rows[0].cells.findIndex((cell) => isTimeLike(cellKind(cell)))
    const named = trimmed.findIndex((name) => /date|time|stamp|datum|zeit|fecha|heure|data|ora|tijd|aika/i.test(name))
    if (timeAt > 0 && named === timeAt - 1) trimmed.unshift('')
  }
  while (trimmed.length < width) trimmed.push('')
  return trimmed
}
