/** Series made by hand for the tests of the moisture floor, and the real houses of tests/data. */
import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { gunzipSync } from 'node:zlib'
import type { Observed, ObservedOutdoor, ObservedSpot } from '../../server/moisture/observed.ts'
import { saturationVaporPressurePa } from '../../server/physics/air.ts'
import { vaporPressurePaInto } from '../../server/physics/airColumns.ts'

export const HOUR = 3_600_000
/** A Monday in standard time, midnight in New York. */
export const START = Date.UTC(2024, 0, 8, 5)
export const ZONE = 'America/New_York'

type Of = number | ((h: number) => number)
export const column = (hours: number, of: Of): Float64Array =>
  Float64Array.from({ length: hours }, (_, h) => (typeof of === 'number' ? of : of(h)))

/** A spot of air with this temperature and RH. */
export function spotOf(hours: number, tempC: Of, rhPct: Of, key = 'low corner'): ObservedSpot {
  const [temp, rh] = [column(hours, tempC), column(hours, rhPct)]
  return { key, tempC: temp, rhPct: rh, vaporPressurePa: vaporPressurePaInto(new Float64Array(hours), temp, rh) }
}

/** A spot with this vapor pressure, at a temperature at which RH is legal. */
export function spotWithVapor(hours: number, vaporPa: Of, tempC: Of = 20, key = 'low corner'): ObservedSpot {
  const [vapor, temp] = [column(hours, vaporPa), column(hours, tempC)]
  const rhPct = vapor.map((pa, h) => (100 * pa) / saturationVaporPressurePa(temp[h]!))
  return { key, tempC: temp, rhPct, vaporPressurePa: vapor }
}

export const outdoorOf = (hours: number, tempC: Of, vaporPa: Of): ObservedOutdoor => ({
  tempC: column(hours, tempC),
  vaporPressurePa: column(hours, vaporPa),
})

export function observedOf(hours: number, spots: readonly ObservedSpot[], rest: Partial<Observed> = {}): Observed {
  return { startAt: START, hours, timeZone: ZONE, spots, outdoor: null, rain: null, ...rest }
}

export const vaporAtDewPoint = (dewC: number): number => saturationVaporPressurePa(dewC)

/** A real house of tests/data: hourly, fixed UTC+2, sensors under its own names. Credits stand in CREDITS.md. */
export function realHouse(file: string, spotNames: readonly string[], fromRow = 0): Observed {
  const path = join(import.meta.dirname, '../data', file)
  const [head = '', ...lines] = gunzipSync(readFileSync(path)).toString('utf8').trimEnd().split('\n')
  const names = head.split(',')
  const rows = lines.slice(fromRow).map((line) => line.split(','))
  const startText = rows[0]![0]!
  const startAt = Math.floor(Date.parse(`${startText}:00+02:00`) / HOUR) * HOUR
  const values = (name: string) => {
    const k = names.indexOf(name)
    if (k < 0) throw new Error(`${file} has no column ${name}.`)
    return Float64Array.from(rows, (cells) => (cells[k] === '' ? Number.NaN : Number(cells[k])))
  }
  const air = (name: string) => {
    const [tempC, rhPct] = [values(`${name}_temp_c`), values(`${name}_rh_pct`)]
    return { tempC, rhPct, vaporPressurePa: vaporPressurePaInto(new Float64Array(rows.length), tempC, rhPct) }
  }
  const rained = names.includes('outdoor_rain_mm') ? values('outdoor_rain_mm') : null
  return {
    startAt,
    hours: rows.length,
    timeZone: 'Europe/Helsinki',
    spots: spotNames.map((key) => ({ key, ...air(key) })),
    outdoor: air('outdoor'),
    // The station gives the sum of the hour before its time; the grid wants the hour it fell in.
    rain: rained === null ? null : { step: 'hourly', rainMm: rained.map((_, h) => rained[h + 1] ?? Number.NaN) },
  }
}
