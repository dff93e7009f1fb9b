import { type CrawlSpaceRun, type RunOptions, runCrawlSpace, STEP_S, STEPS_PER_HOUR } from './crawlSpace.ts'
import { type LivingSpace, livingSpaceOf } from './livingSpace.ts'
import { type ProbeReadings, readProbe, type TrueAir } from './sensor.ts'
import { settingsTimeline } from './settings.ts'
import type { HouseSpec, ProbeSpec } from './spec.ts'
import { wallClock } from './wallTime.ts'
import { inventWeather, type Weather } from './weather.ts'

const HOUR_MS = 3_600_000

export interface SimulatedHouse extends CrawlSpaceRun {
  /** Start of the readings; `truth` and `weather` start `spec.spinUpDays` earlier. */
  fromMs: number
  toMs: number
  weather: Weather
  living: LivingSpace
  /** By probe key. */
  readings: Record<string, ProbeReadings>
}

export interface SimulateOptions extends RunOptions {
  /** Runs the same house in the same weather without these works. */
  withoutWorks?: readonly string[]
  /** Leaves the probes out (a run for the truth alone is faster). */
  noReadings?: boolean
}

/**
 * One invented house: weather, the air under it, and what its probes said. Weather, local swings and sensor noise
 * depend only on the seed, so runs with and without a work differ by the work alone.
 */
export function simulateHouse(spec: HouseSpec, seed: number, options: SimulateOptions = {}): SimulatedHouse {
  const clock = wallClock(spec.timeZone)
  const fromMs = clock.instantOf(spec.from)
  const toMs = clock.instantOf(spec.to)
  const startMs = fromMs - spec.spinUpDays * 24 * HOUR_MS
  const hours = Math.round((toMs - startMs) / HOUR_MS)
  const utcOffsetHours = clock.wallTime(Date.UTC(2025, 0, 15)).offsetMinutes / 60
  // One hour more than the run, because values between hours are read from both ends.
  const weather = inventWeather(spec.climate, startMs, hours + 1, utcOffsetHours, seed)
  const living = livingSpaceOf(spec.livingSpace, weather)
  const without = new Set(options.withoutWorks ?? [])
  const unknown = [...without].filter((key) => !spec.works.some((work) => work.key === key))
  if (unknown.length > 0) throw new RangeError(`The house has no work called ${unknown.join(', ')}.`)
  const asRun = { ...spec, works: spec.works.filter((work) => !without.has(work.key)) }
  const run = runCrawlSpace(asRun, settingsTimeline(asRun, clock), weather, living, seed, options)
  const readings: Record<string, ProbeReadings> = {}
  if (options.noReadings !== true) {
    for (const probe of spec.probes) {
      readings[probe.key] = readProbe(probe, airAt(probe, spec, run, weather, living), fromMs, toMs, clock, seed)
    }
  }
  return { ...run, fromMs, toMs, weather, living, readings }
}

function airAt(probe: ProbeSpec, spec: HouseSpec, run: CrawlSpaceRun, weather: Weather, living: LivingSpace): TrueAir {
  const { startMs } = weather
  if (probe.at === 'outdoor') {
    const solar = (at: number) => weather.solarWM2[Math.floor((at - startMs) / HOUR_MS)] ?? 0
    return { ...inSteps(weather.tempC, weather.vaporPressurePa), startMs, stepMs: STEP_S * 1000, solarWM2: solar }
  }
  if (probe.at === 'living') {
    return { ...inSteps(living.tempC, living.vaporPressurePa), startMs, stepMs: STEP_S * 1000 }
  }
  const { spot } = probe.at
  const truth = run.spots[spec.spots.findIndex(({ key }) => key === spot)]
  if (truth === undefined) throw new RangeError(`Probe ${probe.key} hangs at spot "${spot}", which the house lacks.`)
  return { ...truth, startMs, stepMs: STEP_S * 1000 }
}

/** Hourly values as five-minute values, straight between the hours. */
function inSteps(tempC: Float64Array, vaporPressurePa: Float64Array) {
  const spread = (column: Float64Array) => {
    const out = new Float64Array((column.length - 1) * STEPS_PER_HOUR)
    for (let i = 0; i < out.length; i++) {
      const hour = Math.floor(i / STEPS_PER_HOUR)
      const share = (i % STEPS_PER_HOUR) / STEPS_PER_HOUR
      out[i] = column[hour]! + share * (column[hour + 1]! - column[hour]!)
    }
    return out
  }
  return { tempC: spread(tempC), vaporPressurePa: spread(vaporPressurePa) }
}
