/** Lines and cells as byte positions, so that a row costs no strings. A quoted cell never spans lines. */
import { FileTrouble } from './trouble.ts'
import type { Delimiter } from './understanding.ts'

const LF = 10
const [CR, BLANK, TAB, QUOTE] = [13, 32, 9, 34]
/** Longer lines are no table; without a limit a file without line ends would be held in memory whole. */
export const MAX_LINE_BYTES = 1_000_000
const MAX_CELLS = 4096

/** The cells of the line at hand: bytes `from[i]` to `to[i]` of `bytes`, blanks and quotes around them left out. */
export interface Row {
  bytes: Buffer
  /** Line number from 1. */
  line: number
  start: number
  end: number
  count: number
  from: Int32Array
  to: Int32Array
}

export interface CellScanner {
  /** Calls `onRow` for each whole line in the bytes so far. The row is reused: copy what is kept. */
  push(chunk: Buffer): void
  /** The last line, when it has no line end. */
  end(): void
}

/**
 * Splits lines at LF, CR LF, or CR alone (`lineEnd` 13), and cells at the delimiter.
 *
 * @param maxCells cells wanted; what follows in a line is not split
 */
export function createCellScanner(
  delimiter: Delimiter,
  lineEnd: 10 | 13,
  maxCells: number,
  onRow: (row: Row) => void,
): CellScanner {
  const wanted = Math.min(maxCells, MAX_CELLS)
  const row: Row = {
    bytes: Buffer.alloc(0),
    line: 0,
    start: 0,
    end: 0,
    count: 0,
    from: new Int32Array(wanted + 1),
    to: new Int32Array(wanted + 1),
  }
  const split = delimiter === ' ' ? splitAtBlanks : splitAt(delimiter.charCodeAt(0))
  let carry: Buffer | null = null

  /** Every byte up to and with the last line end; `to` lies just behind a line end. */
  const scan = (bytes: Buffer, to: number) => {
    row.bytes = bytes
    let at = 0
    while (at < to) {
      const next = bytes.indexOf(lineEnd, at)
      row.line++
      row.start = at
      row.end = lineEnd === LF && next > at && bytes[next - 1] === CR ? next - 1 : next
      split(row, wanted)
      onRow(row)
      at = next + 1
    }
  }

  return {
    push(chunk) {
      const bytes: Buffer = carry ? Buffer.concat([carry, chunk]) : chunk
      const whole = bytes.lastIndexOf(lineEnd) + 1
      if (bytes.length - whole > MAX_LINE_BYTES) throw lineTooLong(row.line + 1)
      scan(bytes, whole)
      carry = whole < bytes.length ? bytes.subarray(whole) : null
    },
    end() {
      if (!carry) return
      const last: Buffer = Buffer.concat([carry, Buffer.from([lineEnd])])
      carry = null
      scan(last, last.length)
    },
  }
}

const lineTooLong = (line: number) =>
  new FileTrouble(
    'LINE_TOO_LONG',
    `Line ${line} is longer than ${MAX_LINE_BYTES.toLocaleString('en-US')} characters.`,
    'Export the readings as text with one row a line.',
  )

const splitAt = (delimiter: number) => (row: Row, wanted: number) => {
  const { bytes, from, to, end } = row
  let at = row.start
  let count = 0
  for (;;) {
    while (at < end && bytes[at] === BLANK) at++
    if (at < end && bytes[at] === QUOTE) {
      const open = ++at
      while (at < end && (bytes[at] !== QUOTE || bytes[at + 1] === QUOTE)) at += bytes[at] === QUOTE ? 2 : 1
      let [first, last] = [open, Math.min(at, end)]
      while (first < last && bytes[first] === BLANK) first++
      while (last > first && bytes[last - 1]! <= BLANK) last--
      from[count] = first
      to[count] = last
      while (at < end && bytes[at] !== delimiter) at++
    } else {
      from[count] = at
      while (at < end && bytes[at] !== delimiter) at++
      let last = at
      while (last > from[count]! && (bytes[last - 1] === BLANK || bytes[last - 1] === TAB)) last--
      to[count] = last
    }
    count++
    if (at >= end || count >= wanted) break
    at++
  }
  row.count = count
}

const splitAtBlanks = (row: Row, wanted: number) => {
  const { bytes, from, to, end } = row
  let at = row.start
  let count = 0
  while (count < wanted) {
    while (at < end && (bytes[at] === BLANK || bytes[at] === TAB)) at++
    if (at >= end) break
    if (bytes[at] === QUOTE) {
      from[count] = ++at
      while (at < end && bytes[at] !== QUOTE) at++
      to[count++] = at++
      continue
    }
    from[count] = at
    while (at < end && bytes[at] !== BLANK && bytes[at] !== TAB) at++
    to[count++] = at
  }
  row.count = count
}

/** The same split for lines of text, for the head of the file where speed matters less. A blank line has no cells. */
export function cellsOfLines(lines: readonly string[], delimiter: Delimiter): string[][] {
  const split: string[][] = []
  const scanner = createCellScanner(delimiter, LF, MAX_CELLS, (row) => {
    const cells: string[] = []
    for (let i = 0; i < row.count; i++) cells.push(row.bytes.toString('utf8', row.from[i], row.to[i]))
    split.push(cells.length === 1 && cells[0] === '' ? [] : cells)
  })
  scanner.push(Buffer.from(`${lines.map((line) => (line.trim() === '' ? '' : line)).join('\n')}\n`))
  return split
}
