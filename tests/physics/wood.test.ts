import { readFileSync } from 'node:fs'
import fc from 'fast-check'
import { expect, test } from 'vitest'
import { celsiusFromFahrenheit } from '../../server/physics/units.ts'
import * as wood from '../../server/physics/wood.ts'
import * as lag from '../../server/physics/woodLag.ts'

// Wood Handbook table 4-2 (tests/golden/wood-emc-table.csv, which says how each cell is known). The table is rounded to
// 0.1 point and the equation was fitted to it: the worst cell is 0.062 off.
const TABLE_4_2 = readFileSync(new URL('../golden/wood-emc-table.csv', import.meta.url), 'utf8')
  .trim()
  .split('\n')
  .slice(3)
  .map((line) => line.split(','))

for (const [tempF, rhPct, woodMcPct, knownBy] of TABLE_4_2) {
  const kind = knownBy === 'seen' ? 'published' : 'cross-check, from memory'
  test(`equilibrium moisture at ${tempF} °F and ${rhPct} % is ${woodMcPct} % · ${kind} · Wood Handbook table 4-2`, () => {
    const found = wood.equilibriumMoisturePct(celsiusFromFahrenheit(Number(tempF)), Number(rhPct))
    expect(Math.abs(found - Number(woodMcPct))).toBeLessThan(0.07)
  })
}

const tempC = fc.double({ min: -30, max: 70, noNaN: true })

test('the RH for an equilibrium moisture gives the RH back', () => {
  fc.assert(
    fc.property(tempC, fc.double({ min: 0, max: 100, noNaN: true }), (t, rh) => {
      expect(wood.rhPctForEquilibriumMoisture(t, wood.equilibriumMoisturePct(t, rh))).toBeCloseTo(rh, 6)
    }),
  )
})

test('equilibrium moisture rises with RH at every temperature, starts at 0 and ends below 32 %', () => {
  fc.assert(
    fc.property(tempC, fc.double({ min: 0, max: 99, noNaN: true }), (t, rh) => {
      expect(wood.equilibriumMoisturePct(t, rh + 1)).toBeGreaterThan(wood.equilibriumMoisturePct(t, rh))
    }),
  )
  for (const t of [-30, 0, 20, 70]) {
    expect(wood.equilibriumMoisturePct(t, 0)).toBe(0)
    expect(wood.equilibriumMoisturePct(t, 100)).toBeLessThan(32)
    expect(wood.equilibriumMoisturePct(t, 103)).toBe(wood.equilibriumMoisturePct(t, 100))
  }
})

test('the array form equals the scalar form and gives NaN for bad rows', () => {
  const t = Float64Array.of(15, 20, Number.NaN, 15, 71, 15)
  const rh = Float64Array.of(78, 102, 50, -1, 50, Number.NaN)
  const out = wood.equilibriumMoisturePctInto(new Float64Array(6), t, rh)
  expect(out[0]).toBe(wood.equilibriumMoisturePct(15, 78))
  expect(out[1]).toBe(wood.equilibriumMoisturePct(20, 100))
  expect([...out.slice(2)]).toEqual([Number.NaN, Number.NaN, Number.NaN, Number.NaN])
})

const BAD_CALLS: readonly [string, () => number, string][] = [
  ['too cold', () => wood.equilibriumMoisturePct(-31, 50), 'tempC must be between -30 and 70 °C, got -31'],
  ['too warm', () => wood.equilibriumMoisturePct(71, 50), 'tempC must be between -30 and 70 °C, got 71'],
  ['RH below 0', () => wood.equilibriumMoisturePct(20, -1), 'rhPct must be between 0 and 105 %, got -1'],
  ['RH above 105', () => wood.equilibriumMoisturePct(20, 106), 'rhPct must be between 0 and 105 %, got 106'],
  ['wood wetter than any air', () => wood.rhPctForEquilibriumMoisture(20, 35), 'woodMcPct must be between 0 and 28.'],
  ['negative moisture', () => wood.rhPctForEquilibriumMoisture(20, -1), 'woodMcPct must be between 0'],
  ['a dry mass of nothing', () => wood.moistureFromMassesPct(10, 0), 'dryMass must be greater than 0'],
  ['a wet piece lighter than dry', () => wood.moistureFromMassesPct(9, 10), 'wetMass must be between 10'],
  ['a density for a gravity', () => wood.woodDensityKgM3(450, 12), 'specificGravity must be between 0.05 and 1.5'],
  ['no wood', () => wood.waterReleasedKg(0, 20, 14), 'dryMassKg must be greater than 0'],
  ['a dry pin reading', () => wood.pinReadingAtCalibrationPct(5, 20), 'readingPct must be between 6 and 60 %'],
  ['a hot board', () => wood.pinReadingAtCalibrationPct(15, 51), 'woodTempC must be between -20 and 50 °C'],
  ['a step of nothing', () => lag.joistStep(0).surfaceFromCore, 'stepHours must be greater than 0'],
  [
    'a joist in millimeters',
    () => lag.joistStep(1, { thicknessM: 38, diffusivityM2S: 2e-10 }).surfaceFromCore,
    'thicknessM must be between 0.005 and 0.2 m, got 38',
  ],
  ['time before the step', () => lag.slabFractionalChange(-0.1), 'fourier must be at least 0'],
]

test.each(BAD_CALLS)('%s is refused with the argument and its range', (_name, call, message) => {
  expect(call).toThrow(RangeError)
  expect(call).toThrow(message)
})

test('drying 4.1 m³ of joists and subfloor from 20 to 14 % gives off about 110 kg, as reckoned by hand', () => {
  expect(wood.waterReleasedKg(4.1 * 450, 20, 14)).toBeCloseTo(110.7, 6)
})

test('a warm board reads high: 20 °F above calibration takes a point off, 20 °F below adds one', () => {
  expect(wood.pinReadingAtCalibrationPct(18, 21.1 + 100 / 9)).toBeCloseTo(17, 9)
  expect(wood.pinReadingAtCalibrationPct(18, 21.1 - 100 / 9)).toBeCloseTo(19, 9)
  expect(wood.pinReadingAtCalibrationPct(18, 26.7, 26.7)).toBe(18)
})

test('short-time solution and series of the slab meet', () => {
  expect(lag.slabFractionalChange(0.0199999)).toBeCloseTo(lag.slabFractionalChange(0.02), 5)
  expect(lag.slabFractionalChange(0)).toBe(0)
  expect(lag.slabFractionalChange(50)).toBeCloseTo(1, 12)
})

/** Mean of the two nodes after a jump from 12 to 20 %, as a share of the jump. */
function stepResponse(hours: number, stepHours: number): number {
  const step = lag.joistStep(stepHours)
  let state = { surfacePct: 12, corePct: 12 }
  for (let hour = 0; hour < hours; hour += stepHours) state = lag.stepJoist(state, 20, step)
  return (lag.meanMoisturePct(state) - 12) / 8
}

test('two nodes follow the diffusion of a joist within 0.017 at every hour of 30 days', () => {
  for (let hours = 3; hours <= 720; hours += 3) {
    const fourier = (2e-10 * hours * 3600) / 0.019 ** 2
    expect(Math.abs(stepResponse(hours, 1) - lag.slabFractionalChange(fourier))).toBeLessThan(0.017)
  }
})

test('a two-inch joist follows half of a change in 4 days and 90 % in 18, give or take a tenth', () => {
  expect(stepResponse(4 * 24, 1)).toBeCloseTo(0.5, 1)
  expect(stepResponse(18 * 24, 1)).toBeCloseTo(0.9, 1)
})

test('one step of a day equals 24 steps of an hour', () => {
  expect(stepResponse(240, 24)).toBeCloseTo(stepResponse(240, 1), 10)
})

test('the surface moves before the core, and wood in balance stays', () => {
  const step = lag.joistStep(1)
  const wetter = lag.stepJoist({ surfacePct: 12, corePct: 12 }, 20, step)
  expect(wetter.surfacePct).toBeGreaterThan(wetter.corePct)
  expect(wetter.corePct).toBeGreaterThan(12)
  expect(lag.stepJoist({ surfacePct: 15, corePct: 15 }, 15, step)).toEqual({ surfacePct: 15, corePct: 15 })
})

test('a series equals its steps; missing hours hold the wood; without a start it begins at the first known hour', () => {
  const equilibrium = Float64Array.of(Number.NaN, 20, 18, Number.NaN, 16)
  const surface = new Float64Array(5)
  const core = new Float64Array(5)
  lag.joistMoistureInto(surface, core, equilibrium, 1)
  expect(surface[0]).toBeNaN()
  expect([surface[1], core[1]]).toEqual([20, 20])
  expect([surface[3], core[3]]).toEqual([surface[2], core[2]])
  const start = { surfacePct: 14, corePct: 13 }
  lag.joistMoistureInto(surface, core, equilibrium, 1, { start })
  expect([surface[0], core[0]]).toEqual([14, 13])
  const step = lag.joistStep(1)
  const byHand = [20, 18, 16].reduce((state, pct) => lag.stepJoist(state, pct, step), start)
  expect(surface[4]).toBeCloseTo(byHand.surfacePct, 12)
  expect(core[4]).toBeCloseTo(byHand.corePct, 12)
})
