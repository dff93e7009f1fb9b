/**
 * Would outdoor air have dried or wetted this space? By month, from vapor pressure (never RH), and against the coldest
 * surface. It judges the air that stood outside the vents, not how much of it came in.
 */
import { dewPointCInto } from '../physics/airColumns.ts'
import { localDateText } from '../series/localTime.ts'
import { localDays, meanOfSpots, type Observed, type ObservedSpot } from './observed.ts'

export interface OutdoorAirLimits {
  sensorLimitPa: number
  sensorLimitCheckedPa: number
  /** A month with less of its hours known than this share is not judged, 0 to 1. */
  monthKnownShare: number
}

export interface OutdoorAirMonth {
  /** Local month as 2024-06. */
  month: string
  /** Hours of the record in this month, and those with both sides known. */
  hours: number
  knownHours: number
  answer:
    | {
        kind: 'known'
        /** Outdoor vapor pressure below, above, and within what two sensors can part by [h]. */
        dryingHours: number
        wettingHours: number
        neitherHours: number
        /** Outdoor dew point at or above the coldest surface: outdoor air would condense there [h]. */
        condensingHours: number
        would: 'dry' | 'wet' | 'both' | 'neither'
      }
    | { kind: 'cannot tell'; reason: string }
}

export type OutdoorAirAnswer =
  | {
      kind: 'known'
      months: OutdoorAirMonth[]
      marginPa: number
      /** Whether the coldest surface is a measured one, or the coldest air stands for it (surfaces may be colder). */
      coldestBasis: 'measured surface' | 'coldest air'
    }
  | { kind: 'cannot tell'; reason: string; needs: string }

/** From this share of the known hours on a month is one that dries, or wets; it can be both. */
const SOME_OF_IT = 0.2

interface MonthCount {
  hours: number
  known: number
  dry: number
  wet: number
  neither: number
  condensing: number
}

/** @param sideBySide sensor offsets were measured and corrected */
export function outdoorAirByMonth(observed: Observed, sideBySide: boolean, limits: OutdoorAirLimits): OutdoorAirAnswer {
  const { outdoor, spots, hours, timeZone } = observed
  if (outdoor === null || spots.length === 0) {
    const what = outdoor === null ? 'Outdoor air' : 'The air of the space'
    return { kind: 'cannot tell', reason: `${what} is not known.`, needs: 'an hourly series of both' }
  }
  const marginPa = sideBySide ? limits.sensorLimitCheckedPa : limits.sensorLimitPa
  const inside = meanOfSpots(spots, (spot) => spot.vaporPressurePa)
  const outside = dewPointCInto(new Float64Array(hours), outdoor.vaporPressurePa)
  const { coldest, measured } = coldestSurfaceC(spots, hours)

  const months = new Map<string, MonthCount>()
  for (const day of localDays(observed)) {
    const month = localDateText(day.at, timeZone).slice(0, 7)
    const count = months.get(month) ?? { hours: 0, known: 0, dry: 0, wet: 0, neither: 0, condensing: 0 }
    months.set(month, count)
    for (let h = day.from; h < day.to; h++) {
      count.hours++
      const difference = outdoor.vaporPressurePa[h]! - inside[h]!
      if (Number.isNaN(difference)) continue
      count.known++
      if (difference < -marginPa) count.dry++
      else if (difference > marginPa) count.wet++
      else count.neither++
      if (outside[h]! >= coldest[h]!) count.condensing++
    }
  }
  return {
    kind: 'known',
    marginPa,
    coldestBasis: measured ? 'measured surface' : 'coldest air',
    months: [...months].map(([name, count]) => ({
      month: name,
      hours: count.hours,
      knownHours: count.known,
      answer:
        count.known < limits.monthKnownShare * count.hours || count.known === 0
          ? {
              kind: 'cannot tell',
              reason: `Only ${count.known} of ${count.hours} hours are known inside and outdoors.`,
            }
          : {
              kind: 'known',
              dryingHours: count.dry,
              wettingHours: count.wet,
              neitherHours: count.neither,
              condensingHours: count.condensing,
              would: wordFor(count.dry / count.known, count.wet / count.known),
            },
    })),
  }
}

function wordFor(dry: number, wet: number): 'dry' | 'wet' | 'both' | 'neither' {
  if (dry >= SOME_OF_IT && wet >= SOME_OF_IT) return 'both'
  if (dry >= SOME_OF_IT) return 'dry'
  return wet >= SOME_OF_IT ? 'wet' : 'neither'
}

function coldestSurfaceC(spots: readonly ObservedSpot[], hours: number): { coldest: Float64Array; measured: boolean } {
  const surfaces = spots.flatMap((spot) =>
    spot.surfaceTempC?.some((v) => !Number.isNaN(v)) ? [spot.surfaceTempC] : [],
  )
  const columns = surfaces.length > 0 ? surfaces : spots.map((spot) => spot.tempC)
  const coldest = new Float64Array(hours).fill(Number.NaN)
  for (const column of columns) {
    for (let h = 0; h < hours; h++)
      if (!Number.isNaN(column[h]!) && !(coldest[h]! <= column[h]!)) coldest[h] = column[h]!
  }
  return { coldest, measured: surfaces.length > 0 }
}
