/** A house as the analyses see it: everything on one hour grid. */
import type { MachineRuns } from '../moisture/machineRuns.ts'
import type { LocalDay } from '../series/days.ts'
import type { ProbeMark } from '../series/groupQuality.ts'
import type { HourlyColumns, HourSpan } from '../series/hourly.ts'
import type { Period } from '../series/periods.ts'
import type { RainStep } from '../series/rain.ts'
import type { SensorAccuracy } from '../series/sensorUncertainty.ts'
import type { HouseTree, SpaceTree, WorkTree } from '../store/houseTree.ts'

export interface StudiedSpot {
  /** space key / spot key */
  path: string
  name: string
  space: SpaceTree
  /** Dense on the grid; unusable hours are NaN. */
  hours: HourlyColumns
  accuracy: SensorAccuracy
}

/** Where the outdoor air comes from: a spot outdoors or a station. */
export interface OutdoorAir {
  name: string
  source: 'spot' | 'station'
  hours: HourlyColumns
  accuracy: SensorAccuracy
}

export interface StudiedRain {
  name: string
  step: RainStep
  /** By hour, a daily sum spread over its day; NaN where not known. */
  rainMm: Float64Array
  /** The sums of a daily gauge as they are. */
  days?: { from: number; to: number; rainMm: number }[]
}

export interface StudiedWork extends Pick<WorkTree, 'key' | 'kind' | 'note' | 'details'> {
  from: number
  to: number | null
}

/** When the dehumidifier ran; read apart, because it takes readings as stored. */
export interface MachineReadings {
  /** Usual time between the readings it could be told from. */
  everyMinutes: number
  /** On the grid of the house; null where the readings do not tell. */
  runs: MachineRuns | null
}

export interface StudiedHouse {
  id: number
  tree: HouseTree
  grid: HourSpan & { hours: number }
  days: LocalDay[]
  spots: StudiedSpot[]
  outdoor: OutdoorAir | null
  rain: StudiedRain | null
  works: StudiedWork[]
  periods: Period[]
  /** Faults that show beside other probes; `probe` is the spot's path. The others are bits of the hours. */
  marks: ProbeMark[]
  /** Absent where no machine is known of, or it was not asked for. */
  machine?: MachineReadings
}
