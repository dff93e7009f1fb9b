/** From lines to batches of typed readings, one synchronous pass; look.ts runs it dry, rows.ts for good. */
import { vaporPressurePa } from '../../physics/air.ts'
import type { Quantity } from '../../series/quantities.ts'
import { createCellScanner, type Row } from './cells.ts'
import { type CellReader, createCellReader } from './cellValue.ts'
import { createInstantReader, type InstantReader } from './instants.ts'
import type { Batch, ReadSummary, RefusedLine, Understanding } from './understanding.ts'

const BATCH_ROWS = 1000
const REFUSED_PER_BATCH = 200
const MAX_PROBES = 1000
const MAX_TEXT = 200

export interface RowReader {
  push(chunk: Buffer): void
  /** After the last chunk: reads a last line without line end and hands over what is left. */
  end(): void
  /** Full batches since the last call. */
  takeBatches(): Batch[]
  summary: ReadSummary
  cells: readonly CellReader[]
  instants: InstantReader
  /** Earliest and latest time of any row, with or without a value. */
  span: { firstAt: number; lastAt: number }
}

/** The cells of one probe in a row (a wide file has several such groups), and where each value goes. */
interface Group {
  probeKey: string | null
  quantities: Quantity[]
  cells: { reader: CellReader; slot: number }[]
  tempSlot: number
  rhSlot: number
  /** Reads dew point or vapor pressure when the group has no RH of its own. */
  humidity: CellReader | null
  values: Float64Array
}

/** Rows of one probe that wait for their batch. */
interface Writer {
  probeKey: string
  group: Group
  count: number
  at: Float64Array
  lines: Uint32Array
  columns: Float64Array[]
  previousAt: number
}

export function createRowReader(understanding: Understanding): RowReader {
  const { columns, time } = understanding
  const instants = createInstantReader(columns, time, understanding.typicalYear ? understanding.typicalYearAs : null)
  const groups = groupsOf(understanding)
  const probeAt = columns.find((column) => column.role === 'probe')?.index ?? -1
  const kindAt = columns.find((column) => column.role === 'kind')?.index ?? -1
  const kept = new Set(understanding.keptKinds)
  const timeColumn = columns.find((column) => TIME_ROLES.has(column.role))
  const summary: ReadSummary = {
    rows: 0,
    emptyRows: 0,
    refused: 0,
    refusedRows: 0,
    clamped: 0,
    skippedLines: 0,
    brokeOff: null,
  }
  const writers = new Map<string, Writer>()
  let batches: Batch[] = []
  let refused: RefusedLine[] = []
  const usedCells = 1 + Math.max(...columns.filter((c) => c.role !== 'ignored').map((c) => c.index))
  const scanner = createCellScanner(understanding.delimiter, understanding.lineEnd, usedCells, onRow)
  const stampAt = timeColumn?.index ?? 0
  let lastAt = Number.NaN
  const span = { firstAt: Infinity, lastAt: -Infinity }

  function onRow(row: Row): void {
    if (row.line < understanding.firstRowLine) return
    if (row.end === row.start) {
      summary.skippedLines++
      return
    }
    if (kindAt >= 0 && kept.size > 0 && !kept.has(textOf(row, kindAt))) {
      summary.skippedLines++
      return
    }
    const prefix =
      time.prefixDigits > 0
        ? row.bytes.toString('latin1', row.from[stampAt], row.from[stampAt]! + time.prefixDigits)
        : ''
    const long = probeAt >= 0 ? textOf(row, probeAt) : prefix
    const first = groups.length === 1 ? writerOf(groups[0]!, long) : null
    const previousAt = first ? first.previousAt : lastAt
    const at = instants.read(row, previousAt, time.rowStepMs)
    if (Number.isNaN(at)) {
      refuseTime(row)
      return
    }
    summary.rows++
    lastAt = at
    if (at < span.firstAt) span.firstAt = at
    if (at > span.lastAt) span.lastAt = at
    let any = false
    for (let g = 0; g < groups.length; g++) {
      const group = groups[g]!
      if (!readGroup(group, row)) continue
      const writer = first ?? writerOf(group, long)
      if (!writer) return
      any = true
      append(writer, at, row.line)
    }
    if (first) first.previousAt = at
    if (!any) summary.emptyRows++
  }

  /** Fills `group.values`; true when at least one value is there. */
  function readGroup(group: Group, row: Row): boolean {
    const { values, cells } = group
    let any = false
    for (let i = 0; i < cells.length; i++) {
      const { reader, slot } = cells[i]!
      const value = reader.read(row)
      values[slot] = value
      if (!Number.isNaN(value)) any = true
      else if (reader.problem) refuseCell(row, reader, group)
    }
    if (group.humidity) {
      const humidity = group.humidity.read(row)
      const tempC = values[group.tempSlot]!
      values[group.rhSlot] = Number.NaN
      if (group.humidity.problem) refuseCell(row, group.humidity, group)
      else if (!Number.isNaN(humidity) && !Number.isNaN(tempC)) {
        const rhPct = rhFrom(group.humidity.quantity, humidity, tempC)
        if (rhPct >= 0 && rhPct <= 105) values[group.rhSlot] = Math.min(100, rhPct)
        else if (!Number.isNaN(rhPct))
          refuse(
            row,
            'rhPct',
            group.probeKey,
            `${group.humidity.column.key} gives ${Math.round(rhPct)} % RH with the temperature of the row.`,
            'Check both columns and their units.',
          )
      }
    }
    return any
  }

  function writerOf(group: Group, long: string): Writer | null {
    const own = group.probeKey
    const key = own === null ? long || ONE_PROBE : long ? `${long} / ${own}` : own
    let writer = writers.get(key)
    if (!writer) {
      if (writers.size >= MAX_PROBES) return null
      writers.set(key, (writer = newWriter(key, group)))
    }
    return writer
  }

  function append(writer: Writer, at: number, line: number): void {
    const { count, columns: out, group } = writer
    writer.at[count] = at
    writer.lines[count] = line
    for (let i = 0; i < out.length; i++) out[i]![count] = group.values[i]!
    writer.count = count + 1
    if (writer.count === BATCH_ROWS) flush(writer)
  }

  function flush(writer: Writer): void {
    const { count, group } = writer
    if (count === 0) return
    const full = count === BATCH_ROWS
    const batch: Batch = {
      kind: 'readings',
      probeKey: writer.probeKey,
      at: full ? writer.at : writer.at.slice(0, count),
      lines: full ? writer.lines : writer.lines.slice(0, count),
      columns: {},
    }
    group.quantities.forEach((quantity, i) => {
      batch.columns[quantity] = full ? writer.columns[i]! : writer.columns[i]!.slice(0, count)
    })
    batches.push(batch)
    Object.assign(writer, newWriter(writer.probeKey, group), { previousAt: writer.previousAt })
  }

  function refuseTime(row: Row): void {
    if (isNote(row)) {
      summary.skippedLines++
      return
    }
    summary.refusedRows++
    const cell = stampAt < row.count ? textOf(row, stampAt).slice(0, 40) : ''
    if (instants.problem === 'missing hour') {
      refuse(
        row,
        undefined,
        null,
        `"${cell}" falls in the hour that daylight saving skips in ${time.zone}.`,
        'If the clock of the logger does not follow daylight saving, answer the time zone question with its fixed offset.',
      )
    } else if (cell === '') {
      refuse(row, undefined, null, 'The row has no time.', 'Add the time or remove the row.')
    } else {
      refuse(
        row,
        undefined,
        null,
        `"${cell}" cannot be read as a time in the form of the rest of the file.`,
        'Correct the time or remove the row.',
      )
    }
  }

  function refuseCell(row: Row, reader: CellReader, group: Group): void {
    const quantity =
      reader.quantity === 'dewPointC' || reader.quantity === 'vaporPressurePa' ? 'rhPct' : reader.quantity
    refuse(
      row,
      quantity,
      group.probeKey ?? (probeAt >= 0 ? textOf(row, probeAt) : null),
      reader.problem!.reason,
      reader.problem!.fix,
    )
  }

  function refuse(
    row: Row,
    quantity: Quantity | undefined,
    probeKey: string | null,
    reason: string,
    fix: string,
  ): void {
    summary.refused++
    const line: RefusedLine = {
      line: row.line,
      reason,
      fix,
      text: row.bytes.toString('utf8', row.start, Math.min(row.end, row.start + 4 * MAX_TEXT)).slice(0, MAX_TEXT),
    }
    if (quantity) line.quantity = quantity
    if (probeKey !== null) line.probeKey = probeKey
    refused.push(line)
    if (refused.length >= REFUSED_PER_BATCH) flushRefused()
  }

  function flushRefused(): void {
    if (refused.length > 0) batches.push({ kind: 'refused', lines: refused })
    refused = []
  }

  return {
    push: scanner.push,
    end() {
      scanner.end()
      for (const writer of writers.values()) flush(writer)
      flushRefused()
      summary.clamped = 0
      for (const { counts } of cellReaders(groups)) summary.clamped += counts.clamped
    },
    takeBatches() {
      const taken = batches
      batches = []
      return taken
    },
    summary,
    cells: cellReaders(groups),
    instants,
    span,
  }
}

/** Key of the only probe of a file that names none. */
export const ONE_PROBE = 'probe'

export const TIME_ROLES = new Set(['time', 'date', 'clock', 'year', 'month', 'day', 'hour', 'minute', 'second'])

const textOf = (row: Row, index: number): string =>
  index < row.count ? row.bytes.toString('utf8', row.from[index], row.to[index]) : ''

/** A repeated header, a remark or a row of empty cells: nothing that could have been a reading. */
function isNote(row: Row): boolean {
  for (let at = row.start; at < row.end; at++) {
    const byte = row.bytes[at]!
    if (byte >= 48 && byte <= 57) return startsWithLetter(row)
  }
  return true
}

/** Digits may stand in a repeated header (`T1`, `CO2`), which begins with a word and has no cell that is a number. */
function startsWithLetter(row: Row): boolean {
  let filled = 0
  for (let i = 0; i < row.count; i++) {
    if (row.from[i]! >= row.to[i]!) continue
    filled++
    const byte = row.bytes[row.from[i]!]!
    const letter = ((byte | 32) >= 97 && (byte | 32) <= 122) || byte >= 128 || byte === 35
    if (!letter) return false
  }
  return filled > 0
}

function groupsOf(understanding: Understanding): Group[] {
  const quantities = understanding.columns.filter((column) => column.role === 'quantity')
  const long = understanding.columns.some((c) => c.role === 'probe') || understanding.time.prefixDigits > 0
  const keys = [...new Set(quantities.map((column) => column.probeKey ?? ONE_PROBE))]
  return keys.map((key) => {
    const own = quantities.filter((column) => (column.probeKey ?? ONE_PROBE) === key)
    const group: Group = {
      probeKey: long && keys.length === 1 ? null : key,
      quantities: [],
      cells: [],
      tempSlot: -1,
      rhSlot: -1,
      humidity: null,
      values: new Float64Array(0),
    }
    for (const column of own) {
      const reader = createCellReader(column, understanding)
      if (reader.quantity === 'dewPointC' || reader.quantity === 'vaporPressurePa') group.humidity ??= reader
      else if (!group.quantities.includes(reader.quantity)) {
        group.cells.push({ reader, slot: group.quantities.length })
        group.quantities.push(reader.quantity)
      }
    }
    group.tempSlot = group.quantities.indexOf('tempC')
    if (group.humidity && (group.tempSlot < 0 || group.quantities.includes('rhPct'))) group.humidity = null
    if (group.humidity) group.rhSlot = group.quantities.push('rhPct') - 1
    group.values = new Float64Array(group.quantities.length)
    return group
  })
}

const cellReaders = (groups: readonly Group[]): CellReader[] =>
  groups.flatMap((group) => [...group.cells.map((cell) => cell.reader), ...(group.humidity ? [group.humidity] : [])])

function newWriter(probeKey: string, group: Group): Writer {
  return {
    probeKey,
    group,
    count: 0,
    at: new Float64Array(BATCH_ROWS),
    lines: new Uint32Array(BATCH_ROWS),
    columns: group.quantities.map(() => new Float64Array(BATCH_ROWS)),
    previousAt: Number.NaN,
  }
}

/** RH over water from what stands in its place; NaN outside the formula's range. */
function rhFrom(kind: string, humidity: number, tempC: number): number {
  try {
    const pressurePa = kind === 'dewPointC' ? vaporPressurePa(humidity, 100) : humidity
    return (100 * pressurePa) / vaporPressurePa(tempC, 100)
  } catch {
    return Number.NaN
  }
}
