import { gPerKg, kgPerM3Pa, saturationPa } from './air.ts'
import { airEntering } from './airflow.ts'
import { capacityLPerDay, isOn, powerW } from './dehumidifier.ts'
import type { LivingSpace } from './livingSpace.ts'
import { type RainStores, rainPath } from './rainStores.ts'
import { type HourlyTruth, hourlyTruth, PATHS, type SpotTruth } from './record.ts'
import type { SettingsTimeline } from './settings.ts'
import { soilHeat } from './soilHeat.ts'
import { masonry, WOOD_FACE_PER_FLOOR, wood } from './sorption.ts'
import type { HouseSpec } from './spec.ts'
import { spotAir } from './spotAir.ts'
import type { Weather } from './weather.ts'

export const STEP_S = 300
export const STEPS_PER_HOUR = 3600 / STEP_S

const LATENT_J_PER_KG = 2.45e6
const AIR_J_PER_M3K = 1200
const FILM_KG_PER_M2S_PA = 1.4e-8 // still air over a cold face; convection of about 2.2 W/(m2 K), common practice
const FILM_FULL_KG_PER_M2 = 0.12
const WET_KG_PER_M2S_PA = 1.0e-8 // wet soil and puddles, partly under the cover
const CONVECTION_W_M2K = 2.4
const RADIATION_W_M2K = 4.6 // between floor and ground
const WOOD_J_PER_M2K = 31_000
const MASONRY_J_PER_M2K = 300_000
const MASONRY_U_OUT_W_M2K = 1.6 // block wall, half of it below grade

export interface CrawlSpaceRun {
  truth: HourlyTruth
  /** Every five minutes, one entry a spot of the spec, in its order. */
  spots: SpotTruth[]
  rain: RainStores & { evaporatedKg: number }
  /** Largest error of the air's water balance in any step [kg]. */
  worstBalanceErrorKg: number
}

export interface RunOptions {
  /** Takes out whatever vapor is above this RH, without heat: what a drying machine would have to remove. */
  holdRhPct?: number
  /** Power that such a machine turns into heat, beside the latent heat, for each kilogram [J]; absent: no heat at all. */
  holdPowerJPerKg?: number
}

/**
 * Runs the air under the house in five-minute steps. In each step the air's vapor and heat are solved implicitly
 * against all they touch, so a drafty space stays stable; every kilogram of a step is booked to a path.
 */
export function runCrawlSpace(
  spec: HouseSpec,
  timeline: SettingsTimeline,
  weather: Weather,
  living: LivingSpace,
  seed: number,
  options: RunOptions = {},
): CrawlSpaceRun {
  const { floorAreaM2, heightM, perimeterM } = spec.geometry
  const volume = floorAreaM2 * heightM
  const wallArea = perimeterM * heightM
  const hours = weather.tempC.length - 1
  const truth = hourlyTruth(weather.startMs, hours)
  const soil = soilHeat(floorAreaM2, perimeterM, spec.ground.conductivityWMK, spec.climate, weather.startMs)
  const rain = rainPath(spec.water)
  let tempC = soil.layersC[0]!
  const framing = wood(floorAreaM2, 0.72, tempC)
  const block = masonry(wallArea, 0.75)
  let floorC = tempC
  let wallC = tempC
  let outdoorMeanC = weather.tempC[0]!
  let airKg = 0.75 * saturationPa(tempC) * kgPerM3Pa(tempC) * volume
  let filmKg = 0
  let running = false
  let evaporatedKg = 0
  let worstBalanceErrorKg = 0
  let settings = timeline.at(weather.startMs)
  let changeAt = timeline.nextChange(weather.startMs)
  const spots = spotAir(spec.spots, hours * STEPS_PER_HOUR, seed)

  for (let hour = 0; hour < hours; hour++) {
    const rainStepMm = weather.rainMm[hour]! / STEPS_PER_HOUR
    const houseC = living.tempC[hour]!
    const ductW =
      living.heating[hour]! * spec.livingSpace.ductHeatingW - living.cooling[hour]! * spec.livingSpace.ductCoolingW
    outdoorMeanC += (weather.tempC[hour]! - outdoorMeanC) / 240
    for (let part = 0; part < STEPS_PER_HOUR; part++) {
      const at = weather.startMs + (hour * STEPS_PER_HOUR + part) * STEP_S * 1000
      if (at >= changeAt) {
        settings = timeline.at(at)
        changeAt = timeline.nextChange(at)
        if (settings.dehumidifier === null) running = false
      }
      const share = part / STEPS_PER_HOUR
      const outdoorC = between(weather.tempC, hour, share)
      const outdoorPa = between(weather.vaporPressurePa, hour, share)
      const windMS = between(weather.windMS, hour, share)
      const housePa = between(living.vaporPressurePa, hour, share)
      const air = airEntering(
        settings.airflow,
        spec.livingSpace,
        windMS,
        tempC,
        outdoorC,
        houseC,
        living.cooling[hour]!,
      )

      // Vapor. Each path is a conductance toward a pressure; fixed flows stand apart.
      const groundC = soil.layersC[0]!
      const groundPa = 0.98 * saturationPa(groundC)
      const perM3Pa = kgPerM3Pa(tempC)
      const kOutdoor = air.outdoorM3S * perM3Pa
      const kHouse = air.houseM3S * perM3Pa
      const bare = 1 - settings.ground.coverShare
      const kGround =
        floorAreaM2 *
        (bare * settings.ground.bareConductance + settings.ground.coverShare * settings.ground.coverConductance)
      const wetArea = spec.water.wetAreaM2 * rain.wetShare()
      const kWet = Math.min(WET_KG_PER_M2S_PA * wetArea, rain.stores.underHouseKg / STEP_S / groundPa)
      const face = framing.face(floorC, STEP_S)
      const wall = block.face(wallC, STEP_S)
      const coldC = Math.min(groundC, wallC)
      const coldPa = saturationPa(coldC)
      const capacity = volume * perM3Pa
      const before = airKg / capacity
      // A film of condensed water dries only as long as there is one.
      const kFilm =
        before > coldPa
          ? FILM_KG_PER_M2S_PA * floorAreaM2
          : Math.min(FILM_KG_PER_M2S_PA * floorAreaM2, Math.max(0, filmKg) / STEP_S / coldPa)
      const leakKgS = settings.leakKgPerDay / 86_400
      let removedKgS = 0
      if (settings.dehumidifier !== null) {
        const rhPct = (100 * before) / saturationPa(tempC)
        running = isOn(running, settings.dehumidifier, rhPct)
        if (running) removedKgS = capacityLPerDay(settings.dehumidifier.ratedLPerDay, tempC, rhPct) / 86_400
      }
      const sumK = kOutdoor + kHouse + kGround + kWet + face.conductance + wall.conductance + kFilm
      const pulled =
        kOutdoor * outdoorPa +
        kHouse * housePa +
        (kGround + kWet) * groundPa +
        face.conductance * face.pressurePa +
        wall.conductance * wall.pressurePa +
        kFilm * coldPa +
        leakKgS
      let pa = (airKg + STEP_S * (pulled - removedKgS)) / (capacity + STEP_S * sumK)
      // The air holds no more than saturation, and a held space no more than its target; the rest is taken out.
      const saturatedPa = saturationPa(tempC)
      let heldKg = 0
      let fogKg = 0
      const limitPa = options.holdRhPct === undefined ? saturatedPa : (options.holdRhPct / 100) * saturatedPa
      if (pa > limitPa) {
        const excessKg = (pa - limitPa) * (capacity + STEP_S * sumK)
        if (options.holdRhPct === undefined) fogKg = excessKg
        else heldKg = excessKg
        pa = limitPa
      }
      const outdoorKg = STEP_S * kOutdoor * (outdoorPa - pa)
      const houseKg = STEP_S * kHouse * (housePa - pa)
      const groundKg = STEP_S * kGround * (groundPa - pa)
      const rainKg = STEP_S * kWet * (groundPa - pa)
      const leakKg = STEP_S * leakKgS
      const faceKg = STEP_S * face.conductance * (face.pressurePa - pa)
      const wallKg = STEP_S * wall.conductance * (wall.pressurePa - pa)
      const filmOutKg = STEP_S * kFilm * (coldPa - pa) - fogKg
      const driedKg = STEP_S * removedKgS + heldKg
      const afterKg = pa * capacity
      const booked = outdoorKg + houseKg + groundKg + rainKg + leakKg + faceKg + wallKg + filmOutKg - driedKg
      worstBalanceErrorKg = Math.max(worstBalanceErrorKg, Math.abs(afterKg - airKg - booked))
      airKg = afterKg
      filmKg = Math.min(filmKg - filmOutKg, FILM_FULL_KG_PER_M2 * floorAreaM2) // more than that runs off
      block.waterKg -= wallKg
      framing.step(floorC, STEP_S, -faceKg)
      rain.step(STEP_S, rainStepMm, settings.roofShare, settings.yardShare, rainKg)
      evaporatedKg += rainKg

      // Heat. Air against floor, ground, walls and the air that comes in.
      const hFloor = CONVECTION_W_M2K * WOOD_FACE_PER_FLOOR * floorAreaM2
      const hGround = CONVECTION_W_M2K * floorAreaM2
      const hWall = CONVECTION_W_M2K * wallArea
      const hOutdoor = AIR_J_PER_M3K * air.outdoorM3S
      const hHouse = AIR_J_PER_M3K * air.houseM3S
      const machineW = running && settings.dehumidifier !== null ? powerW(settings.dehumidifier.ratedLPerDay, tempC) : 0
      const heldJPerKg = options.holdPowerJPerKg === undefined ? 0 : LATENT_J_PER_KG + options.holdPowerJPerKg
      const heatW = ductW + machineW + LATENT_J_PER_KG * removedKgS + (heldJPerKg * heldKg) / STEP_S
      const airJ = AIR_J_PER_M3K * volume
      const nextC =
        (airJ * tempC +
          STEP_S *
            (hFloor * floorC + hGround * groundC + hWall * wallC + hOutdoor * outdoorC + hHouse * houseC + heatW)) /
        (airJ + STEP_S * (hFloor + hGround + hWall + hOutdoor + hHouse))
      const radiantW = RADIATION_W_M2K * floorAreaM2 * (floorC - groundC)
      const floorW =
        spec.livingSpace.floorUWM2K * floorAreaM2 * (houseC - floorC) +
        hFloor * (nextC - floorC) -
        radiantW -
        (LATENT_J_PER_KG * faceKg) / STEP_S
      const wallW = hWall * (nextC - wallC) + MASONRY_U_OUT_W_M2K * wallArea * ((outdoorC + outdoorMeanC) / 2 - wallC)
      const topW = hGround * (nextC - groundC) + radiantW - (LATENT_J_PER_KG * (groundKg + rainKg + filmOutKg)) / STEP_S
      floorC += (STEP_S * floorW) / (WOOD_J_PER_M2K * floorAreaM2)
      wallC += (STEP_S * wallW) / (MASONRY_J_PER_M2K * wallArea)
      soil.step(STEP_S, at, topW, outdoorMeanC)
      tempC = nextC
      const airChanges = ((air.outdoorM3S + air.houseM3S) * 3600) / volume
      spots.step(hour * STEPS_PER_HOUR + part, {
        tempC,
        vaporPressurePa: pa,
        outdoorC,
        outdoorPa,
        outdoorAirChanges: (air.outdoorM3S * 3600) / volume,
        floorC,
        groundC,
        rainKgPerHour: rainKg * STEPS_PER_HOUR,
        leakKgPerHour: leakKg * STEPS_PER_HOUR,
      })

      const w = 1 / STEPS_PER_HOUR
      truth.tempC[hour]! += tempC * w
      truth.vaporPressurePa[hour]! += pa * w
      truth.humidityRatioGKg[hour]! += gPerKg(pa) * w
      truth.rhPct[hour]! += Math.min(100, (100 * pa) / saturationPa(tempC)) * w
      truth.coldestSurfaceC[hour]! += coldC * w
      truth.airChangesPerHour[hour]! += airChanges * w
      truth.energyWh[hour]! += machineW * w
      truth.duty[hour]! += (running ? 1 : 0) * w
      const flows = [outdoorKg, houseKg, groundKg, rainKg, leakKg, faceKg, wallKg, filmOutKg, -driedKg]
      for (let p = 0; p < PATHS.length; p++) truth.pathKg[PATHS[p]!][hour]! += flows[p]!
    }
    truth.woodMcPct[hour] = framing.pinDepthPct()
    truth.airKg[hour] = airKg
  }
  return { truth, spots: spots.truth, rain: { ...rain.stores, evaporatedKg }, worstBalanceErrorKg }
}

const between = (column: Float64Array, i: number, share: number) => column[i]! + share * (column[i + 1]! - column[i]!)
