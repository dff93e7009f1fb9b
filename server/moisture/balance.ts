/**
 * The balance of water vapor in the air under a house, hour by hour, fully implicit:
 *
 *   tk de/dt = n tk (e_out - e) + (nh + nc cooling) tk (e_house - e) + (Kg + Kr wet)(es(T_ground) - e) + L
 *              + kb (rh_0 es(T) - e) - D - condensing,      e <= es(T)
 *
 * tk is the vapor the air holds per pascal. Wood is four layers in a row, solved together with the air by elimination,
 * so what leaves the wood is what the air receives; every kilogram is booked under one path and the books close to
 * rounding. A year takes about a millisecond.
 */
import { VAPOR_GAS_CONSTANT } from '../physics/air.ts'
import { moistureFromRh, rhFromMoisture, saturationPa, sorptionSlope } from './lookups.ts'
import { machineFactor } from './machine.ts'
import type { Climate } from './prepare.ts'

const KELVIN = 273.15
const SECONDS_A_DAY_HOUR = 3600

/** Dry mass of the layers from the surface inward [kg per m2 of wood] and the path between their middles [mm]. */
const LAYER_MASS = [0.225, 0.675, 1.8, 5.85] as const
const LAYER_PATH_MM = [0.25, 1, 2.75, 8.5] as const
/** Wood surface per floor area [m2/m2]: with the layers above it makes 21.4 kg of framing a m2 (trade figure 21.7). */
export const WOOD_PER_FLOOR = 2.5
/** Vapor transfer of still air to a surface [kg/(m2 s Pa)], from 2 to 3 W/(m2 K) by the Lewis relation. */
const FILM = 1.5e-8

/** Properties of the house that hold over the whole record. */
export interface Constants {
  volumeM3: number
  /** Share of the air exchange that is driven by temperature difference, 0 to 1. */
  draftShare: number
  houseChangesPerH: number
  /** House air that comes down by ducts and floor cracks while the air conditioning runs flat out. */
  coolingChangesPerH: number
  /** Outdoor air drawn in by a house 15 K warmer than outdoors, vents or none. */
  updraftChangesPerH: number
  /** Weight of the 60-day node in the ground's surface temperature, and its offset [K]. */
  seasonWeight: number
  groundOffsetK: number
  /** Rain store: emptying and soaking time [h], half-wet depth [mm]. */
  emptyingHours: number
  soakingHours: number
  halfWetMm: number
  woodAreaM2: number
  /** Multiplies the mass of the innermost layer. */
  coreFactor: number
  /** Vapor permeability of wood [kg/(m s Pa)]. */
  woodPermeability: number
  /** RH of the inner wood at the start, 0 to 1, and of its surface. */
  startRh: number
  startSurfaceRh: number
  meanRainMm: number
}

export interface RunningMachine {
  /** Holds this RH as a fraction of 1. */
  setRh: number
  /** Capacity at the 80 °F / 60 % basis [kg/h]; Infinity is an ideal machine. */
  ratedKgPerH: number
}

/** What works change: one row per stretch of time. */
export interface Stretch {
  fromHour: number
  toHour: number
  changesPerH: number
  /** Ground and rain-wetted ground [kg/(h Pa)]. */
  ground: number
  wetGround: number
  /** Share of the rain that still reaches the ground under the house, against the start. */
  rainShare: number
  leakKgPerH: number
  machine: RunningMachine | null
}

export interface Drivers {
  hours: number
  climate: Climate
  outdoorPa: Float64Array
  housePa: Float64Array
  rainMm: Float64Array
  /** Hours in which a machine was seen to be idle: nothing was taken out. */
  machineIdle: Uint8Array | null
}

export const PATHS = ['outdoorAir', 'ground', 'rain', 'leak', 'house', 'wood'] as const
export type Path = (typeof PATHS)[number]

/** Kilograms an hour into the air (negative: out of it) by path, and what machine and condensing took. */
export type Flows = Record<Path, Float64Array> & {
  machine: Float64Array
  condensed: Float64Array
  /** Gain of the air itself; flows in minus machine and condensed equal it to rounding. */
  stored: Float64Array
  /** Wood moisture [kg/kg] of the layer 2 to 6 mm deep, where pins read, and of the surface layer. */
  pinDepthMoisture: Float64Array
  surfaceMoisture: Float64Array
}

export function newFlows(hours: number): Flows {
  const column = () => new Float64Array(hours)
  return {
    outdoorAir: column(),
    ground: column(),
    rain: column(),
    leak: column(),
    house: column(),
    wood: column(),
    machine: column(),
    condensed: column(),
    stored: column(),
    pinDepthMoisture: column(),
    surfaceMoisture: column(),
  }
}

/**
 * Vapor pressure in the space [Pa], by hour, written to `out`.
 *
 * @param stretches ascending, adjoining, covering the hours
 * @param stepHours length of a time step; 1 in use, smaller only to check the step
 * @param flows filled when given
 */
export function simulate(
  out: Float64Array,
  drivers: Drivers,
  constants: Constants,
  stretches: readonly Stretch[],
  flows: Flows | null = null,
  startPa: number | null = null,
  stepHours = 1,
): Float64Array {
  const { climate, outdoorPa, housePa, rainMm, machineIdle } = drivers
  const {
    volumeM3,
    draftShare,
    houseChangesPerH,
    coolingChangesPerH,
    updraftChangesPerH,
    seasonWeight,
    groundOffsetK,
    halfWetMm,
  } = constants
  const dt = stepHours
  const soakShare = 1 - Math.exp(-dt / constants.soakingHours)
  const keepShare = Math.exp(-dt / constants.emptyingHours)
  const area = constants.woodAreaM2
  const m0 = LAYER_MASS[0] * area
  const m1 = LAYER_MASS[1] * area
  const m2 = LAYER_MASS[2] * area
  const m3 = LAYER_MASS[3] * area * constants.coreFactor
  const perHour = SECONDS_A_DAY_HOUR * area
  const delta = constants.woodPermeability
  const kb = perHour / (1 / FILM + LAYER_PATH_MM[0] / 1000 / delta)
  const k1 = (perHour * delta) / (LAYER_PATH_MM[1] / 1000)
  const k2 = (perHour * delta) / (LAYER_PATH_MM[2] / 1000)
  const k3 = (perHour * delta) / (LAYER_PATH_MM[3] / 1000)
  let u0 = moistureFromRh(constants.startSurfaceRh)
  let u1 = moistureFromRh((constants.startSurfaceRh + constants.startRh) / 2)
  let u2 = moistureFromRh(constants.startRh)
  let u3 = u2
  let soaking = 0
  let store = (constants.meanRainMm * (stretches[0]?.rainShare ?? 1) * constants.emptyingHours) / halfWetMm
  let e = startPa ?? constants.startSurfaceRh * (climate.saturationPa[0] ?? 1000)

  for (const stretch of stretches) {
    const { changesPerH, ground, wetGround, rainShare, leakKgPerH, machine } = stretch
    for (let h = stretch.fromHour; h < stretch.toHour; h++) {
      const tempC = climate.tempC[h]!
      const es = climate.saturationPa[h]!
      const eg = saturationPa(
        (1 - seasonWeight) * climate.dayTempC[h]! + seasonWeight * climate.seasonTempC[h]! + groundOffsetK,
      )
      const tk = volumeM3 / (VAPOR_GAS_CONSTANT * (tempC + KELVIN))
      const exchange =
        (changesPerH * (1 - draftShare + draftShare * climate.draft[h]!) + updraftChangesPerH * climate.updraft[h]!) *
        tk
      const house = (houseChangesPerH + coolingChangesPerH * climate.cooling[h]!) * tk
      const eOut = outdoorPa[h]!
      const eHouse = housePa[h]!
      for (let t = 0; t < 1 - 1e-9; t += dt) {
        soaking += rainMm[h]! * dt
        const into = soaking * soakShare
        soaking -= into
        store = store * keepShare + (into * rainShare) / halfWetMm
        const wet = (wetGround * store) / (1 + store)

        // Wood from the core outward: each layer's new RH is a + b times that of the layer outside it.
        const p0 = rhFromMoisture(u0)
        const p1 = rhFromMoisture(u1)
        const p2 = rhFromMoisture(u2)
        const p3 = rhFromMoisture(u3)
        const c0 = (m0 * sorptionSlope(u0)) / dt
        const c1 = (m1 * sorptionSlope(u1)) / dt
        const c2 = (m2 * sorptionSlope(u2)) / dt
        const c3 = (m3 * sorptionSlope(u3)) / dt
        const g1 = k1 * es
        const g2 = k2 * es
        const g3 = k3 * es
        const d3 = 1 / (c3 + g3)
        const b3 = g3 * d3
        const a3 = c3 * p3 * d3
        const d2 = 1 / (c2 + g2 + g3 * (1 - b3))
        const b2 = g2 * d2
        const a2 = (c2 * p2 + g3 * a3) * d2
        const d1 = 1 / (c1 + g1 + g2 * (1 - b2))
        const b1 = g1 * d1
        const a1 = (c1 * p1 + g2 * a2) * d1
        const d0 = 1 / (c0 + kb * es + g1 * (1 - b1))
        const b0 = kb * d0
        const a0 = (c0 * p0 + g1 * a1) * d0

        const hold = tk / dt
        const toGround = ground + wet
        const pull = hold + exchange + house + toGround + kb * (1 - es * b0)
        const push = hold * e + exchange * eOut + house * eHouse + toGround * eg + leakKgPerH + kb * es * a0
        let next = push / pull
        let removed = 0
        if (machine !== null && (machineIdle === null || machineIdle[h] === 0)) {
          const held = machine.setRh * es
          if (next > held) {
            const wanted = push - pull * held
            const most =
              machine.ratedKgPerH === Number.POSITIVE_INFINITY
                ? wanted
                : machine.ratedKgPerH * machineFactor(tempC, Math.min(100, (100 * e) / es))
            removed = wanted < most ? wanted : most
            next = (push - removed) / pull
          }
        }
        let condensed = 0
        if (next > es) {
          condensed = pull * (next - es)
          next = es
        }
        const q0 = a0 + b0 * next
        const q1 = a1 + b1 * q0
        const q2 = a2 + b2 * q1
        const q3 = a3 + b3 * q2
        u0 += (c0 * dt * (q0 - p0)) / m0
        u1 += (c1 * dt * (q1 - p1)) / m1
        u2 += (c2 * dt * (q2 - p2)) / m2
        u3 += (c3 * dt * (q3 - p3)) / m3
        if (flows !== null) {
          flows.outdoorAir[h]! += dt * exchange * (eOut - next)
          flows.ground[h]! += dt * ground * (eg - next)
          flows.rain[h]! += dt * wet * (eg - next)
          flows.leak[h]! += dt * leakKgPerH
          flows.house[h]! += dt * house * (eHouse - next)
          flows.wood[h]! += dt * kb * (es * q0 - next)
          flows.machine[h]! += dt * removed
          flows.condensed[h]! += dt * condensed
          flows.stored[h]! += tk * (next - e)
          flows.pinDepthMoisture[h] = u2
          flows.surfaceMoisture[h] = u0
        }
        e = next
      }
      out[h] = e
    }
  }
  return out
}

/** Water held by the wood above bone dry [kg], for closing the books in tests and for the drying account. */
export function woodWaterKg(constants: Constants, moistures: readonly [number, number, number, number]): number {
  return moistures.reduce(
    (sum, u, i) => sum + u * LAYER_MASS[i]! * constants.woodAreaM2 * (i === 3 ? constants.coreFactor : 1),
    0,
  )
}
