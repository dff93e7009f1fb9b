/** A house as its watches see it: what was entered, and a stretch of its hours. */
import type { Thresholds } from '../advice/defaults.ts'
import type { ColdSurface } from '../moisture/condensation.ts'
import type { HourlyColumns } from '../series/hourly.ts'
import type { WaterReading } from './rules/rule.ts'

export interface WatchedSpot {
  /** space key / spot key */
  path: string
  name: string
  spaceKey: string
  spaceName: string
  /** Under the house, not an attic or a wall. */
  below: boolean
  coldSurface: ColdSurface | null
}

export interface WatchedHouse {
  timeZone: string
  held: Thresholds
  /** Spots that are judged: neither outdoors nor where people live. */
  spots: WatchedSpot[]
  closedAt(spaceKey: string, at: number): boolean
  /** When works began after which a house dries, and those that lead water away. */
  dryingFrom: number[]
  drainedFrom: number[]
  machines: { from: number; to: number | null; setPointRhPct: number | null }[]
  /** Somebody was under the house, or touched a logger. */
  visits: { from: number; to: number }[]
}

export interface StretchOfSpot {
  /** Every hour of the stretch. */
  hours: HourlyColumns
  /** Water readings, ascending, of hours that had a wet one. */
  water: WaterReading[]
}

/** Whole hours. */
export interface Stretch {
  from: number
  hours: number
  spots: Record<string, StretchOfSpot>
  outdoorVaporPa: Float64Array
  rainMm: Float64Array
}

/** When somebody was under the house, nothing that its sensors say is believed. */
export const isDisturbed = ({ visits }: WatchedHouse, from: number, to: number): boolean =>
  visits.some((visit) => visit.from < to && visit.to > from)
