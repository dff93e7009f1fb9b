/** Numbers of the balance in the units a person reads: rounded, with their unit, and with their 90 % interval. */
import type { Estimate } from '../../moisture/input.ts'
import {
  fahrenheitDifferenceFromKelvin,
  fahrenheitFromCelsius,
  gallonsFromLiters,
  grainsPerLbFromHumidityRatio,
  humidityRatioFromGKg,
  pintsFromLiters,
} from '../../physics/units.ts'
import type { Units } from '../wording.ts'

export interface Shown {
  unit: string
  digits: number
  of: (value: number) => number
}

const same = (unit: string, digits: number): Shown => ({ unit, digits, of: (value) => value })

/** Water vapor in the air, temperature and its differences, water by the day. */
export interface BalanceUnits {
  ratio: Shown
  temperature: Shown
  difference: Shown
  water: Shown
  /** What dehumidifiers are sold by. */
  capacity: Shown
}

const SI: BalanceUnits = {
  ratio: same('g/kg', 2),
  temperature: same('°C', 0),
  difference: same('K', 1),
  water: same('L', 1),
  capacity: same('L', 1),
}

const US: BalanceUnits = {
  ratio: { unit: 'grains/lb', digits: 1, of: (gKg) => grainsPerLbFromHumidityRatio(humidityRatioFromGKg(gKg)) },
  temperature: { unit: '°F', digits: 0, of: fahrenheitFromCelsius },
  difference: { unit: '°F', digits: 1, of: fahrenheitDifferenceFromKelvin },
  water: { unit: 'gallons', digits: 2, of: gallonsFromLiters },
  capacity: { unit: 'pints', digits: 0, of: pintsFromLiters },
}

export const PERCENT = same('%', 0)
export const POINTS = same('points', 1)

export const unitsOf = (units: Units): BalanceUnits => (units === 'us' ? US : SI)

/** The number alone, never "-0.0". */
export function digits(value: number, { of, digits: places }: Shown): string {
  const rounded = of(value).toFixed(places)
  return Number(rounded) === 0 ? rounded.replace('-', '') : rounded
}

/** "1.2 L" */
export const amount = (value: number, shown: Shown): string => `${digits(value, shown)} ${shown.unit}`

/** "3.1 to 5.0" */
export const span = ({ low, high }: Estimate, shown: Shown): string => `${digits(low, shown)} to ${digits(high, shown)}`

/** "4.0 gallons (90 % interval 3.1 to 5.0)" */
export const estimate = (value: Estimate, shown: Shown): string =>
  `${amount(value.mid, shown)} (90 % interval ${span(value, shown)})`

/** Turned over, so that "drier by" can be said of a negative change. */
export const turned = ({ low, mid, high }: Estimate): Estimate => ({ low: -high, mid: -mid, high: -low })
