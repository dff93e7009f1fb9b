/** Units a column can be in: how people write them, and the step from each to the stored unit (value * scale + shift). */
import type { ColumnQuantity, Unit } from './understanding.ts'

interface UnitStep {
  /** Quantities that can be in this unit. */
  of: readonly ColumnQuantity[]
  scale: number
  shift: number
}

const TEMPERATURES = ['tempC', 'surfaceTempC', 'dewPointC'] as const
const DEPTH = ['rainMm'] as const
const PRESSURE = ['vaporPressurePa'] as const
const VOLUME = ['condensateL'] as const

/** Exact by definition, but for mmHg and inHg (conventional, at 0 °C) and the US gallon (231 cubic inches). */
export const UNITS: Record<Unit, UnitStep> = {
  '°C': { of: TEMPERATURES, scale: 1, shift: 0 },
  '°F': { of: TEMPERATURES, scale: 5 / 9, shift: -160 / 9 },
  K: { of: TEMPERATURES, scale: 1, shift: -273.15 },
  '%': { of: ['rhPct', 'woodMcPct'], scale: 1, shift: 0 },
  fraction: { of: ['rhPct', 'woodMcPct'], scale: 100, shift: 0 },
  mm: { of: DEPTH, scale: 1, shift: 0 },
  '0.1 mm': { of: DEPTH, scale: 0.1, shift: 0 },
  cm: { of: DEPTH, scale: 10, shift: 0 },
  in: { of: DEPTH, scale: 25.4, shift: 0 },
  Pa: { of: PRESSURE, scale: 1, shift: 0 },
  hPa: { of: PRESSURE, scale: 100, shift: 0 },
  kPa: { of: PRESSURE, scale: 1000, shift: 0 },
  mmHg: { of: PRESSURE, scale: 133.322387415, shift: 0 },
  inHg: { of: PRESSURE, scale: 3386.389, shift: 0 },
  W: { of: ['powerW'], scale: 1, shift: 0 },
  kW: { of: ['powerW'], scale: 1000, shift: 0 },
  L: { of: VOLUME, scale: 1, shift: 0 },
  mL: { of: VOLUME, scale: 0.001, shift: 0 },
  gal: { of: VOLUME, scale: 3.785411784, shift: 0 },
  pt: { of: VOLUME, scale: 0.473176473, shift: 0 },
  V: { of: ['batteryV'], scale: 1, shift: 0 },
  mV: { of: ['batteryV'], scale: 0.001, shift: 0 },
  '0 or 1': { of: ['waterPresent'], scale: 1, shift: 0 },
}

export const unitsOf = (quantity: ColumnQuantity): Unit[] =>
  (Object.keys(UNITS) as Unit[]).filter((unit) => UNITS[unit].of.includes(quantity))

/** Spellings, lower case and without blanks, dots and the degree sign's variants. */
const SPELLINGS: Record<string, Unit> = {
  '°c': '°C',
  c: '°C',
  degc: '°C',
  degreesc: '°C',
  celsius: '°C',
  gradc: '°C',
  '°f': '°F',
  f: '°F',
  degf: '°F',
  degreesf: '°F',
  fahrenheit: '°F',
  k: 'K',
  kelvin: 'K',
  '%': '%',
  '%rh': '%',
  'rh%': '%',
  '%hr': '%',
  '%rf': '%',
  '%ur': '%',
  '%mc': '%',
  '%wme': '%',
  pct: '%',
  percent: '%',
  prozent: '%',
  fraction: 'fraction',
  '0-1': 'fraction',
  mm: 'mm',
  millimeters: 'mm',
  'l/m2': 'mm',
  'l/m²': 'mm',
  'mm/h': 'mm',
  cm: 'cm',
  in: 'in',
  inch: 'in',
  inches: 'in',
  '"': 'in',
  pa: 'Pa',
  hpa: 'hPa',
  mbar: 'hPa',
  mb: 'hPa',
  kpa: 'kPa',
  mmhg: 'mmHg',
  inhg: 'inHg',
  w: 'W',
  watt: 'W',
  watts: 'W',
  kw: 'kW',
  l: 'L',
  liter: 'L',
  liters: 'L',
  litres: 'L',
  ml: 'mL',
  gal: 'gal',
  gallons: 'gal',
  pt: 'pt',
  pints: 'pt',
  v: 'V',
  volt: 'V',
  volts: 'V',
  mv: 'mV',
}

/** The unit a piece of text names, for a quantity that can have it; null otherwise. */
export function unitNamed(text: string, quantity?: ColumnQuantity): Unit | null {
  const plain = text
    .toLowerCase()
    .replaceAll(/[º˚ᵒ]/g, '°')
    .replaceAll(/[\s.]/g, '')
    .replace(/^deg(rees?)?(?=[cf]$)/, '°')
    .replace(/(mm|in|inches)\/(h|hr|hour)$/, '$1')
  const unit = SPELLINGS[plain] ?? null
  if (unit && quantity && !UNITS[unit].of.includes(quantity)) return null
  return unit
}

/** Tails a cell may carry behind its number when the column is in this unit: `21.5 °C`, `65%`. */
export function tailsOf(unit: Unit): string[] {
  return Object.keys(SPELLINGS).filter((spelling) => SPELLINGS[spelling] === unit)
}

/**
 * The unit inside a header: in brackets, behind a comma or slash, or as the last word (`temperature_c`, `rain in`).
 */
export function unitInHeader(name: string, quantity: ColumnQuantity): Unit | null {
  const bracket = /[[(]([^\])]*)[\])]/g
  for (const match of name.matchAll(bracket)) {
    const unit = unitNamed(match[1]!, quantity)
    if (unit) return unit
  }
  const behind = /[,/;]\s*([^,/;]+)$/.exec(name)
  const unitBehind = behind && unitNamed(behind[1]!, quantity)
  if (unitBehind) return unitBehind
  for (const word of ['°C', '°F', 'º C', 'ºC', 'ºF']) if (name.includes(word)) return unitNamed(word, quantity)
  const words = name.split(/[\s_.\-:]+/).filter(Boolean)
  const last = words.at(-1)
  if (words.length > 1 && last) {
    const unit = unitNamed(last, quantity)
    if (unit) return unit
  }
  // `RHum%` and `tempC`, `rainMm`: a sign or a capitalized unit right behind the word.
  if (name.includes('%')) return unitNamed('%', quantity)
  const camel = /[a-z](C|F|K|Mm|In|Pct|Pa|W|L|V)$/.exec(name)
  return camel ? unitNamed(camel[1]!, quantity) : null
}
