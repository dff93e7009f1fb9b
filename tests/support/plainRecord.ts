/** A small record made with the model itself: what was put in is known exactly. */
import { type Constants, type Stretch, simulate } from '../../server/moisture/balance.ts'
import { HOUR_MS, type HouseRecord } from '../../server/moisture/input.ts'
import { climateOf } from '../../server/moisture/prepare.ts'
import { seeded } from './seeded.ts'

export const PLAIN_START = Date.UTC(2024, 3, 1)

/** A quiet, unmeasured house of this many days; tests replace what they are about. */
export function plainRecord(days: number): HouseRecord {
  const hours = days * 24
  const { outdoorTempC, outdoorPa, rainMm } = plainWeather(hours)
  return {
    startAt: PLAIN_START,
    hours,
    spots: [],
    outdoor: { tempC: outdoorTempC, vaporPressurePa: outdoorPa },
    station: null,
    rain: { step: 'hourly', rainMm },
    houseAir: null,
    condensateL: null,
    powerW: null,
    geometry: {
      floorAreaM2: 130,
      heightM: 1,
      perimeterM: 48,
      volumeM3: null,
      coverShare: 0.2,
      ventCount: 8,
      ventState: 'open',
      downspouts: 'some led away',
      floorInsulated: true,
    },
    machineAtStart: null,
    latitude: 36,
    elevationM: 0,
    targetRhPct: 55,
    works: [],
  }
}

/** Spring to autumn with fronts every few days and rain on every sixth. */
export function plainWeather(hours: number) {
  const random = seeded(11)
  const column = () => new Float64Array(hours)
  const [outdoorTempC, outdoorPa, rainMm] = [column(), column(), column()]
  let front = 0
  for (let h = 0; h < hours; h++) {
    const season = Math.sin((2 * Math.PI * (h / 24 - 20)) / 365)
    front += -0.02 * front + 0.25 * (random() - 0.5)
    outdoorTempC[h] = 17 + 9 * season + 2 * front + 5 * Math.sin((2 * Math.PI * (h - 15)) / 24)
    outdoorPa[h] = Math.max(400, 1350 + 700 * season + 250 * front)
    rainMm[h] = Math.floor(h / 24) % 6 === 0 && h % 24 < 5 ? 4 * random() : 0
  }
  return { outdoorTempC, outdoorPa, rainMm }
}

export const PLAIN_CONSTANTS: Constants = {
  volumeM3: 130,
  draftShare: 0.45,
  houseChangesPerH: 0.08,
  coolingChangesPerH: 0,
  updraftChangesPerH: 0,
  seasonWeight: 0.3,
  groundOffsetK: 0,
  emptyingHours: 96,
  soakingHours: 12,
  halfWetMm: 15,
  woodAreaM2: 325,
  coreFactor: 1,
  woodPermeability: 3e-12,
  startRh: 0.7,
  startSurfaceRh: 0.7,
  meanRainMm: 0.05,
}

export const PLAIN_STRETCH: Omit<Stretch, 'fromHour' | 'toHour'> = {
  changesPerH: 2,
  ground: 1e-3,
  wetGround: 3e-4,
  rainShare: 1,
  leakKgPerH: 0,
  machine: null,
}

/** Fills in two spots as the model would see this house, with weather-like noise of a few pascals. */
export function measured(record: HouseRecord, stretches: readonly Stretch[], constants = PLAIN_CONSTANTS): HouseRecord {
  const { hours } = record
  const { outdoorTempC, outdoorPa, rainMm } = plainWeather(hours)
  const tempC = outdoorTempC.map((_, h) => 17 + 5 * Math.sin((2 * Math.PI * (h / 24 - 45)) / 365))
  const drivers = {
    hours,
    climate: climateOf(tempC, outdoorTempC, record.startAt, 36),
    outdoorPa,
    housePa: outdoorPa.map((e) => Math.min(e + 250, 1600)),
    rainMm,
    machineIdle: null,
  }
  const e = simulate(new Float64Array(hours), drivers, constants, stretches)
  const random = seeded(5)
  let wander = 0
  const vaporPressurePa = e.map((pa) => {
    wander += -0.03 * wander + 8 * (random() - 0.5)
    return pa + wander
  })
  const spot = (key: string, factor: number) => ({
    key,
    tempC: Float64Array.from(tempC),
    vaporPressurePa: vaporPressurePa.map((pa) => factor * pa),
  })
  return { ...record, spots: [spot('joist', 1), spot('corner', 1.03)] }
}

export const dayOf = (record: HouseRecord, day: number): number => record.startAt + day * 24 * HOUR_MS
