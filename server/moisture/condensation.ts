/** Condensation on a named cold surface: hours of each day, and the rule "so many hours on 3 of 7 days". */
import { lnSaturationIce, lnSaturationWater } from '../physics/saturation.ts'
import { flatSurfaceTempC, STILL_AIR_FILMS_M2KW } from '../physics/surface.ts'
import { type DayLimits, isComplete, knownHours, type LocalDay, type ObservedSpot } from './observed.ts'

export interface CondensationLimits extends DayLimits {
  /** A day counts when more hours than this condensed. */
  condensationHoursPerDay: number
  /** So many such days ... */
  condensationDays: number
  /** ... among this many in a row. */
  condensationOfDays: number
}

/** A cold surface in the air of a spot, and where its temperature comes from, best first. */
export interface ColdSurface {
  name: string
  /** As entered by a person: one temperature for all hours [°C]. */
  tempC?: number
  /** Or what lies behind it [°C], a duct's supply air or ground, and the insulation over it [m² K/W]. */
  insideTempC?: number
  insulationM2KPerW?: number
}

export type SurfaceBasis = 'measured' | 'entered' | 'computed'

/**
 * The surface's temperature hour by hour: measured where the spot has a surface probe, else entered, else computed from
 * the air, the cold inside and the insulation (still air at a vertical surface; moving air inside, whose film is small,
 * is counted as nothing, which errs to the cold side).
 *
 * @throws RangeError naming the surface when nothing says how cold it is
 */
export function coldSurfaceTempC(
  spot: ObservedSpot,
  surface: ColdSurface,
): { tempC: Float64Array; basis: SurfaceBasis } {
  if (spot.surfaceTempC?.some((value) => !Number.isNaN(value))) return { tempC: spot.surfaceTempC, basis: 'measured' }
  const { tempC, insideTempC, insulationM2KPerW } = surface
  if (tempC !== undefined) return { tempC: new Float64Array(spot.tempC.length).fill(tempC), basis: 'entered' }
  if (insideTempC === undefined) {
    throw new RangeError(
      `How cold "${surface.name}" gets is not known. Measure it, or enter its temperature, or what is inside it and its insulation.`,
    )
  }
  const layers = {
    insideFilmM2kw: 0,
    insulationM2kw: insulationM2KPerW ?? 0,
    outsideFilmM2kw: STILL_AIR_FILMS_M2KW.vertical,
  }
  // Air outside physics' range is a broken reading, and a gap here.
  const computed = spot.tempC.map((air) =>
    air >= -60 && air <= 100 ? flatSurfaceTempC(air, insideTempC, layers) : Number.NaN,
  )
  return { tempC: computed, basis: 'computed' }
}

/**
 * 1 where water or frost formed in the hour, 0 where not, NaN where not known. The hour's highest dew point decides where
 * it was kept (condensation can last minutes), else its mean vapor pressure. Frost below 0 °C forms earlier than dew.
 */
export function condensingHours(spot: ObservedSpot, surfaceTempC: Float64Array): Float64Array {
  return surfaceTempC.map((surface, h) => {
    const dewMax = spot.dewPointMaxC?.[h] ?? Number.NaN
    const ln = Number.isNaN(dewMax) ? Math.log(spot.vaporPressurePa[h]!) : lnSaturationWater(dewMax)
    const limit = surface < 0 ? lnSaturationIce(surface) : lnSaturationWater(surface)
    if (Number.isNaN(ln + limit)) return Number.NaN
    return ln >= limit ? 1 : 0
  })
}

export type YesNoUnknown = 'yes' | 'no' | 'cannot tell'

export interface CondensationDay {
  at: number
  condensingHours: number
  knownHours: number
  hours: number
  /** More condensing hours than the limit; an incomplete day can still be a yes. */
  wet: YesNoUnknown
  /** So many wet days among the last ones, this day included. */
  rule: YesNoUnknown
}

export interface Condensation {
  surface: string
  basis: SurfaceBasis
  days: CondensationDay[]
  totalHours: number
  missingHours: number
}

/** @throws RangeError when nothing says how cold the surface is */
export function condensationOn(
  spot: ObservedSpot,
  surface: ColdSurface,
  days: readonly LocalDay[],
  limits: CondensationLimits,
): Condensation {
  const { tempC, basis } = coldSurfaceTempC(spot, surface)
  const condensing = condensingHours(spot, tempC)
  const counted = days.map((day) => {
    let wetHours = 0
    for (let h = day.from; h < day.to; h++) if (condensing[h] === 1) wetHours++
    const known = knownHours(condensing, day.from, day.to)
    const wet: YesNoUnknown =
      wetHours > limits.condensationHoursPerDay ? 'yes' : isComplete(known, day, limits) ? 'no' : 'cannot tell'
    return { at: day.at, condensingHours: wetHours, knownHours: known, hours: day.hours, wet }
  })
  return {
    surface: surface.name,
    basis,
    days: counted.map((day, d) => ({
      ...day,
      rule: ruleOver(counted.slice(Math.max(0, d - limits.condensationOfDays + 1), d + 1), limits),
    })),
    totalHours: counted.reduce((sum, day) => sum + day.condensingHours, 0),
    missingHours: condensing.length - knownHours(condensing, 0, condensing.length),
  }
}

/** Days before the record are unknown too: the rule says no only when the unknown ones could not turn it. */
function ruleOver(window: readonly { wet: YesNoUnknown }[], limits: CondensationLimits): YesNoUnknown {
  const wet = window.filter((day) => day.wet === 'yes').length
  const dry = window.filter((day) => day.wet === 'no').length
  if (wet >= limits.condensationDays) return 'yes'
  return limits.condensationOfDays - dry < limits.condensationDays ? 'no' : 'cannot tell'
}
