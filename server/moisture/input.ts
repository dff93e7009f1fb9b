/**
 * What the model of the air under a house takes: one record on an hourly grid in UTC, built above this floor.
 * NaN is a gap, null is "not known"; neither is ever read as zero.
 */

import type { RatingBasis } from '../physics/dehumidifier.ts'
import type { MachineRuns } from './machineRuns.ts'

export const HOUR_MS = 3_600_000
export const DAY_HOURS = 24

/** One measured place in the space under the house. Every array has one value an hour, starting at the record's start. */
export interface SpotSeries {
  key: string
  tempC: Float64Array
  /** Hourly mean of the vapor pressure, never the vapor pressure of mean temperature and RH. */
  vaporPressurePa: Float64Array
  /** Root mean square step of RH [points] between readings in a row that end in this hour; tells a cycling machine. */
  rhStepPct?: Float64Array | null
}

export interface AirSeries {
  tempC: Float64Array
  vaporPressurePa: Float64Array
}

/** Rain as the gauge or the service gives it. A missing hour or day is "not known", which is not "dry". */
export type RainRecord =
  | { step: 'hourly'; rainMm: Float64Array }
  | { step: 'daily'; days: readonly { from: number; to: number; rainMm: number }[] }

export type VentState = 'open' | 'partly open' | 'closed'
export type DownspoutEnd = 'end at the wall' | 'some led away' | 'led away'

/** What a survey may have recorded; null widens the prior and is listed among the assumptions. */
export interface Geometry {
  floorAreaM2: number | null
  heightM: number | null
  perimeterM: number | null
  volumeM3: number | null
  /** Share of the ground under a cover at the start, 0 to 1. */
  coverShare: number | null
  ventCount: number | null
  ventState: VentState | null
  downspouts: DownspoutEnd | null
  floorInsulated: boolean | null
}

export interface Machine {
  setRhPct: number | null
  ratedLPerDay: number | null
  /** null is read as 80 °F / 60 %, the older and larger number of the three. */
  ratingBasis: RatingBasis | null
}

export const WORK_KINDS = [
  'downspout drain',
  'yard drain',
  'footing drain',
  'vents sealed',
  'vents opened',
  'vent fan',
  'ground cover',
  'dehumidifier',
  'encapsulation',
  'repair',
  'other',
] as const
export type WorkKind = (typeof WORK_KINDS)[number]

export interface WorkDetails extends Partial<Machine> {
  /** Share of the ground covered afterwards, 0 to 1. */
  coverShareAfter?: number | null
  /** Air the fan moves. */
  fanM3PerHour?: number | null
}

export interface Work {
  key: string
  kind: WorkKind
  /** What was done in one go when the kind is broad; else the kind says it all. */
  parts?: readonly WorkKind[]
  /** Instant the work took effect, epoch ms. */
  from: number
  /** End of a trial that was undone (machine off again, vents reopened); absent when the work stays. */
  to?: number | null
  details?: WorkDetails
}

export interface HouseRecord {
  /** First hour of the grid, epoch ms on a whole hour in UTC. */
  startAt: number
  hours: number
  spots: readonly SpotSeries[]
  /** Logger outdoors at the house. */
  outdoor: AirSeries | null
  /** Nearest weather station, for the gaps of the outdoor logger or in its place. */
  station: AirSeries | null
  rain: RainRecord | null
  /** Air of the living space, where a logger stands there. */
  houseAir: AirSeries | null
  /** Water a meter took from the dehumidifier, by hour [L]; NaN where not metered. */
  condensateL: Float64Array | null
  /** Mean electric power of the dehumidifier by hour [W]. */
  powerW: Float64Array | null
  /** When the machine ran, counted from its power or from fast readings; absent where there are none. */
  machineRuns?: MachineRuns | null
  /** Usual time between the readings that runs could be counted from; absent where no machine is known. */
  machineReadingsEveryMinutes?: number | null
  geometry: Geometry
  /** A machine that ran before the record began. */
  machineAtStart: Machine | null
  /** [°], north positive; null is read as 38 (mid-latitude north) and sets only the phase of the seasons. */
  latitude: number | null
  elevationM: number | null
  targetRhPct: number
  works: readonly Work[]
  /** Pin-meter readings of framing, depth about 6 mm, already corrected for species and temperature. */
  woodReadings?: readonly { at: number; woodMcPct: number }[]
}

/** Every number that is estimated carries its 90 % interval. */
export interface Estimate {
  low: number
  mid: number
  high: number
}
