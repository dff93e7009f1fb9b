/** One quantity cell: number, unit tail, missing marker, trace, range; into the stored unit. */
import { QUANTITIES, type Quantity } from '../../series/quantities.ts'
import type { Row } from './cells.ts'
import { markByte, numberAt, stoppedAt } from './numbers.ts'
import type { Column, ColumnQuantity, Understanding } from './understanding.ts'
import { tailsOf, UNITS } from './units.ts'

/** Numbers that loggers and weather services write for "no value"; taken so only where the value is impossible. */
const MARKERS = new Set([
  -99, -99.9, -100, -200, -777, -888, -999, -999.9, -9999, -99999, 99.9, 999, 999.9, 9999, 99999, -7999, 6999, 7999,
  32767, -32768, 65535,
])
export const MISSING_TEXTS = [
  'na',
  'n/a',
  '#n/a',
  'nan',
  'null',
  'none',
  'nil',
  '-',
  '--',
  '---',
  '----',
  '*',
  '**',
  '***',
  '****',
  '?',
  'm',
  'missing',
  'error',
  'err',
  'fail',
  'fault',
  'open',
  'overflow',
  'ovfl',
]

const TRUE_TEXTS = new Set([
  'yes',
  'true',
  'wet',
  'water',
  'on',
  'alarm',
  'leak',
  'ja',
  'oui',
  'si',
  'sì',
  'kylla',
  'nass',
  'closed',
])
const FALSE_TEXTS = new Set([
  'no',
  'false',
  'dry',
  'off',
  'ok',
  'normal',
  'none',
  'nein',
  'non',
  'nee',
  'ei',
  'trocken',
  'open',
])

/** Overshoot of RH sensors at saturation: kept as 100, because dropping it would hide the wettest hours. */
const RH_OVERSHOOT_PCT = 105

const RANGES: Record<ColumnQuantity, { min: number; max: number }> = {
  ...QUANTITIES,
  dewPointC: { min: -80, max: 60 },
  vaporPressurePa: { min: 0, max: 20_000 },
}

export interface CellCounts {
  clamped: number
  trace: number
  suspect: number
  missing: number
  /** Impossible values and how often, as long as they are few different ones: a marker nobody knew shows up here. */
  impossible: Map<number, number>
}

export interface CellReader {
  column: Column
  quantity: ColumnQuantity
  counts: CellCounts
  /** Value in the stored unit, NaN where missing or refused; `problem` is null unless refused. */
  read(row: Row): number
  problem: { reason: string; fix: string } | null
}

export function createCellReader(column: Column, understanding: Understanding): CellReader {
  const quantity = column.quantity!
  const { min, max } = RANGES[quantity]
  const { scale, shift } = column.unit ? UNITS[column.unit] : { scale: 1, shift: 0 }
  const mark = markByte(understanding.decimalMark)
  const tails = new Set(column.unit ? tailsOf(column.unit) : [])
  const missingTexts = new Set(understanding.missingTexts)
  const missingNumbers = Float64Array.from(understanding.missingNumbers)
  const counts: CellCounts = { clamped: 0, trace: 0, suspect: 0, missing: 0, impossible: new Map() }
  const { index } = column
  const isRh = quantity === 'rhPct'
  const reader: CellReader = { column, quantity, counts, read, problem: null }

  function read(row: Row): number {
    reader.problem = null
    if (index >= row.count) return missing()
    const from = row.from[index]!
    const to = row.to[index]!
    if (from >= to) return missing()
    const raw = numberAt(row.bytes, from, to, mark)
    if (stoppedAt !== to && !tailFits(row, stoppedAt, to)) return fromWords(row, from, to)
    if (Number.isNaN(raw)) return missing()
    for (let i = 0; i < missingNumbers.length; i++) if (missingNumbers[i] === raw) return missing()
    const value = scale === 1 ? raw + shift : raw * scale + shift
    if (value >= min && value <= max) return value
    return outside(raw, value)
  }

  const missing = (): number => {
    counts.missing++
    return Number.NaN
  }

  function outside(raw: number, value: number): number {
    if (MARKERS.has(raw)) return missing()
    if (isRh && value > 100 && value <= RH_OVERSHOOT_PCT) {
      counts.clamped++
      return 100
    }
    // A unit step may leave a value a hair outside, such as 32 °F for 0 or 212 °F.
    if (Math.abs(value - min) < 1e-9 || Math.abs(value - max) < 1e-9) return value < (min + max) / 2 ? min : max
    if (counts.impossible.size < 64 || counts.impossible.has(raw)) {
      counts.impossible.set(raw, (counts.impossible.get(raw) ?? 0) + 1)
    }
    const read = column.unit && column.unit !== unitOf(quantity) ? ` (${round(value)} ${unitOf(quantity)})` : ''
    reader.problem = {
      reason: `${column.key} is ${raw}${column.unit ? ` ${column.unit}` : ''}${read}, outside ${min} to ${max} ${unitOf(quantity)}.`,
      fix: 'Check the unit of the column and the sensor; the other values of the row are kept.',
    }
    return Number.NaN
  }

  /** Behind the number: a blank, the unit, or the suspect mark `s` of weather services. */
  function tailFits(row: Row, at: number, to: number): boolean {
    if (at === row.from[index]) return false
    const tail = row.bytes.toString('utf8', at, to).trim().toLowerCase().replaceAll(' ', '')
    if (tail === 's') counts.suspect++
    return tail === '' || tail === 's' || tails.has(tail)
  }

  function fromWords(row: Row, from: number, to: number): number {
    const text = row.bytes.toString('utf8', from, to)
    const word = text.trim().toLowerCase()
    if (quantity === 'rainMm' && (word === 't' || word === 'trace' || word === 'ts')) {
      counts.trace++
      return 0
    }
    if (quantity === 'waterPresent') {
      if (TRUE_TEXTS.has(word)) return 1
      if (FALSE_TEXTS.has(word)) return 0
    }
    if (word === '' || missingTexts.has(word)) return missing()
    reader.problem = {
      reason: `${column.key} is "${text.slice(0, 40)}", which is not a number.`,
      fix: 'Correct the value, or leave the cell empty; the other values of the row are kept.',
    }
    return Number.NaN
  }

  return reader
}

const unitOf = (quantity: ColumnQuantity): string =>
  quantity === 'dewPointC' ? '°C' : quantity === 'vaporPressurePa' ? 'Pa' : QUANTITIES[quantity as Quantity].unit

const round = (value: number): number => Math.round(value * 100) / 100
