/**
 * What a dehumidifier takes out at other conditions than those it was rated at, and what it uses.
 *
 * Capacity falls steeply in cool air, so a rating alone oversells a unit for a crawl space. Both curves below 18 °C are
 * extrapolated and neither knows frost and defrost: real units do less there.
 */
import { assertPositive, assertWithin } from './check.ts'
import { celsiusFromFahrenheit, cubicFeetFromM3, pintsFromLiters } from './units.ts'

/** a + b T + c T² + d RH + e RH² + f T RH, T in °C, RH in %. */
type Coefficients = readonly [a: number, b: number, c: number, d: number, e: number, f: number]

export interface DehumidifierCurve {
  capacity: Coefficients
  energyFactor: Coefficients
}

/**
 * `generic`: Winkler, Christensen and Tomerlin 2011, NREL/TP-5500-52791, from tests of six units.
 * `example`: the EnergyPlus example inputs, stated for 21 to 32 °C and 40 to 80 %.
 * Neither gives exactly 1 at its rating point (0.98 to 0.99), which is why capacities are ratios of the curve.
 */
export const DEHUMIDIFIER_CURVES = {
  generic: {
    capacity: [-1.162525707, 0.02271469, -0.000113208, 0.021110538, -0.0000693034, 0.000378843],
    energyFactor: [-1.902154518, 0.063466565, -0.000622839, 0.039540407, -0.000125637, -0.000176722],
  },
  example: {
    capacity: [-2.72487866408, 0.100711983591, -0.000990538285, 0.050053043874, -0.000203629282, -0.000341750531],
    energyFactor: [-2.388319068955, 0.093047739452, -0.001369700327, 0.066533716758, -0.000343198063, -0.000562490295],
  },
} as const satisfies Record<string, DehumidifierCurve>

export type DehumidifierCurveName = keyof typeof DEHUMIDIFIER_CURVES

/**
 * The air a rating was taken in, always 60 % RH. Portable units are rated at 65 °F and whole-home units at 73 °F since
 * June 2019 (10 CFR 430, subpart B, app. X1); before that, and in much advertising, at 80 °F. The same unit carries
 * about twice the pints at 80 °F, so ratings of different bases are never compared.
 */
export const RATING_BASES_C = {
  '65 °F': celsiusFromFahrenheit(65),
  '73 °F': celsiusFromFahrenheit(73),
  '80 °F': celsiusFromFahrenheit(80),
} as const
export type RatingBasis = keyof typeof RATING_BASES_C
/** RH of every rating point [%]. */
export const RATING_RH_PCT = 60

/** A unit keeps a little capacity in the coldest, driest air it is run in; a proposal, no source. */
const LEAST_SHARE = 0.05

function evaluate([a, b, c, d, e, f]: Coefficients, tempC: number, rhPct: number): number {
  assertWithin(tempC, 'tempC', '°C', [-10, 45])
  assertWithin(rhPct, 'rhPct', '%', [0, 105])
  return a + tempC * (b + c * tempC + f * rhPct) + rhPct * (d + e * rhPct)
}

/** True where no curve was measured: below 18 or above 32.2 °C, below 40 or above 80 %. */
export function isCurveExtrapolated(tempC: number, rhPct: number): boolean {
  return tempC < 18 || tempC > 32.22 || rhPct < 40 || rhPct > 80
}

/**
 * Raw capacity factor as printed, about 1 at 80 °F and 60 %; may fall below 0 in cold dry air.
 *
 * @param tempC [°C], valid -10 to 45; @param rhPct [%], valid 0 to 105
 * @throws RangeError outside the valid ranges
 */
export function capacityFactor(tempC: number, rhPct: number, curve: DehumidifierCurveName = 'generic'): number {
  return evaluate(DEHUMIDIFIER_CURVES[curve].capacity, tempC, rhPct)
}

/** Raw energy factor's factor (liters per kWh against the rating); ranges as `capacityFactor`. */
export function energyFactorFactor(tempC: number, rhPct: number, curve: DehumidifierCurveName = 'generic'): number {
  return evaluate(DEHUMIDIFIER_CURVES[curve].energyFactor, tempC, rhPct)
}

export interface DehumidifierRating {
  ratedLPerDay: number
  basis: RatingBasis
  curve?: DehumidifierCurveName
}

/**
 * Capacity in this air: the rating times the ratio of the curve here and at the rating point.
 *
 * @param tempC, rhPct of the air drawn in [°C, -10 to 45; %, 0 to 105]
 * @returns [L/day], at least 5 % of the rating
 * @throws RangeError outside the valid ranges or for a rating of 0
 */
export function capacityLPerDay(rating: DehumidifierRating, tempC: number, rhPct: number): number {
  assertPositive(rating.ratedLPerDay, 'ratedLPerDay', 'L/day')
  const here = capacityFactor(tempC, rhPct, rating.curve)
  const rated = capacityFactor(RATING_BASES_C[rating.basis], RATING_RH_PCT, rating.curve)
  return rating.ratedLPerDay * Math.max(LEAST_SHARE, here / rated)
}

/**
 * The rating that a unit needs so that it removes `loadLPerDay` in this air: the inverse of `capacityLPerDay`.
 *
 * @returns [L/day] on that basis
 * @throws RangeError outside the valid ranges or for a load of 0
 */
export function ratingNeededLPerDay(
  loadLPerDay: number,
  basis: RatingBasis,
  tempC: number,
  rhPct: number,
  curve: DehumidifierCurveName = 'generic',
): number {
  assertPositive(loadLPerDay, 'loadLPerDay', 'L/day')
  return loadLPerDay / capacityLPerDay({ ratedLPerDay: 1, basis, curve }, tempC, rhPct)
}

/**
 * Electricity for a day's water at the rated efficiency.
 *
 * @param waterLPerDay [L/day], 0 or more
 * @param iefLPerKwh integrated energy factor, above 0 [L/kWh]
 * @returns [kWh/day]
 * @throws RangeError outside the valid ranges
 */
export function energyKwhPerDay(waterLPerDay: number, iefLPerKwh: number): number {
  assertWithin(waterLPerDay, 'waterLPerDay', 'L/day', [0, Number.POSITIVE_INFINITY])
  assertPositive(iefLPerKwh, 'iefLPerKwh', 'L/kWh')
  return waterLPerDay / iefLPerKwh
}

/**
 * Efficiency left when a unit runs only part of the time (Winkler and others 2011).
 *
 * @param runShare share of the time running, valid 0 to 1
 * @returns 0.9 to 1
 * @throws RangeError outside the valid range
 */
export function partLoadFraction(runShare: number): number {
  assertWithin(runShare, 'runShare', '', [0, 1])
  return 0.9 + 0.1 * runShare
}

/** Heat of condensation of water near 15 °C [kWh/kg]. */
const CONDENSATION_KWH_PER_KG = 0.68

/**
 * Heat a unit gives to the space it stands in: all its electricity plus the latent heat of what it condensed.
 *
 * @param energyKwh, waterL over the same time, 0 or more
 * @returns [kWh]
 * @throws RangeError for negative amounts
 */
export function heatReleasedKwh(energyKwh: number, waterL: number): number {
  assertWithin(energyKwh, 'energyKwh', 'kWh', [0, Number.POSITIVE_INFINITY])
  assertWithin(waterL, 'waterL', 'L', [0, Number.POSITIVE_INFINITY])
  return energyKwh + CONDENSATION_KWH_PER_KG * waterL
}

/**
 * Least integrated energy factor a portable unit may be sold with in the US since June 2019 (10 CFR 430.32).
 *
 * @param ratedLPerDay at 65 °F, 60 % [L/day], above 0
 * @returns [L/kWh]
 * @throws RangeError for a rating of 0
 */
export function minimumIefPortable(ratedLPerDay: number): number {
  assertPositive(ratedLPerDay, 'ratedLPerDay', 'L/day')
  const pints = Math.round(pintsFromLiters(ratedLPerDay) * 100) / 100 // the rule counts in hundredths of a pint
  if (pints <= 25) return 1.3
  return pints <= 50 ? 1.6 : 2.8
}

/**
 * The same for whole-home units, by the volume of the case. From memory, not verified.
 *
 * @param caseVolumeM3 [m³], above 0; the line is at 8.0 ft³
 * @returns [L/kWh]
 * @throws RangeError for a volume of 0
 */
export function minimumIefWholeHome(caseVolumeM3: number): number {
  assertPositive(caseVolumeM3, 'caseVolumeM3', 'm³')
  const cubicFeet = Math.round(cubicFeetFromM3(caseVolumeM3) * 10) / 10 // the rule counts in tenths of a cubic foot
  return cubicFeet <= 8 ? 1.77 : 2.41
}
