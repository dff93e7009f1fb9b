/** Readings of one probe as the plain CSV of a house folder: UTC times, SI units, only the columns that occur. */
import { QUANTITIES, QUANTITY_NAMES, type Quantity, type ReadingColumns } from '../../series/quantities.ts'

const HEADERS: Record<Quantity, string> = {
  tempC: 'temp_c',
  rhPct: 'rh_pct',
  woodMcPct: 'wood_mc_pct',
  surfaceTempC: 'surface_temp_c',
  rainMm: 'rain_mm',
  waterPresent: 'water_present',
  powerW: 'power_w',
  condensateL: 'condensate_l',
  batteryV: 'battery_v',
}

const DECIMALS = Object.fromEntries(
  QUANTITY_NAMES.map((quantity) => [quantity, Math.max(0, Math.round(-Math.log10(QUANTITIES[quantity].storedStep)))]),
) as Record<Quantity, number>

export const readingsHeader = (quantities: readonly Quantity[]): string =>
  `${['at_utc', ...quantities.map((quantity) => HEADERS[quantity])].join()}\n`

/** Lines of the rows of `columns`, the listed quantities in that order; an empty field where one is missing. */
export function readingsLines(columns: ReadingColumns, quantities: readonly Quantity[]): string {
  let lines = ''
  for (let row = 0; row < columns.at.length; row++) {
    let line = utcText(columns.at[row]!)
    for (const quantity of quantities) {
      const value = columns[quantity]?.[row] ?? Number.NaN
      line += Number.isNaN(value) ? ',' : `,${value.toFixed(DECIMALS[quantity])}`
    }
    lines += `${line}\n`
  }
  return lines
}

/** 2024-03-01T05:15:00Z; milliseconds only where there are any. */
function utcText(at: number): string {
  const text = new Date(at).toISOString()
  return at % 1000 === 0 ? `${text.slice(0, 19)}Z` : text
}
