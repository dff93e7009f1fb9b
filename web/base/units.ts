/** Numbers as a person reads them. Inside the program and on the wire everything is SI. */
import {
  cfmFromM3h,
  fahrenheitDifferenceFromKelvin,
  fahrenheitFromCelsius,
  feetFromMeters,
  gallonsFromLiters,
  grainsPerLbFromHumidityRatio,
  inchesFromMm,
  pintsFromLiters,
  type RecordQuantity,
  squareFeetFromM2,
  type Units,
} from '../../server/http/contract/words.ts'

/** How one quantity is shown in one system. */
export interface Shown {
  unit: string
  digits: number
  of: (si: number) => number
  /** Ends of a chart's axis fall on whole multiples of this. */
  step: number
}

const same = (si: number): number => si
/** Humidity ratio by vapor pressure at sea level and 1,500 Pa: good to 3 % for differences, enough for a chart. */
const KG_PER_KG_PER_PA = (0.621945 * 101_325) / (101_325 - 1500) ** 2
const G_PER_KG = 1000

const shown = (unit: string, digits: number, of: (si: number) => number = same, step = 1): Shown => ({
  unit,
  digits,
  of,
  step,
})

/** SI names as they are on the wire. */
export type Quantity =
  | 'tempC'
  | 'tempK'
  | 'vaporPressurePa'
  | 'humidityRatioGKg'
  | 'rhPct'
  | 'woodMcPct'
  | 'moldIndex'
  | 'airLPerDay'
  | 'waterL'
  | 'rainMm'
  | 'areaM2'
  | 'heightM'
  | 'airM3PerHour'
  | 'kwh'
  | 'hours'

const BOTH = {
  rhPct: shown('% RH', 0, same, 5),
  woodMcPct: shown('% moisture', 1, same, 2),
  moldIndex: shown('index', 1, same, 1),
  kwh: shown('kWh', 0),
  hours: shown('h', 0),
}
const SHOWN: Record<Units, Record<Quantity, Shown>> = {
  si: {
    ...BOTH,
    tempC: shown('°C', 1, same, 2),
    tempK: shown('°C', 1),
    vaporPressurePa: shown('Pa', 0, same, 100),
    humidityRatioGKg: shown('g/kg', 1, same, 1),
    airLPerDay: shown('liters a day', 1),
    waterL: shown('liters', 0),
    rainMm: shown('mm', 0, same, 5),
    areaM2: shown('m²', 0),
    heightM: shown('m', 2),
    airM3PerHour: shown('m³/h', 0),
  },
  us: {
    ...BOTH,
    tempC: shown('°F', 1, fahrenheitFromCelsius, 5),
    tempK: shown('°F', 1, fahrenheitDifferenceFromKelvin),
    vaporPressurePa: shown('grains/lb', 0, (pa) => grainsPerLbFromHumidityRatio(pa * KG_PER_KG_PER_PA), 10),
    humidityRatioGKg: shown('grains/lb', 1, (gKg) => grainsPerLbFromHumidityRatio(gKg / G_PER_KG), 5),
    airLPerDay: shown('pints a day', 1, pintsFromLiters),
    waterL: shown('gallons', 0, gallonsFromLiters),
    rainMm: shown('in', 2, inchesFromMm, 0.25),
    areaM2: shown('ft²', 0, squareFeetFromM2),
    heightM: shown('ft', 1, feetFromMeters),
    airM3PerHour: shown('cfm', 0, cfmFromM3h),
  },
}

export const shownAs = (quantity: Quantity, units: Units): Shown => SHOWN[units][quantity]

const OF_RECORD: Record<RecordQuantity, Quantity> = {
  dewPointC: 'tempC',
  vaporPressurePa: 'vaporPressurePa',
  rhPct: 'rhPct',
  tempC: 'tempC',
  woodMcPct: 'woodMcPct',
  moldIndex: 'moldIndex',
}
export const shownOfRecord = (quantity: RecordQuantity, units: Units): Shown => shownAs(OF_RECORD[quantity], units)

/** Kept, because making one costs more than using it. */
const formatters = new Map<number, Intl.NumberFormat>()
function withDigits(digits: number): Intl.NumberFormat {
  let formatter = formatters.get(digits)
  if (!formatter) {
    formatter = new Intl.NumberFormat('en-US', { minimumFractionDigits: digits, maximumFractionDigits: digits })
    formatters.set(digits, formatter)
  }
  return formatter
}

/** The number alone; a minus is a minus sign, and nothing rounds to minus zero. */
export function plain(si: number, { of, digits }: Pick<Shown, 'of' | 'digits'>): string {
  const text = withDigits(digits).format(of(si))
  return Number(text.replaceAll(',', '')) === 0 ? text.replace('-', '') : text.replace('-', '−')
}

/** "68.2 °F"; percent signs follow at once. */
export function withUnit(si: number, quantity: Quantity, units: Units): string {
  const how = shownAs(quantity, units)
  return how.unit.startsWith('%') ? `${plain(si, how)} ${how.unit}` : `${plain(si, how)} ${how.unit}`.trim()
}

export interface Estimate {
  low: number
  mid: number
  high: number
}

/** "−10.7 (−13.3 to −8.0)"; the unit stands in the head of its column. */
export function estimateText({ low, mid, high }: Estimate, how: Pick<Shown, 'of' | 'digits'>): string {
  return `${plain(mid, how)} (${plain(low, how)} to ${plain(high, how)})`
}
