/**
 * Vapor in the space with the share of the weather taken away, for asking what rain did. Subtracting outdoor vapor alone
 * is right only where the air inside is outdoor air. A space with little airing and much wood or wet ground follows its
 * own temperature more than outdoor vapor, and a front that brings rain then moves the plain excess by hundreds of Pa:
 * in an invented house with wet ground the spread of the plain difference was 187 Pa, and 41 Pa with weather away.
 */
import { saturationVaporPressurePaInto } from '../physics/airColumns.ts'
import { cholesky, normalEquations, solveCholesky } from './linear.ts'
import { knownHours, meanOver, type ObservedOutdoor, type ObservedSpot, vaporExcessPa } from './observed.ts'
import type { StormLimits } from './storms.ts'

export interface WeatherTakenAway {
  /** Hourly vapor pressure less what the weather moved [Pa]; only its changes mean anything. */
  vaporPa: Float64Array
  /** 90 % half width of "window after minus window before" when nothing but weather happened [Pa]; null: not known. */
  noisePa: number | null
  method: 'outdoor vapor and temperature taken away' | 'outdoor vapor subtracted'
}

const Z_90 = 1.6449
const MOMENT_HOURS = 24
const LAG_HOURS = 24
/** Moments a day apart share most of their windows: about so many of them are one independent one. */
const MOMENTS_PER_INDEPENDENT = 6
const LEAST_INDEPENDENT = 9
const LEAST_DRY_MOMENTS = 5

type Windowed = (values: Float64Array, h: number) => number

export function takeWeatherAway(
  spot: ObservedSpot,
  outdoor: ObservedOutdoor,
  rainMm: Float64Array,
  limits: StormLimits,
): WeatherTakenAway {
  const window = limits.stormWindowHours
  const change: Windowed = (values, h) => {
    const enough = limits.stormWindowKnownShare * window
    if (h < window || h + window > values.length) return Number.NaN
    if (knownHours(values, h - window, h) < enough || knownHours(values, h, h + window) < enough) return Number.NaN
    return meanOver(values, h, h + window) - meanOver(values, h - window, h)
  }
  // Both windows dry by measurement: a sum with one unknown hour is NaN, and not dry.
  const isDry = (h: number) => {
    const both = rainMm.subarray(Math.max(0, h - window), h + window)
    return both.reduce((sum, value) => sum + value, 0) <= limits.stormPriorRainMaxMm
  }
  return fitted(spot, outdoor, rainMm, change, isDry) ?? subtracted(spot, outdoor, change, isDry, window)
}

/** Least squares over a moment a day, rain beside the weather so that neither takes the other's part. */
function fitted(
  spot: ObservedSpot,
  outdoor: ObservedOutdoor,
  rainMm: Float64Array,
  change: Windowed,
  isDry: (h: number) => boolean,
): WeatherTakenAway | null {
  const inside = spot.vaporPressurePa
  const outside = outdoor.vaporPressurePa
  const before = outside.map((_, h) => (h < LAG_HOURS ? Number.NaN : outside[h - LAG_HOURS]!))
  const saturation = saturationVaporPressurePaInto(new Float64Array(inside.length), spot.tempC)
  const drivers = [outside, before, saturation, rainMm]
  const rows: number[][] = []
  const dry: boolean[] = []
  for (let h = 0; h < inside.length; h += MOMENT_HOURS) {
    const row = [change(inside, h), ...drivers.map((driver) => change(driver, h))]
    if (row.some(Number.isNaN)) continue
    rows.push(row)
    dry.push(isDry(h))
  }
  const independent = rows.length / MOMENTS_PER_INDEPENDENT
  if (independent < LEAST_INDEPENDENT) return null
  const columns = drivers.map((_, k) => Float64Array.from(rows, (row) => row[k + 1]!))
  const moved = Float64Array.from(rows, (row) => row[0]!)
  const { matrix, gradient } = normalEquations(columns, moved)
  const lower = cholesky(matrix, drivers.length)
  if (lower === null) return null // a driver that never changed
  const [now, lag, temp, rain] = solveCholesky(lower, gradient) as unknown as [number, number, number, number]
  const left = moved.map((value, i) => {
    const [a, b, c, d] = columns.map((column) => column[i]!) as [number, number, number, number]
    return value - now * a - lag * b - temp * c - rain * d
  })
  // The answer to rain must not count as noise, so moments near rain are left out where enough others are there.
  const quiet = left.filter((_, i) => dry[i])
  const used = quiet.length >= LEAST_INDEPENDENT * MOMENTS_PER_INDEPENDENT ? quiet : left
  const square = used.reduce((sum, value) => sum + value * value, 0) / used.length
  const spread = Math.sqrt((square * independent) / (independent - drivers.length))
  return {
    vaporPa: inside.map((value, h) => value - now * outside[h]! - lag * before[h]! - temp * saturation[h]!),
    noisePa: Z_90 * spread,
    method: 'outdoor vapor and temperature taken away',
  }
}

/** Short records: plain excess, with the noise of moments that were dry on both sides. */
function subtracted(
  spot: ObservedSpot,
  outdoor: ObservedOutdoor,
  change: Windowed,
  isDry: (h: number) => boolean,
  window: number,
): WeatherTakenAway {
  const vaporPa = vaporExcessPa(spot, outdoor)
  const changes: number[] = []
  for (let h = window; h + window <= vaporPa.length; h += MOMENT_HOURS) {
    const value = change(vaporPa, h)
    if (isDry(h) && !Number.isNaN(value)) changes.push(value)
  }
  // About zero, not about their own mean: a steady drift in dry weather is noise for this question too.
  const square = changes.reduce((sum, value) => sum + value * value, 0) / changes.length
  return {
    vaporPa,
    noisePa: changes.length < LEAST_DRY_MOMENTS ? null : Z_90 * Math.sqrt(square),
    method: 'outdoor vapor subtracted',
  }
}
