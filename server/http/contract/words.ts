/** The few constants that the service and its pages both need, free of any library: pages import them as values. */
export { WORK_KINDS, type WorkKind } from '../../moisture/input.ts'
export {
  celsiusFromFahrenheit,
  cfmFromM3h,
  fahrenheitDifferenceFromKelvin,
  fahrenheitFromCelsius,
  feetFromMeters,
  gallonsFromLiters,
  grainsPerLbFromHumidityRatio,
  inchesFromMm,
  litersFromPints,
  m2FromSquareFeet,
  m3hFromCfm,
  metersFromFeet,
  pintsFromLiters,
  squareFeetFromM2,
} from '../../physics/units.ts'

/** In the order in which places that need somebody are sorted: silent stands before dry, for no news never means dry. */
export const LEVELS = ['wet', 'damp', 'drying', 'silent', 'dry'] as const
export type Level = (typeof LEVELS)[number]

export const UNITS = ['us', 'si'] as const
export type Units = (typeof UNITS)[number]

/** What the record can draw, one at a time. */
export const RECORD_QUANTITIES = ['dewPointC', 'vaporPressurePa', 'rhPct', 'tempC', 'woodMcPct', 'moldIndex'] as const
export type RecordQuantity = (typeof RECORD_QUANTITIES)[number]

/** Standing of a house in the round, those that need somebody first. */
export const STANDINGS = ['act', 'look', 'silent', 'waiting', 'fine', 'no readings'] as const
export type Standing = (typeof STANDINGS)[number]

export const ROLES = ['contractor', 'technician', 'owner'] as const
export type Role = (typeof ROLES)[number]

/** What a program's token may do: look, bring readings in, or all that its person may. */
export const TOKEN_SCOPES = ['read', 'readings', 'write'] as const
export type TokenScope = (typeof TOKEN_SCOPES)[number]
