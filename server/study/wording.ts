/** Puts the numbers of a finding into its sentences, in the units a person reads. */
import {
  fahrenheitDifferenceFromKelvin,
  fahrenheitFromCelsius,
  grainsPerLbFromHumidityRatio,
  inchesFromMm,
} from '../physics/units.ts'
import type { Finding, FindingNumber, FindingUnit } from './finding.ts'

export type Units = 'us' | 'si'

/** Humidity ratio by vapor pressure at sea level and 1,500 Pa: good to 3 % for differences, enough for a sentence. */
const KG_PER_KG_PER_PA = (0.621945 * 101_325) / (101_325 - 1500) ** 2

interface Shown {
  unit: string
  digits: number
  of: (value: number) => number
}

const same = (unit: string, digits: number): Shown => ({ unit, digits, of: (value) => value })

const SI: Record<FindingUnit, Shown> = {
  Pa: same('Pa', 0),
  '°C': same('°C', 1),
  K: same('K', 1),
  '%': same('%', 0),
  '% of dry mass': same('%', 1),
  h: same('h', 0),
  days: same('days', 0),
  mm: same('mm', 0),
  pairs: same('pairs', 0),
}

const US: Partial<Record<FindingUnit, Shown>> = {
  Pa: { unit: 'grains/lb', digits: 1, of: (pa) => grainsPerLbFromHumidityRatio(pa * KG_PER_KG_PER_PA) },
  '°C': { unit: '°F', digits: 1, of: fahrenheitFromCelsius },
  K: { unit: '°F', digits: 1, of: fahrenheitDifferenceFromKelvin },
  mm: { unit: 'in', digits: 2, of: inchesFromMm },
}

/** "180 Pa (105 to 255)" */
export function numberText({ value, unit, low, high }: FindingNumber, units: Units): string {
  const shown = (units === 'us' ? US[unit] : undefined) ?? SI[unit]
  const text = (number: number) => {
    const rounded = shown.of(number).toFixed(shown.digits)
    return Number(rounded) === 0 ? rounded.replace('-', '') : rounded
  }
  const range = low === undefined || high === undefined ? '' : ` (${text(low)} to ${text(high)})`
  return `${text(value)} ${shown.unit}${range}`
}

/** A sentence of a finding with its numbers put in; a name without a number stays as it is, so that it is noticed. */
export function wordedText(text: string, finding: Pick<Finding, 'numbers'>, units: Units): string {
  return text.replace(/\{(\w+)\}/g, (whole, name: string) => {
    const number = finding.numbers[name]
    return number ? numberText(number, units) : whole
  })
}
