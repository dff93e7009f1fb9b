/** One possible house in one weather, run with and without remedies, and what is read from a run. */
import { humidityRatio } from '../physics/air.ts'
import { type MoldOptions, moldIndexInto } from '../physics/mold.ts'
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

/** A named cold surface, its temperature as a straight line over that of the air. */
export interface SurfaceLine {
  name: string
  atZeroC: number
  perK: number
}

/** @throws RangeError when nothing says how cold the surface is */
export function surfaceLine(surface: ColdSurface): SurfaceLine {
  // Layers in series are linear in the air's temperature: two points give the line for all draws and hours.
  const two = { key: surface.name, tempC: Float64Array.of(0, 50), rhPct: NO_AIR, vaporPressurePa: NO_AIR }
  const [low, high] = coldSurfaceTempC(two, surface).tempC
  return { name: surface.name, atZeroC: low!, perK: (high! - low!) / 50 }
}

const NO_AIR = new Float64Array(0)

export function measuresOf(run: FullRun, pressurePa: number, mold: MoldOptions, surface: SurfaceLine | null): Measures {
  const { vaporPressurePa, climate, pinDepthMoisture } = run
  const hours = vaporPressurePa.length
  const rhPct = new Float64Array(hours)
  let [over80, rhSum, moldMax] = [0, 0, 0]
  for (let h = 0; h < hours; h++) {
    const rh = (100 * vaporPressurePa[h]!) / climate.saturationPa[h]!
    rhPct[h] = rh
    rhSum += rh
    if (rh > 80) over80++
  }
  const index = moldIndexInto(new Float64Array(hours), climate.tempC, rhPct, 1, mold)
  for (let h = 0; h < hours; h++) if (index[h]! > moldMax) moldMax = index[h]!
  const meanPa = meanOf(vaporPressurePa)
  return {
    humidityRatioGKg: 1000 * humidityRatio(meanPa, pressurePa),
    vaporPressurePa: meanPa,
    rhPct: rhSum / hours,
    tempC: meanOf(climate.tempC),
    over80Share: over80 / hours,
    woodMcPct: 100 * meanOf(pinDepthMoisture),
    moldEnd: index[hours - 1]!,
    moldMax,
    condensingHours: surface === null ? Number.NaN : hoursOn(surface, run, rhPct),
  }
}

function hoursOn({ name, atZeroC, perK }: SurfaceLine, run: FullRun, rhPct: Float64Array): number {
  const { climate, vaporPressurePa } = run
  const surfaceTempC = climate.tempC.map((air) => atZeroC + perK * air)
  const wet = condensingHours({ key: name, tempC: climate.tempC, rhPct, vaporPressurePa }, surfaceTempC)
  let hours = 0
  for (let h = 0; h < wet.length; h++) if (wet[h] === 1) hours++
  return hours
}
