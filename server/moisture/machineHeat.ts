/**
 * A dehumidifier gives back what evaporation took, and its power as well. Held at a target the space stands 1 to 3 K
 * warmer than it was measured, and warmer air at the same RH lets less outdoor vapor in; water that is drawn out of the
 * ground cools it. Where a machine runs its warmth is in the temperature already.
 */
import type { Drivers, Stretch } from './balance.ts'
import { WATT_PER_KG_H } from './cooling.ts'
import { type Draw, EVAPORATION_LOG_SD, type HouseModel } from './house.ts'
import { climateOf, lowPass } from './prepare.ts'
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
  for (let pass = 0; pass < PASSES; pass++) {
    const held = run(warm, Number.POSITIVE_INFINITY, setRh)
    const kelvin = held.machine.map((kg, h) => {
      const drawnOut = held.ground[h]! + held.rain[h]! - plain.ground[h]! - plain.rain[h]!
      return ((WATT_PER_KG_H + POWER_W_PER_KG_H) * kg - WATT_PER_KG_H * drawnOut) / lossWK
    })
    const next = lowPass(kelvin, FIVE_DAYS_H, 0)
    warming = pass === 0 ? next.map((k) => k / 2) : warming.map((k, h) => (k + next[h]!) / 2)
    const tempC = drivers.climate.tempC.map((t, h) => t + warming[h]!)
    warm = { ...drivers, climate: climateOf(tempC, outdoor.tempC, outdoor.startAt, model.prepared.latitude) }
  }
  return warm
}
