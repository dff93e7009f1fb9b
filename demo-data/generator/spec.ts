/**
 * A house as plain data: everything the simulation needs, nothing it computes. SI units. Dates are local wall time
 * (`2024-06-10` or `2024-06-10T09:30`). A spec and a seed give the same house, readings and truth, always.
 */
export interface HouseSpec {
  key: string
  timeZone: string
  /** First and last-plus-one local day of the readings; the simulation itself starts `spinUpDays` earlier. */
  from: string
  to: string
  spinUpDays: number
  climate: ClimateSpec
  geometry: { floorAreaM2: number; heightM: number; perimeterM: number }
  airflow: AirflowSpec
  ground: GroundSpec
  water: WaterSpec
  livingSpace: LivingSpaceSpec
  /** Liters a day that evaporate into the space whatever the weather. */
  leaks: { litersPerDay: number; from: string; to?: string }[]
  works: WorkSpec[]
  spots: SpotSpec[]
  probes: ProbeSpec[]
}

export interface ClimateSpec {
  latitude: number
  meanTempC: number
  /** Half of the difference between midsummer and midwinter. */
  tempAmplitudeC: number
  meanDewPointC: number
  dewPointAmplitudeC: number
  rainMmPerYear: number
  meanWindMS: number
}

export interface AirflowSpec {
  ventCount: number
  ventFreeAreaM2: number
  /** 0 closed to 1 open, before any work. */
  ventOpenShare: number
  /** Cracks, access door and pipe holes, always open. */
  leakAreaM2: number
  /** Wind at the vents as a share of the wind of the weather. */
  windShelter: number
}

export interface GroundSpec {
  coverShare: number
  /** Vapor conductance of bare ground, dry crust included [kg/(m2 s Pa)]; about 2e-9 (dry sand) to 1e-8 (damp clay). */
  bareConductance: number
  /** The same through and around the cover, seams and piers included; about 5e-11 (good) to 5e-10. */
  coverConductance: number
  conductivityWMK: number
}

export interface WaterSpec {
  roofAreaM2: number
  /** Share of the roof's water that comes down at the wall and reaches the soil beside the foundation. */
  roofShareToWall: number
  yardAreaM2: number
  yardShareToWall: number
  /** Days for water to pass from the soil beside the wall under the house, and to sink away once there. */
  daysToEnter: number
  daysToSink: number
  /** Area that lies wet when much water is in, above or beside the cover. */
  wetAreaM2: number
}

export interface LivingSpaceSpec {
  heatingC: number
  coolingC: number
  /** Air that goes down into the space by ducts and floor cracks, cooling season / rest of the year [m3/h]. */
  downFlowCoolingM3H: number
  downFlowM3H: number
  /** Air drawn up through the floor [m3/h] for each square root of a kelvin that the house is warmer than outdoors. */
  upFlowM3HPerRootK: number
  floorUWM2K: number
  /** Heat that ducts give to the space in full heating, and the cooling they give in full cooling [W]. */
  ductHeatingW: number
  ductCoolingW: number
}

interface WorkBase {
  key: string
  from: string
  to?: string
}
export type WorkSpec =
  | (WorkBase & { kind: 'downspout drain'; roofShareLeft: number })
  | (WorkBase & { kind: 'yard drain'; yardShareLeft: number })
  | (WorkBase & { kind: 'vents sealed' | 'vents opened'; ventOpenShare: number; leakAreaM2?: number })
  | (WorkBase & { kind: 'ground cover'; coverShare: number; coverConductance?: number })
  | (WorkBase & { kind: 'dehumidifier'; ratedLPerDay: number; setPointRhPct: number; hysteresisRhPct: number })
  | (WorkBase & { kind: 'other' })

/** A place in the space and how its air differs from the mean. Shares may be negative: more sheltered than the mean. */
export interface SpotSpec {
  key: string
  /** Share of outdoor air that the place feels when the vents blow at about three air changes an hour. */
  outdoorShare: number
  /** How far its temperature leans to the floor above and to the ground below. */
  floorShare: number
  groundShare: number
  /** Extra vapor pressure for each liter an hour evaporating from rain water, and from a leak [Pa h/L]. */
  wetPaPerLH: number
  leakPaPerLH: number
  /** Air that moves about: standard deviations of slow local swings. */
  swingC: number
  swingPa: number
}

export interface ProbeSpec {
  key: string
  /** A spot of the crawl space, or the two other places a probe can hang. */
  at: { spot: string } | 'outdoor' | 'living'
  intervalMinutes: number
  offsetC: number
  offsetRhPct: number
  noiseC: number
  noiseRhPct: number
  stepC: number
  stepRhPct: number
  lagMinutes: number
  /** RH above which a wetted sensor starts to read high, and by how much at most. */
  creepRhPct: number
  batteryV?: { fresh: number; voltsPerDay: number }
  faults: FaultSpec[]
}

export type FaultSpec =
  | { kind: 'gap'; from: string; to: string }
  /** Readings drop out more and more until the box is dead; a new battery goes in at `to`. */
  | { kind: 'dying battery'; from: string; to: string }
  | { kind: 'stuck'; from: string; to: string }
  /** The clock was set wrong: time stamps are late by `minutes` (early when negative). */
  | { kind: 'clock shift'; from: string; to: string; minutes: number }
  /** The unit switch was touched: °F arrives where °C is meant. */
  | { kind: 'unit swap'; from: string; to: string }
  | { kind: 'rh drift'; from: string; to: string; rhPctPerMonth: number }
