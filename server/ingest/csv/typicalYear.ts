/** Typical-year weather files: months taken from different years. The EPW layout is an open standard without a header. */
import type { Table } from './table.ts'
import type { Unit } from './understanding.ts'
import { offsetName } from './zones.ts'

export interface TypicalYear {
  table: Table
  /** Fixed offset of the station's standard time, as its first line states it. */
  zone: string | null
  /** Units the standard fixes, by column. */
  units: Map<number, Unit>
}

/** EPW data dictionary (EnergyPlus Auxiliary Programs, weather data format): fields kept here, counted from 0. */
const EPW_NAMES: Record<number, [string, Unit?]> = {
  0: ['Year'],
  1: ['Month'],
  2: ['Day'],
  3: ['Hour'],
  4: ['Minute'],
  5: ['Data source flags'],
  6: ['Dry bulb temperature', '°C'],
  7: ['Dew point temperature', '°C'],
  8: ['Relative humidity', '%'],
  33: ['Liquid precipitation depth', 'mm'],
}

/** null for files that are no typical year. */
export function asTypicalYear(lines: readonly string[], table: Table): TypicalYear | null {
  const station = (lines[0] ?? '').split(',')
  if (station[0] === 'LOCATION' && lines.slice(0, 20).some((line) => line.startsWith('DATA PERIODS'))) {
    const names = table.names.map((_, index) => EPW_NAMES[index]?.[0] ?? `field ${index + 1}`)
    const units = new Map<number, Unit>()
    for (const [index, [, unit]] of Object.entries(EPW_NAMES)) if (unit) units.set(Number(index), unit)
    return { table: { ...table, names, headerLine: null }, zone: zoneOf(station[8]), units }
  }
  if (!yearsChangeByMonth(table)) return null
  return { table, zone: zoneOf(station.length >= 5 && station.length <= 10 ? station[3] : undefined), units: new Map() }
}

function zoneOf(hours: string | undefined): string | null {
  const value = Number(hours)
  return hours !== undefined && hours.trim() !== '' && Math.abs(value) <= 14 ? offsetName(value * 3_600_000) : null
}

/** Months follow each other, yet the year is another one: no clock does that. */
function yearsChangeByMonth(table: Table): boolean {
  let previous: { year: number; month: number } | null = null
  let changes = 0
  for (const { cells } of table.rows) {
    const match = cells.map((cell) => /^(\d{1,2})\/(\d{1,2})\/(\d{4})$/.exec(cell)).find(Boolean)
    if (!match) return false
    const now = { year: Number(match[3]), month: Number(match[1]) }
    if (previous && now.month === previous.month + 1 && now.year !== previous.year) changes++
    previous = now
  }
  return changes > 0
}
