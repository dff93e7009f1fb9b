/** Settles from the values what header and head leave open: units and date order. Reads the whole file when it must. */
import { createCellScanner, type Row } from './cells.ts'
import { createDateEvidence, type DateEvidence } from './dateOrder.ts'
import { markByte, numberAt, stoppedAt } from './numbers.ts'
import { addTimeText, clearTimeText, timeText } from './timeText.ts'
import type { Column, DecimalMark, Delimiter, Unit } from './understanding.ts'
import { UNITS } from './units.ts'

/** Raw values of a column as they stand in the file. */
export interface RawRange {
  count: number
  min: number
  max: number
  /** Values other than 0, and how many of them are no multiple of 0.01: no rain gauge writes such. */
  nonZero: number
  odd: number
}

export interface RawFacts {
  ranges: Map<number, RawRange>
  dates: DateEvidence
}

/** One pass over text bytes: ranges of the columns asked for and the evidence about date order. */
export async function rawFacts(
  chunks: AsyncIterable<Buffer> | Iterable<Buffer>,
  lineEnd: 10 | 13,
  layout: {
    delimiter: Delimiter
    decimalMark: DecimalMark
    firstRowLine: number
    columns: readonly Column[]
    prefixDigits: number
  },
  wanted: readonly Column[],
): Promise<RawFacts> {
  const { columns, firstRowLine, prefixDigits } = layout
  const mark = markByte(layout.decimalMark)
  const ranges = new Map<number, RawRange>()
  for (const { index } of wanted) ranges.set(index, { count: 0, min: Infinity, max: -Infinity, nonZero: 0, odd: 0 })
  const dates = createDateEvidence()
  const dateAt = columns.find((column) => column.role === 'time' || column.role === 'date')?.index ?? -1
  const clockAt = columns.find((column) => column.role === 'clock')?.index ?? -1
  const last = Math.max(dateAt, clockAt, ...ranges.keys())

  const scanner = createCellScanner(layout.delimiter, lineEnd, last + 1, (row: Row) => {
    if (row.line < firstRowLine) return
    if (dateAt >= 0 && dateAt < row.count) {
      clearTimeText()
      addTimeText(row.bytes, row.from[dateAt]! + prefixDigits, row.to[dateAt]!)
      if (clockAt >= 0 && clockAt < row.count && timeText.count >= 3) {
        timeText.count = 3
        addTimeText(row.bytes, row.from[clockAt]!, row.to[clockAt]!)
      }
      if (timeText.clean) dates.add()
    }
    for (const [index, range] of ranges) {
      if (index >= row.count) continue
      const value = numberAt(row.bytes, row.from[index]!, row.to[index]!, mark)
      // Markers for "no value" lie below; nothing measured in any of the units does.
      if (Number.isNaN(value) || stoppedAt === row.from[index] || value <= -90 || value >= 999) continue
      range.count++
      if (value < range.min) range.min = value
      if (value > range.max) range.max = value
      if (value !== 0) range.nonZero++
      const hundredths = value * 100
      if (Math.abs(hundredths - Math.round(hundredths)) > 1e-6) range.odd++
    }
  })
  for await (const chunk of chunks) scanner.push(chunk)
  scanner.end()
  return { ranges, dates }
}

export interface UnitVerdict {
  unit: Unit
  because: string
  /** False where a person should be asked before anything is stored. */
  sure: boolean
  /** True where it is certain and need not even be offered for correction. */
  certain: boolean
}

/**
 * Unit of a temperature column without one. Air under a house or outdoors never reaches 60 °C, and a record in °F that
 * never passes 45 °F would be one of nothing but cold (at most 7 °C): between the two a person is asked.
 */
export function temperatureUnit(range: RawRange): UnitVerdict {
  const [min, max] = [range.min, range.max].map((value) => Math.round(value * 10) / 10) as [number, number]
  if (min > 180)
    return { unit: 'K', because: `values from ${min} to ${max} can only be kelvin`, sure: true, certain: true }
  if (max > 60) return { unit: '°F', because: `values up to ${max} can only be °F`, sure: true, certain: true }
  if (max <= 45) {
    return {
      unit: '°C',
      because: `values from ${min} to ${max} fit °C; in °F it would never have been above ${max} °F`,
      sure: true,
      certain: false,
    }
  }
  return { unit: '°C', because: `values from ${min} to ${max} can be °C or °F`, sure: false, certain: false }
}

/** RH without a unit, or with `%` in its header: nothing above 1 in a whole file is a fraction. */
export const humidityUnit = (range: RawRange): UnitVerdict =>
  range.max <= 1.05 && range.count > 0
    ? { unit: 'fraction', because: 'no value is above 1', sure: true, certain: true }
    : { unit: '%', because: `values from ${range.min} to ${range.max} are percent`, sure: true, certain: true }

/** Rain follows the temperature's system of units, unless the values are none a gauge writes. */
export function rainUnit(range: RawRange, tempUnits: readonly (Unit | undefined)[]): UnitVerdict {
  const us = tempUnits.includes('°F')
  const metric = tempUnits.includes('°C') || tempUnits.includes('K')
  const unit: Unit = us ? 'in' : 'mm'
  if (range.odd > range.nonZero * 0.05) {
    return {
      unit,
      because: 'the values are finer than a rain gauge counts, so it may be no rain depth at all',
      sure: false,
      certain: false,
    }
  }
  return {
    unit,
    because: us ? 'the temperatures are in °F' : 'the temperatures are in °C',
    sure: us !== metric,
    certain: false,
  }
}

/** Most ordinary unit of the other quantities. */
export function plainUnit(quantity: string): Unit {
  for (const [unit, step] of Object.entries(UNITS)) {
    if ((step.of as readonly string[]).includes(quantity) && step.scale === 1 && step.shift === 0) return unit as Unit
  }
  return '%'
}
