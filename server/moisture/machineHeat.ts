/**
 * A dehumidifier gives back what evaporation took, and its power as well. Held at a target the space stands 1 to 3 K
 * warmer than it was measured, and warmer air at the same RH lets less outdoor vapor in; water that is drawn out of the
 * ground cools it. Where a machine runs its warmth is in the temperature already.
 */
import type { Drivers, Stretch } from './balance.ts'
import { WATT_PER_KG_H } from './cooling.ts'
import { type Draw, EVAPORATION_LOG_SD, type HouseModel } from './house.ts'
import { DAY_HOURS } from './input.ts'
import { type Climate, climateOf, GROUND_DAYS, lowPass } from './prepare.ts'
import { runFully } from './timber.ts'
import { AIR_WH_PER_M3K } from './warmth.ts'

/** 1.7 L a kWh, a common machine in air as cool as this (common practice, no source) [W for each kg/h]. */
const POWER_W_PER_KG_H = 590
/**
 * Heat that leaves the space for each kelvin it stands warmer for weeks: ground 0.6, floor above 0.35 with insulation or
 * 1.2 without [W/(m2 K) of floor], walls 1.5 [W/(m2 K)], and the air exchanged (sum of textbook parts).
 */
const GROUND_W_PER_M2K = 0.6
const FLOOR_W_PER_M2K = { insulated: 0.35, bare: 1.2 } as const
const WALL_W_PER_M2K = 1.5
/**
 * The machine warms the air, and its heat reaches the ground by still air (1 to 3 W/(m2 K)) and by radiation from the
 * floor above (4.7): from these parts the ground's surface warms 0.77 to 0.84 as much, and evaporation cools it by a
 * further kelvin for each 6 W/m2 that it draws.
 */
const GROUND_LAG_SHARE = 0.2
const GROUND_FILM_W_PER_M2K = 6
/** Half a meter of soil and the framing over that loss. */
const FIVE_DAYS_H = 120
/** Warmer air needs less taken out, so the first answer is too warm; the mean of two is within a few per cent. */
const PASSES = 3

/** The same weather with the heat of an ideal machine that holds this RH left in the space. */
export function warmedByMachine(
  model: HouseModel,
  draw: Draw,
  drivers: Drivers,
  outdoor: { tempC: Float64Array; startAt: number },
  properties: Omit<Stretch, 'fromHour' | 'toHour'>,
  setRh: number,
): Drivers {
  const { hours } = drivers
  const factor = Math.exp(EVAPORATION_LOG_SD * draw.evaporationZ)
  const { floorAreaM2, volumeM3, perimeterM, heightM } = model.size
  const insulated = model.record.geometry.floorInsulated ?? false
  const floor = GROUND_W_PER_M2K + FLOOR_W_PER_M2K[insulated ? 'insulated' : 'bare']
  const walls = WALL_W_PER_M2K * perimeterM * heightM
  const lossWK = (floor * floorAreaM2 + walls + AIR_WH_PER_M3K * volumeM3 * properties.changesPerH) / factor
  const run = (at: Drivers, ratedKgPerH: number, startRh: number | null) =>
    runFully(
      draw,
      at,
      [{ ...properties, machine: ratedKgPerH > 0 ? { setRh, ratedKgPerH } : null, fromHour: 0, toHour: hours }],
      hours,
      startRh,
    )
  const plain = run(drivers, 0, null)
  let warm = drivers
  let warming = new Float64Array(hours)
  let lag = new Float64Array(hours)
  for (let pass = 0; pass < PASSES; pass++) {
    const held = run(warm, Number.POSITIVE_INFINITY, setRh)
    const kelvin = new Float64Array(hours)
    const behind = new Float64Array(hours)
    for (let h = 0; h < hours; h++) {
      const machineW = (WATT_PER_KG_H + POWER_W_PER_KG_H) * held.machine[h]!
      const drawnW = WATT_PER_KG_H * (held.ground[h]! + held.rain[h]! - plain.ground[h]! - plain.rain[h]!)
      kelvin[h] = (machineW - drawnW) / lossWK
      behind[h] = (GROUND_LAG_SHARE * machineW) / lossWK + (factor * drawnW) / (GROUND_FILM_W_PER_M2K * floorAreaM2)
    }
    const settle = (before: Float64Array, next: Float64Array) =>
      pass === 0 ? next.map((k) => k / 2) : before.map((k, h) => (k + next[h]!) / 2)
    warming = settle(warming, lowPass(kelvin, FIVE_DAYS_H, 0))
    lag = settle(lag, lowPass(behind, FIVE_DAYS_H, 0))
    const tempC = drivers.climate.tempC.map((t, h) => t + warming[h]!)
    const climate = climateOf(tempC, outdoor.tempC, outdoor.startAt, model.prepared.latitude)
    warm = { ...drivers, climate: groundBehind(climate, lag) }
  }
  return warm
}

/** The same climate with the ground's surface this much colder [K]. */
function groundBehind(climate: Climate, lagK: Float64Array): Climate {
  const day = lowPass(lagK, DAY_HOURS, 0)
  const season = lowPass(lagK, GROUND_DAYS * DAY_HOURS, 0)
  return {
    ...climate,
    dayTempC: climate.dayTempC.map((t, h) => t - day[h]!),
    seasonTempC: climate.seasonTempC.map((t, h) => t - season[h]!),
  }
}
