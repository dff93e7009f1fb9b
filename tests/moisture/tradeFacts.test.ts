/**
 * What the trade knows, held against the balance. All of it is common practice without a source, so these are checks of
 * plausibility: that the model's house behaves as houses do, in a warm, humid summer.
 */
import { expect, test } from 'vitest'
import { type Drivers, type Stretch, simulate } from '../../server/moisture/balance.ts'
import { climateOf } from '../../server/moisture/prepare.ts'
import { PLAIN_CONSTANTS, PLAIN_START, PLAIN_STRETCH, plainWeather } from '../support/plainRecord.ts'

const DAYS = 150
const HOURS = DAYS * 24

/** April to August: the air outdoors reaches dew points the cool space cannot hold. */
function humidSummer(): Drivers {
  const { outdoorTempC, outdoorPa, rainMm } = plainWeather(HOURS)
  const tempC = outdoorTempC.map((_, h) => 17 + 5 * Math.sin((2 * Math.PI * (h / 24 - 45)) / 365))
  return {
    hours: HOURS,
    climate: climateOf(tempC, outdoorTempC, PLAIN_START, 36),
    outdoorPa: outdoorPa.map((pa) => pa + 250),
    housePa: outdoorPa.map((pa) => Math.min(pa + 250, 1600)),
    rainMm,
    machineIdle: null,
  }
}

const drivers = humidSummer()
/** A whole, well lapped cover. */
const COVERED = 5e-5
const SEALED = 0.3

/** 24 h means of RH over the last 60 days, the humid ones. */
function dailyRhPct(stretch: Partial<Stretch>): number[] {
  const whole = { ...PLAIN_STRETCH, ...stretch, fromHour: 0, toHour: HOURS }
  const e = simulate(new Float64Array(HOURS), drivers, PLAIN_CONSTANTS, [whole])
  return Array.from({ length: 60 }, (_, i) => {
    const from = (DAYS - 60 + i) * 24
    let sum = 0
    for (let h = from; h < from + 24; h++) sum += (100 * e[h]!) / drivers.climate.saturationPa[h]!
    return sum / 24
  })
}
const meanRh = (stretch: Partial<Stretch>) => dailyRhPct(stretch).reduce((sum, rh) => sum + rh, 0) / 60

test('drained ground, sealed vents and a dehumidifier keep a space dry without a liner (common practice, no source)', () => {
  const drained: Partial<Stretch> = { rainShare: 0.05, changesPerH: SEALED }
  const machine = { setRh: 0.52, ratedKgPerH: 45 / 24 }
  expect(Math.max(...dailyRhPct({ ...drained, machine }))).toBeLessThanOrEqual(60)
  // It is the machine that holds it: the same bare, drained ground without one stays damp.
  expect(meanRh(drained)).toBeGreaterThan(65)
})

test('open vents make a covered space wetter in a humid summer (common practice, no source)', () => {
  const covered: Partial<Stretch> = { ground: COVERED, wetGround: 1e-5 }
  expect(meanRh({ ...covered, changesPerH: 3 })).toBeGreaterThan(meanRh({ ...covered, changesPerH: SEALED }) + 1)
})

test('a fan in a vent makes it wetter still (common practice, no source)', () => {
  const covered: Partial<Stretch> = { ground: COVERED, wetGround: 1e-5 }
  expect(meanRh({ ...covered, changesPerH: 10 })).toBeGreaterThan(meanRh({ ...covered, changesPerH: 3 }))
})

test('keeping downspout water off the wall matters most where it rains in (common practice, no source)', () => {
  const gain = (wetGround: number) => {
    const before = meanRh({ changesPerH: 1, ground: COVERED, wetGround })
    return before - meanRh({ changesPerH: 1, ground: COVERED, wetGround, rainShare: 0.1 })
  }
  const rainsIn = gain(1e-3)
  const rainsPast = gain(5e-5)
  expect(rainsIn).toBeGreaterThan(1)
  expect(rainsIn).toBeGreaterThan(5 * rainsPast)
})
