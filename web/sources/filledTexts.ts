/** Texts of the balance with their numbers put in, in the person's unit. */
import type { Units } from '../../server/http/contract/words.ts'
import { plain, type Quantity, shownAs } from '../base/units.ts'

interface TextNumber {
  value: number
  unit: string
  low?: number
  high?: number
}

const AS: Record<string, Quantity> = {
  Pa: 'vaporPressurePa',
  '°C': 'tempC',
  K: 'tempK',
  mm: 'rainMm',
  'L/day': 'airLPerDay',
  L: 'waterL',
}
const MM_PER_10 = 10
const MM_PER_INCH = 25.4

/** `{name}` stands for a number; one that is not there stays as it is, so that it is noticed. */
export const filledTexts = (
  texts: readonly string[],
  numbers: Readonly<Record<string, TextNumber>>,
  units: Units,
): string[] =>
  texts.map((text) =>
    text.replace(/\{(\w+)\}/g, (whole, name: string) => (numbers[name] ? numberText(numbers[name], units) : whole)),
  )

function numberText({ value, unit, low, high }: TextNumber, units: Units): string {
  if (unit === 'Pa/mm') return perRain(value, units)
  const quantity = AS[unit]
  const how = quantity
    ? shownAs(quantity, units)
    : {
        of: (v: number) => v,
        digits: Number.isInteger(value) ? 0 : 1,
        unit: unit === '1' || unit === 'count' ? '' : unit,
      }
  const digits = unit === 'Pa' && units === 'us' ? 1 : how.digits
  const text = (v: number) => plain(v, { ...how, digits })
  const range = low === undefined || high === undefined ? '' : ` (${text(low)} to ${text(high)})`
  return `${text(value)}${how.unit === '' ? '' : ` ${how.unit}`}${range}`
}

function perRain(paPerMm: number, units: Units): string {
  const vapor = shownAs('vaporPressurePa', units)
  return units === 'us'
    ? `${plain(paPerMm * MM_PER_INCH, { ...vapor, digits: 1 })} ${vapor.unit} per inch of rain`
    : `${plain(paPerMm * MM_PER_10, vapor)} ${vapor.unit} per 10 mm of rain`
}
