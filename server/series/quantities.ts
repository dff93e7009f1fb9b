/**
 * What one reading can say. Each quantity declares the step it is stored in and whether a value is the state at an
 * instant or the sum since the previous reading; intake, store, importer and hourly values all follow this one table.
 */
export const QUANTITIES = {
  tempC: { label: 'air temperature', unit: '°C', storedStep: 0.01, kind: 'instant', min: -60, max: 90 },
  rhPct: { label: 'relative humidity over water', unit: '%', storedStep: 0.01, kind: 'instant', min: 0, max: 100 },
  woodMcPct: { label: 'wood moisture', unit: '% of dry mass', storedStep: 0.01, kind: 'instant', min: 0, max: 200 },
  surfaceTempC: { label: 'surface temperature', unit: '°C', storedStep: 0.01, kind: 'instant', min: -60, max: 90 },
  rainMm: { label: 'rain', unit: 'mm', storedStep: 0.001, kind: 'sum', min: 0, max: 500 },
  waterPresent: { label: 'liquid water present', unit: '0 or 1', storedStep: 1, kind: 'instant', min: 0, max: 1 },
  powerW: { label: 'electric power', unit: 'W', storedStep: 0.1, kind: 'instant', min: 0, max: 20_000 },
  condensateL: { label: 'condensate', unit: 'L', storedStep: 0.001, kind: 'sum', min: 0, max: 500 },
  batteryV: { label: 'battery', unit: 'V', storedStep: 0.001, kind: 'instant', min: 0, max: 60 },
} as const satisfies Record<string, QuantitySpec>

/** `min` and `max` are the widest values any climate, space or meter can give; outside them a value is refused. */
export interface QuantitySpec {
  label: string
  unit: string
  storedStep: number
  kind: 'instant' | 'sum'
  min: number
  max: number
}

export type Quantity = keyof typeof QUANTITIES
export const QUANTITY_NAMES = Object.keys(QUANTITIES) as Quantity[]

/** One probe's readings as columns: `at` in UTC epoch ms, ascending; one Float64Array a quantity, NaN where missing. */
export type ReadingColumns = { at: Float64Array } & Partial<Record<Quantity, Float64Array>>
