/** Paths by which water enters (+) or leaves (−) the air under the house; kilograms an hour, net. */
export const PATHS = [
  'outdoorAir',
  'houseAir',
  'ground',
  'rain',
  'leak',
  'wood',
  'masonry',
  'condensate',
  'dehumidifier',
] as const
export type Path = (typeof PATHS)[number]

/** Truth of a run by the hour: means over the hour, sums for kilograms and watt-hours. */
export interface HourlyTruth {
  startMs: number
  hours: number
  tempC: Float64Array
  vaporPressurePa: Float64Array
  humidityRatioGKg: Float64Array
  rhPct: Float64Array
  coldestSurfaceC: Float64Array
  woodMcPct: Float64Array
  airChangesPerHour: Float64Array
  energyWh: Float64Array
  /** Part of each hour the dehumidifier ran, 0-1. */
  duty: Float64Array
  /** Water held by the air at the end of the hour [kg]. */
  airKg: Float64Array
  pathKg: Record<Path, Float64Array>
}

export function hourlyTruth(startMs: number, hours: number): HourlyTruth {
  const column = () => new Float64Array(hours)
  return {
    startMs,
    hours,
    tempC: column(),
    vaporPressurePa: column(),
    humidityRatioGKg: column(),
    rhPct: column(),
    coldestSurfaceC: column(),
    woodMcPct: column(),
    airChangesPerHour: column(),
    energyWh: column(),
    duty: column(),
    airKg: column(),
    pathKg: Object.fromEntries(PATHS.map((path) => [path, column()])) as Record<Path, Float64Array>,
  }
}

/** What one spot's air truly was, every five minutes. */
export interface SpotTruth {
  tempC: Float64Array
  vaporPressurePa: Float64Array
}
