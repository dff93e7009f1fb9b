import { expect, test } from 'vitest'
import {
  type Constants,
  type Drivers,
  newFlows,
  PATHS,
  type Stretch,
  simulate,
  woodWaterKg,
} from '../../server/moisture/balance.ts'
import { moistureFromRh, rhFromMoisture, saturationPa } from '../../server/moisture/lookups.ts'
import { machineFactor } from '../../server/moisture/machine.ts'
import { climateOf } from '../../server/moisture/prepare.ts'
import { saturationVaporPressurePa, VAPOR_GAS_CONSTANT } from '../../server/physics/air.ts'
import { equilibriumMoisturePct } from '../../server/physics/wood.ts'

const HOURS = 240
const START = Date.UTC(2024, 5, 1)

function drivers(
  of: Partial<Record<'space' | 'outdoor' | 'outdoorPa' | 'housePa' | 'rain', (h: number) => number>> = {},
  hours = HOURS,
): Drivers {
  const column = (f: (h: number) => number) => Float64Array.from({ length: hours }, (_, h) => f(h))
  const space = column(of.space ?? (() => 20))
  const outdoor = column(of.outdoor ?? (() => 20))
  return {
    hours,
    climate: climateOf(space, outdoor, START, 38, 20),
    outdoorPa: column(of.outdoorPa ?? (() => 1200)),
    housePa: column(of.housePa ?? (() => 1300)),
    rainMm: column(of.rain ?? (() => 0)),
    machineIdle: null,
  }
}

/** No wood, no ground lag: what is left has a closed form. */
const BARE: Constants = {
  volumeM3: 130,
  draftShare: 0,
  houseChangesPerH: 0,
  coolingChangesPerH: 0,
  updraftChangesPerH: 0,
  seasonWeight: 0,
  groundOffsetK: 0,
  emptyingHours: 96,
  soakingHours: 12,
  halfWetMm: 15,
  woodAreaM2: 1e-9,
  coreFactor: 1,
  woodPermeability: 3e-12,
  startRh: 0.6,
  startSurfaceRh: 0.6,
  meanRainMm: 0,
}
const WOODEN: Constants = { ...BARE, woodAreaM2: 325, draftShare: 0.4, houseChangesPerH: 0.06, seasonWeight: 0.3 }
const plain = (change: Partial<Stretch> = {}, hours = HOURS): Stretch[] => [
  {
    fromHour: 0,
    toHour: hours,
    changesPerH: 0.5,
    ground: 0,
    wetGround: 0,
    rainShare: 1,
    leakKgPerH: 0,
    machine: null,
    ...change,
  },
]
const run = (d: Drivers, c: Constants, s: Stretch[], flows = newFlows(d.hours), startPa = 1200, step = 1) => ({
  e: simulate(new Float64Array(d.hours), d, c, s, flows, startPa, step),
  flows,
})
const tk = BARE.volumeM3 / (VAPOR_GAS_CONSTANT * 293.15)

test('the steady state is the mean of what the air touches, weighted by conductance, plus the leak', () => {
  const ground = 2e-4
  const leakKgPerH = 0.05
  const { e } = run(drivers(), { ...BARE, houseChangesPerH: 0.1 }, plain({ ground, leakKgPerH }))
  const es = saturationVaporPressurePa(20)
  const weights = [0.5 * tk, 0.1 * tk, ground]
  const expected =
    (weights[0]! * 1200 + weights[1]! * 1300 + weights[2]! * es + leakKgPerH) / weights.reduce((a, b) => a + b)
  expect(e.at(-1)).toBeCloseTo(expected, 3)
})

test('a step outdoors is answered with the time constant of the air exchange', () => {
  // e(t) = 2000 + (1000 - 2000) exp(-n t), the closed form of one mixed volume
  const small = run(drivers({ outdoorPa: () => 2000 }), BARE, plain(), newFlows(HOURS), 1000, 1 / 64).e
  for (const hour of [1, 2, 4, 8]) {
    expect(Math.abs(small[hour - 1]! - (2000 - 1000 * Math.exp(-0.5 * hour)))).toBeLessThan(3) // first order in 1/64 h
  }
  const hourly = run(drivers({ outdoorPa: () => 2000 }), BARE, plain(), newFlows(HOURS), 1000).e
  // Backward Euler: each hour the distance shrinks by 1 / (1 + n), exactly.
  expect(hourly[3]).toBeCloseTo(2000 - 1000 / 1.5 ** 4, 6)
})

test('hourly steps agree with steps of four minutes where the weather moves by day', () => {
  const wave = drivers({
    outdoorPa: (h) => 1500 + 300 * Math.sin((2 * Math.PI * h) / 24),
    space: (h) => 20 + 2 * Math.sin((2 * Math.PI * h) / 24),
    rain: (h) => (h % 50 < 5 ? 2 : 0),
  })
  const stretch = plain({ ground: 3e-4, wetGround: 3e-4 })
  const coarse = run(wave, WOODEN, stretch).e
  const fine = run(wave, WOODEN, stretch, newFlows(HOURS), 1200, 1 / 16).e
  let worst = 0
  let mean = 0
  for (let h = 24; h < HOURS; h++) {
    worst = Math.max(worst, Math.abs(coarse[h]! - fine[h]!))
    mean += (coarse[h]! - fine[h]!) / (HOURS - 24)
  }
  expect(worst).toBeLessThan(40) // within the day; a sensor's 2 % RH is 45 Pa
  expect(Math.abs(mean)).toBeLessThan(3)
})

test('every kilogram is booked: flows, machine and condensing make up the gain of the air and of the wood', () => {
  const weather = drivers({
    outdoorPa: (h) => 1700 + 600 * Math.sin(h / 9),
    space: (h) => 18 + 4 * Math.sin(h / 30),
    rain: (h) => (h % 37 === 0 ? 9 : 0),
  })
  const machine = { setRh: 0.55, ratedKgPerH: 0.4 }
  const stretches = [
    { ...plain({ ground: 8e-4, wetGround: 5e-4, leakKgPerH: 0.1 })[0]!, toHour: 120 },
    { ...plain({ ground: 8e-4, machine })[0]!, fromHour: 120 },
  ]
  const { flows } = run(weather, WOODEN, stretches)
  let wood = 0
  let machineKg = 0
  for (let h = 0; h < HOURS; h++) {
    const into = PATHS.reduce((sum, path) => sum + flows[path][h]!, 0)
    expect(Math.abs(into - flows.machine[h]! - flows.condensed[h]! - flows.stored[h]!)).toBeLessThan(1e-12)
    wood += flows.wood[h]!
    machineKg += flows.machine[h]!
  }
  expect(machineKg).toBeGreaterThan(1)
  // What left the wood is what its layers lost. All start at 60 %, so a slab with one moisture bounds it.
  const start = woodWaterKg(WOODEN, [1, 1, 1, 1].map(() => moistureFromRh(0.6)) as [number, number, number, number])
  expect(Math.abs(wood)).toBeLessThan(start)
  const surface = moistureFromRh(0.6) - flows.surfaceMoisture.at(-1)!
  expect(Math.sign(surface)).toBe(Math.sign(wood))
})

test('wood alone in a closed box comes to rest with the air, and no water is lost on the way', () => {
  const sealed = drivers({}, 20_000)
  const flows = newFlows(20_000)
  const dry = { ...WOODEN, houseChangesPerH: 0, startSurfaceRh: 0.4, startRh: 0.8 }
  const { e } = run(sealed, dry, plain({ changesPerH: 0 }, 20_000), flows, 1000)
  const rh = e.at(-1)! / saturationVaporPressurePa(20)
  const expectedRh = rhFromMoisture(flows.pinDepthMoisture.at(-1)!)
  expect(rh).toBeCloseTo(expectedRh, 3)
  const layers = (s: number, m: number, c: number) => woodWaterKg(dry, [s, m, c, c].map(moistureFromRh) as never)
  const airKg = (BARE.volumeM3 / (VAPOR_GAS_CONSTANT * 293.15)) * (e.at(-1)! - 1000)
  expect(layers(0.4, 0.6, 0.8) - layers(rh, rh, rh)).toBeCloseTo(airKg, 1)
})

test('the space never exceeds saturation; what would is condensed', () => {
  const { e, flows } = run(drivers(), BARE, plain({ leakKgPerH: 2 }))
  const es = saturationVaporPressurePa(20)
  expect(Math.max(...e)).toBeLessThanOrEqual(es * (1 + 1e-5))
  expect(flows.condensed.at(-1)).toBeCloseTo(2 - 0.5 * tk * (es - 1200), 3)
})

test('a machine holds its set point when it can, and takes out its capacity when it cannot', () => {
  const humid = drivers({ outdoorPa: () => 2100 })
  const able = run(humid, BARE, plain({ machine: { setRh: 0.5, ratedKgPerH: 2 } }))
  expect(able.e.at(-1)! / saturationPa(20)).toBeCloseTo(0.5, 6)
  const weak = run(humid, BARE, plain({ machine: { setRh: 0.5, ratedKgPerH: 0.1 } }))
  expect(weak.e.at(-1)! / saturationPa(20)).toBeGreaterThan(0.55)
  const rhPct = (100 * weak.e.at(-1)!) / saturationPa(20)
  expect(weak.flows.machine.at(-1)).toBeCloseTo(0.1 * machineFactor(20, rhPct), 6)
  const ideal = run(humid, BARE, plain({ machine: { setRh: 0.5, ratedKgPerH: Number.POSITIVE_INFINITY } }))
  expect(ideal.flows.machine.at(-1)).toBeCloseTo(0.5 * tk * (2100 - 0.5 * saturationPa(20)), 4)
})

test('rain wets the ground for days, and a drain that leads most of it away leaves less', () => {
  const storm = drivers({ rain: (h) => (h < 6 ? 5 : 0) })
  const open = run(storm, BARE, plain({ wetGround: 5e-4 })).flows.rain
  const drained = run(storm, BARE, plain({ wetGround: 5e-4, rainShare: 0.3 })).flows.rain
  const sum = (a: Float64Array) => a.reduce((x, y) => x + y, 0)
  expect(sum(drained)).toBeLessThan(0.6 * sum(open))
  expect(sum(drained)).toBeGreaterThan(0.3 * sum(open)) // the store saturates, so a third of the water does more
  expect(open[100]!).toBeLessThan(open[30]!)
})

test('the tables of the inner loop agree with the formulas they stand for', () => {
  for (let tempC = -40; tempC < 55; tempC += 0.37) {
    expect(Math.abs(saturationPa(tempC) / saturationVaporPressurePa(tempC) - 1)).toBeLessThan(2e-5)
  }
  for (let rh = 0.05; rh < 0.96; rh += 0.013) {
    const moisture = equilibriumMoisturePct(20, 100 * rh) / 100
    expect(Math.abs(moistureFromRh(rh) - moisture)).toBeLessThan(2e-5)
    expect(Math.abs(rhFromMoisture(moisture) - rh)).toBeLessThan(1e-3)
  }
  expect(rhFromMoisture(moistureFromRh(0.99))).toBeCloseTo(0.99, 6)
})

test('house air that is blown down while the house is cooled dries in summer alone', () => {
  const ducts = { ...BARE, coolingChangesPerH: 0.5 }
  const steady = (outdoorC: number) =>
    run(drivers({ outdoor: () => outdoorC, housePa: () => 1000 }), ducts, plain()).e[HOURS - 1]!
  // Below 65 °F nothing is cooled; at 26.3 °C and above the flow is whole: (0.5 x 1200 + 0.5 x 1000) / 1.
  expect(steady(15)).toBeCloseTo(1200, 6)
  expect(steady(30)).toBeCloseTo(1100, 6)
})

test('a warm house draws outdoor air in, with vents sealed as well, and none when it is as warm outdoors', () => {
  const stack = { ...BARE, updraftChangesPerH: 0.2 }
  const ground = 0.001
  const steady = (outdoorC: number) => run(drivers({ outdoor: () => outdoorC }), stack, plain({ ground })).e[HOURS - 1]!
  const expected = (changes: number) => (changes * tk * 1200 + ground * saturationPa(20)) / (changes * tk + ground)
  expect(steady(6)).toBeCloseTo(expected(0.7), 3)
  expect(steady(25)).toBeCloseTo(expected(0.5), 3)
})
