/**
 * A dehumidifier for a space: the load by path, what it asks of a rating on each test basis, the code's floor beside it,
 * electricity, and what sealing first would save. The code's number is a floor of capacity and not the load.
 */
import { assertPositive, assertWithin } from '../physics/check.ts'
import {
  energyKwhPerDay,
  isCurveExtrapolated,
  RATING_BASES_C,
  type RatingBasis,
  ratingNeededLPerDay,
} from '../physics/dehumidifier.ts'
import { celsiusFromFahrenheit, litersFromPints, pintsFromLiters, squareFeetFromM2 } from '../physics/units.ts'

/** Standard air, 0.075 lb/ft3 (trade practice, the density behind published load tables). */
const AIR_KG_PER_M3 = 1.2014
/** Model code, 2018 option for unvented crawl spaces, as quoted; verify against the adopted text. */
export const CODE_PINTS_PER_1000_FT2 = 70
/** Coils ice in air colder than this (common practice, no source). */
export const ICING_BELOW_C = celsiusFromFahrenheit(65)
/** Room left above the load for door openings, dirt and wear (proposal). */
export const CAPACITY_MARGIN = 1.2

const NOT_NEGATIVE = [0, Number.POSITIVE_INFINITY] as const

export interface LoadInput {
  volumeM3: number
  /** Air changes with outdoor air [1/h]. */
  changesPerH: number
  /** Outdoor air of the design day and the air to be held [kg/kg]. */
  outdoorHumidityRatio: number
  heldHumidityRatio: number
  groundLPerDay: number
  rainLPerDay?: number
  leakLPerDay?: number
  houseLPerDay?: number
}

export type LoadPath = 'outdoorAir' | 'ground' | 'rain' | 'leak' | 'house'
export interface Load {
  byPath: Record<LoadPath, number>
  totalLPerDay: number
}

/**
 * Water a day that must be taken out, by path: `ACH × volume × 24 h × air density × difference of humidity ratio` for
 * the air, the rest as given. Outdoor air drier than the held air lightens the load and never makes it negative.
 *
 * @returns [L/day]
 * @throws RangeError for negative amounts, a volume of 0, humidity ratios outside 0 to 0.05
 * @see the plain load formula of trade practice: 4,500 ft³ at 30 grains/lb gives 33 pints a day per air change an hour
 */
export function plainLoad(input: LoadInput): Load {
  assertPositive(input.volumeM3, 'volumeM3', 'm³')
  assertWithin(input.changesPerH, 'changesPerH', '1/h', [0, 100])
  assertWithin(input.outdoorHumidityRatio, 'outdoorHumidityRatio', 'kg/kg', [0, 0.05])
  assertWithin(input.heldHumidityRatio, 'heldHumidityRatio', 'kg/kg', [0, 0.05])
  const { groundLPerDay, rainLPerDay = 0, leakLPerDay = 0, houseLPerDay = 0 } = input
  for (const [name, value] of Object.entries({ groundLPerDay, rainLPerDay, leakLPerDay, houseLPerDay })) {
    assertWithin(value, name, 'L/day', NOT_NEGATIVE)
  }
  const air = input.changesPerH * input.volumeM3 * 24 * AIR_KG_PER_M3
  const outdoorAir = air * (input.outdoorHumidityRatio - input.heldHumidityRatio)
  const byPath = { outdoorAir, ground: groundLPerDay, rain: rainLPerDay, leak: leakLPerDay, house: houseLPerDay }
  const total = outdoorAir + groundLPerDay + rainLPerDay + leakLPerDay + houseLPerDay
  return { byPath, totalLPerDay: Math.max(0, total) }
}

/**
 * Capacity floor of the code option for a floor area.
 *
 * @param floorAreaM2 above 0
 * @returns [L/day]; 70 pints a day for each 1,000 ft²
 * @throws RangeError for an area of 0
 */
export function codeFloorLPerDay(floorAreaM2: number): number {
  assertPositive(floorAreaM2, 'floorAreaM2', 'm²')
  return litersFromPints((CODE_PINTS_PER_1000_FT2 * squareFeetFromM2(floorAreaM2)) / 1000)
}

export interface Sizing {
  loadLPerDay: number
  /** Rating to look for on each basis, margin included [L/day]; a label is only compared with its own basis. */
  ratedLPerDay: Record<RatingBasis, number>
  codeFloorLPerDay: number
  /** The code's floor asks for more than the load does. */
  codeGoverns: boolean
  kwhPerDay: number
  kwhPerMonth: number
  /** The air to be held lies outside the air the capacity curve was measured in: real units may do less. */
  extrapolated: boolean
  inputs: { tempC: number; rhPct: number; floorAreaM2: number; iefLPerKwh: number; margin: number }
  confirm: string
}

/**
 * @param loadLPerDay water of a hard day [L/day], above 0
 * @param air that the unit draws in on such a day [°C, %]
 * @param iefLPerKwh efficiency at the load's air [L/kWh]
 * @throws RangeError outside the valid ranges
 */
export function sizeDehumidifier(
  loadLPerDay: number,
  air: { tempC: number; rhPct: number },
  floorAreaM2: number,
  iefLPerKwh = 1.6,
): Sizing {
  const wanted = loadLPerDay * CAPACITY_MARGIN
  const rated = (basis: RatingBasis) => ratingNeededLPerDay(wanted, basis, air.tempC, air.rhPct)
  const floor = codeFloorLPerDay(floorAreaM2)
  const kwhPerDay = energyKwhPerDay(loadLPerDay, iefLPerKwh)
  const bases = Object.keys(RATING_BASES_C) as RatingBasis[]
  return {
    loadLPerDay,
    ratedLPerDay: Object.fromEntries(bases.map((basis) => [basis, rated(basis)])) as Record<RatingBasis, number>,
    codeFloorLPerDay: floor,
    codeGoverns: floor > rated('65 °F'),
    kwhPerDay,
    kwhPerMonth: kwhPerDay * 30,
    extrapolated: isCurveExtrapolated(air.tempC, air.rhPct),
    inputs: { ...air, floorAreaM2, iefLPerKwh, margin: CAPACITY_MARGIN },
    confirm:
      'Confirm the code edition and its option with the local official; the model code is quoted, not adopted here.',
  }
}

export interface SealingFirst {
  withoutSealingLPerDay: number
  withSealingLPerDay: number
  savesLPerDay: number
  sentence: string
}

/** What sealing before buying would save: the same load at the air exchange of a sealed space. */
export function sealingFirst(input: LoadInput, sealedChangesPerH: number): SealingFirst {
  const now = plainLoad(input).totalLPerDay
  const sealed = plainLoad({ ...input, changesPerH: Math.min(input.changesPerH, sealedChangesPerH) }).totalLPerDay
  const pints = Math.round(pintsFromLiters(now - sealed))
  return {
    withoutSealingLPerDay: now,
    withSealingLPerDay: sealed,
    savesLPerDay: now - sealed,
    sentence:
      pints > 0
        ? `Sealing first saves ${pints} pints a day.`
        : 'Sealing first would not lighten the load on such a day.',
  }
}
