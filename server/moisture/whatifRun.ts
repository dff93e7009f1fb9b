/** One possible house in one weather, run with and without remedies, and what is read from a run. */
import { humidityRatio } from '../physics/air.ts'
import { MOLD_CLASSES, type MoldClass, moldIndexInto } from '../physics/mold.ts'
import type { Drivers, Flows } from './balance.ts'
import { type ColdSurface, coldSurfaceTempC, condensingHours } from './condensation.ts'
import type { Draw, HouseModel } from './house.ts'
import type { AirSeries } from './input.ts'
import { lastStateDrivers } from './need.ts'
import { assumedHousePa, climateOf, meanOf } from './prepare.ts'
import { machineWarmingK, outdoorPull, spaceTemperatureIn } from './temperature.ts'
import { type FullRun, runFully } from './timber.ts'
import type { State } from './whatifState.ts'

/** A year of weather other than the record's: hours in UTC from `startAt`. */
export interface TypicalYear extends AirSeries {
  startAt: number
  rainMm: Float64Array
}

export interface Measures {
  humidityRatioGKg: number
  vaporPressurePa: number
  rhPct: number
  tempC: number
  over80Share: number
  woodMcPct: number
  moldEnd: number
  moldMax: number
  /** Hours in which the cold surface condenses; NaN when none was named. */
  condensingHours: number
}

/** @throws RangeError when the columns of a typical year differ in length */
export function driversNow(model: HouseModel, draw: Draw, year: TypicalYear | null): Drivers {
  if (year === null) return lastStateDrivers(model, draw)
  const hours = year.tempC.length
  if (year.vaporPressurePa.length !== hours || year.rainMm.length !== hours) {
    throw new RangeError(`Columns of the typical year must have the same length, got ${hours} hours of temperature.`)
  }
  const on = model.warmth.terms.map((t) => t.on.at(-1) === 1)
  const tempC = spaceTemperatureIn(model.warmth, draw.warmth, year.tempC, on)
  return {
    hours,
    climate: climateOf(tempC, year.tempC, year.startAt, model.prepared.latitude),
    outdoorPa: year.vaporPressurePa,
    housePa: year.vaporPressurePa.map(assumedHousePa),
    rainMm: year.rainMm,
    machineIdle: null,
  }
}

/** Temperature answers to another air exchange and to a machine that is new. */
export function driversAfter(
  model: HouseModel,
  draw: Draw,
  plain: Drivers,
  state: State,
  next: State,
  year: TypicalYear | null,
  machineZ: number,
): Drivers {
  const tie = model.warmth.tie(state.changesPerH, next.changesPerH).mean
  const machine =
    state.machine === null && next.machine !== null ? machineWarmingK(model.warmth, draw.warmth, machineZ) : 0
  if (tie === 0 && machine === 0) return plain
  const outdoorTempC = year?.tempC ?? model.prepared.outdoorTempC
  const pull = outdoorPull(draw.warmth, outdoorTempC)
  const tempC = plain.climate.tempC.map((t, h) => t + tie * pull[h]! + machine)
  const startAt = year?.startAt ?? model.record.startAt
  return { ...plain, climate: climateOf(tempC, outdoorTempC, startAt, model.prepared.latitude) }
}

/** @param reuse columns to fill; the run holds them until they are used again */
export function runState(draw: Draw, drivers: Drivers, state: State, reuse: Flows): FullRun {
  return runFully(draw, drivers, [{ ...state, fromHour: 0, toHour: drivers.hours }], drivers.hours, null, reuse)
}

/** @throws RangeError when nothing says how cold the surface is */
export function measuresOf(
  run: FullRun,
  pressurePa: number,
  moldClass: MoldClass,
  surface: ColdSurface | null,
): Measures {
  const { vaporPressurePa, climate, pinDepthMoisture } = run
  const hours = vaporPressurePa.length
  const rhPct = vaporPressurePa.map((e, h) => (100 * e) / climate.saturationPa[h]!)
  let over80 = 0
  for (const rh of rhPct) if (rh > 80) over80++
  const index = new Float64Array(hours)
  moldIndexInto(index, climate.tempC, rhPct, 1, { material: MOLD_CLASSES[moldClass] })
  let moldMax = 0
  for (const value of index) if (value > moldMax) moldMax = value
  const meanPa = meanOf(vaporPressurePa)
  return {
    humidityRatioGKg: 1000 * humidityRatio(meanPa, pressurePa),
    vaporPressurePa: meanPa,
    rhPct: meanOf(rhPct),
    tempC: meanOf(climate.tempC),
    over80Share: over80 / hours,
    woodMcPct: 100 * meanOf(pinDepthMoisture),
    moldEnd: index[hours - 1]!,
    moldMax,
    condensingHours: surface === null ? Number.NaN : hoursOn(surface, run, rhPct),
  }
}

function hoursOn(surface: ColdSurface, { climate, vaporPressurePa }: FullRun, rhPct: Float64Array): number {
  const air = { key: surface.name, tempC: climate.tempC, rhPct, vaporPressurePa }
  let hours = 0
  for (const wet of condensingHours(air, coldSurfaceTempC(air, surface).tempC)) if (wet === 1) hours++
  return hours
}
