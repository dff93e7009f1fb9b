/** Puts the numbers of a finding into its sentences, in the units a person reads. */
import {
  fahrenheitDifferenceFromKelvin,
  fahrenheitFromCelsius,
  grainsPerLbFromHumidityRatio,
  inchesFromMm,
  mmFromInches,
} from '../physics/units.ts'
import type { Finding, FindingNumber, FindingUnit } from './finding.ts'

export type Units = 'us' | 'si'

/** Humidity ratio by vapor pressure at sea level and 1,500 Pa: good to 3 % for differences, enough for a sentence. */
const KG_PER_KG_PER_PA = (0.621945 * 101_325) / (101_325 - 1500) ** 2
const grainsPerLb = (pa: number) => grainsPerLbFromHumidityRatio(pa * KG_PER_KG_PER_PA)

interface Shown {
  /** After the number; empty for none. */
  unit: string
  /** For exactly one. */
  one?: string
  digits: number
  of: (value: number) => number
}

const same = (unit: string, digits: number, one?: string): Shown => ({
  unit,
  digits,
  of: (value) => value,
  ...(one !== undefined && { one }),
})

const SI: Record<FindingUnit, Shown> = {
  '1': same('', 2),
  count: same('', 0),
  Pa: same('Pa', 0),
  'Pa/mm': { unit: 'Pa per 10 mm of rain', digits: 0, of: (paPerMm) => 10 * paPerMm },
  '°C': same('°C', 1),
  K: same('K', 1),
  '%': same('%', 0),
  '% of dry mass': same('%', 1),
  index: same('', 1),
  h: same('h', 0),
  days: same('days', 0, 'day'),
  weeks: same('weeks', 0, 'week'),
  mm: same('mm', 0),
  pairs: same('pairs', 0, 'pair'),
  rains: same('rains', 0, 'rain'),
}

const US: Partial<Record<FindingUnit, Shown>> = {
  Pa: { unit: 'grains/lb', digits: 1, of: grainsPerLb },
  'Pa/mm': { unit: 'grains/lb per inch of rain', digits: 1, of: (paPerMm) => grainsPerLb(paPerMm / inchesFromMm(1)) },
  '°C': { unit: '°F', digits: 1, of: fahrenheitFromCelsius },
  K: { unit: '°F', digits: 1, of: fahrenheitDifferenceFromKelvin },
  mm: { unit: 'in', digits: 2, of: inchesFromMm },
}

/** Sentences of the analyses name rain by the inch; this is what one inch is here. */
export const MM_PER_INCH = mmFromInches(1)

const shownAs = (unit: FindingUnit, units: Units): Shown => (units === 'us' ? US[unit] : undefined) ?? SI[unit]

/** The number alone, rounded as it is shown. */
export function plainNumber(value: number, unit: FindingUnit, units: Units): string {
  const { of, digits } = shownAs(unit, units)
  const rounded = of(value).toFixed(digits)
  return Number(rounded) === 0 ? rounded.replace('-', '') : rounded
}

export const unitText = (unit: FindingUnit, units: Units): string => shownAs(unit, units).unit

/** "180 Pa (105 to 255)" */
export function numberText({ value, unit, low, high }: FindingNumber, units: Units): string {
  const shown = shownAs(unit, units)
  const text = (number: number) => plainNumber(number, unit, units)
  const range = low === undefined || high === undefined ? '' : ` (${text(low)} to ${text(high)})`
  const name = shown.one !== undefined && text(value) === '1' ? shown.one : shown.unit
  return `${text(value)}${name === '' ? '' : ` ${name}`}${range}`
}

/** A sentence of a finding with its numbers put in; a name without a number stays as it is, so that it is noticed. */
export function wordedText(text: string, finding: Pick<Finding, 'numbers'>, units: Units): string {
  return text.replace(/\{(\w+)\}/g, (whole, name: string) => {
    const number = finding.numbers[name]
    return number ? numberText(number, units) : whole
  })
}

/** The texts of a finding in one unit system. */
export type Worded = Pick<Finding, 'sentence' | 'evidenceFor' | 'evidenceAgainst' | 'wouldChangeIt' | 'missing'>

export function wordedFinding(finding: Finding, units: Units): Worded {
  const worded = (text: string) => wordedText(text, finding, units)
  return {
    sentence: worded(finding.sentence),
    evidenceFor: finding.evidenceFor.map(worded),
    evidenceAgainst: finding.evidenceAgainst.map(worded),
    wouldChangeIt: worded(finding.wouldChangeIt),
    ...(finding.missing && { missing: finding.missing.map(worded) }),
  }
}
