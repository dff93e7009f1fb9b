/** Stored quantities as a person names and reads them. */
import type { Units } from '../../server/http/contract/words.ts'
import { plain, type Quantity, shownAs } from '../base/units.ts'

const NAMES: Record<string, { name: string; as: Quantity | null; unit: string }> = {
  tempC: { name: 'temperature', as: 'tempC', unit: '' },
  rhPct: { name: 'RH', as: 'rhPct', unit: '' },
  woodMcPct: { name: 'wood', as: 'woodMcPct', unit: '' },
  surfaceTempC: { name: 'surface', as: 'tempC', unit: '' },
  rainMm: { name: 'rain', as: 'rainMm', unit: '' },
  condensateL: { name: 'condensate', as: 'waterL', unit: '' },
  powerW: { name: 'power', as: null, unit: 'W' },
  batteryV: { name: 'battery', as: null, unit: 'V' },
  waterPresent: { name: 'water present', as: null, unit: '' },
}

const number = (value: number, { as }: { as: Quantity | null }, units: Units): string =>
  as === null ? String(Math.round(value * 100) / 100) : plain(value, shownAs(as, units))
const unitOf = ({ as, unit }: { as: Quantity | null; unit: string }, units: Units): string =>
  as === null ? unit : as === 'rhPct' ? '%' : shownAs(as, units).unit

/** "temperature 62.6 °F" */
export function valueWords(quantity: string, value: number, units: Units): string {
  const how = NAMES[quantity] ?? { name: quantity, as: null, unit: '' }
  return `${how.name} ${number(value, how, units)} ${unitOf(how, units)}`.trim()
}

/** "temperature 27.0 to 59.0 °F" */
export function rangeWords(quantity: string, min: number, max: number, units: Units): string {
  const how = NAMES[quantity] ?? { name: quantity, as: null, unit: '' }
  return `${how.name} ${number(min, how, units)} to ${number(max, how, units)} ${unitOf(how, units)}`.trim()
}
