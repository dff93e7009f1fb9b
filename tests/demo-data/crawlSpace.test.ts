import { expect, test } from 'vitest'
import { kgPerM3Pa } from '../../demo-data/generator/air.ts'
import { runCrawlSpace } from '../../demo-data/generator/crawlSpace.ts'
import { capacityLPerDay } from '../../demo-data/generator/dehumidifier.ts'
import type { LivingSpace } from '../../demo-data/generator/livingSpace.ts'
import { randomHouseSpec } from '../../demo-data/generator/randomHouse.ts'
import { PATHS } from '../../demo-data/generator/record.ts'
import { settingsTimeline } from '../../demo-data/generator/settings.ts'
import { simulateHouse } from '../../demo-data/generator/simulateHouse.ts'
import type { HouseSpec } from '../../demo-data/generator/spec.ts'
import { wallClock } from '../../demo-data/generator/wallTime.ts'
import type { Weather } from '../../demo-data/generator/weather.ts'

const combined = randomHouseSpec(7, 'combined')
const run = simulateHouse(combined, 7)

test('every kilogram of vapor is booked: the sum of all paths is the change of the air', () => {
  const { truth } = run
  expect(run.worstBalanceErrorKg).toBeLessThan(1e-10)
  let worstKg = 0
  for (let i = 1; i < truth.hours; i++) {
    const booked = PATHS.reduce((sum, path) => sum + truth.pathKg[path][i]!, 0)
    worstKg = Math.max(worstKg, Math.abs(truth.airKg[i]! - truth.airKg[i - 1]! - booked))
  }
  expect(worstKg).toBeLessThan(1e-9)
})

test('every kilogram of rain under the house evaporated, sank away or still lies there', () => {
  const { enteredKg, sankKg, evaporatedKg, underHouseKg } = run.rain
  expect(enteredKg).toBeGreaterThan(0)
  expect(Math.abs(enteredKg - sankKg - evaporatedKg - underHouseKg)).toBeLessThan(1e-6 * enteredKg)
})

test('air, wood and readings of random houses stay within what crawl spaces show', () => {
  for (const kind of ['vents_opened', 'ground_cover', 'drains'] as const) {
    const { truth, readings } = simulateHouse(randomHouseSpec(3, kind), 3)
    const within = (column: Float64Array, low: number, high: number) =>
      column.subarray(24 * 30).every((value) => value >= low && value <= high)
    expect(within(truth.rhPct, 20, 100)).toBe(true)
    expect(within(truth.tempC, -2, 32)).toBe(true)
    expect(within(truth.woodMcPct, 5, 32)).toBe(true)
    expect(within(truth.airChangesPerHour, 0, 30)).toBe(true)
    for (const { rhPct } of Object.values(readings)) {
      expect(rhPct.length).toBeGreaterThan(1000)
      expect(rhPct.every((rh) => rh > 0 && rh <= 100)).toBe(true)
    }
  }
})

/** A house whose only paths are outdoor air and a leak, in weather that never changes. */
function steadyHouse(leaks: HouseSpec['leaks']) {
  const base = randomHouseSpec(1, 'nothing')
  const spec: HouseSpec = {
    ...base,
    works: [],
    leaks,
    ground: { ...base.ground, coverShare: 1, coverConductance: 0 },
    livingSpace: { ...base.livingSpace, downFlowM3H: 0, downFlowCoolingM3H: 0 },
  }
  const hours = 24 * 400
  const even = (value: number) => new Float64Array(hours + 1).fill(value)
  const weather: Weather = {
    startMs: Date.UTC(2023, 0, 1),
    tempC: even(16),
    vaporPressurePa: even(1000),
    windMS: even(2.5),
    rainMm: even(0),
    solarWM2: even(0),
  }
  const living: LivingSpace = { tempC: even(21), vaporPressurePa: even(1100), cooling: even(0), heating: even(0) }
  return { spec, result: runCrawlSpace(spec, settingsTimeline(spec, wallClock(spec.timeZone)), weather, living, 1) }
}

test('without a source the air settles at the outdoor vapor pressure', () => {
  const { result } = steadyHouse([])
  expect(result.truth.vaporPressurePa.at(-1)).toBeGreaterThan(990)
  expect(result.truth.vaporPressurePa.at(-1)).toBeLessThan(1010)
})

test('a steady leak lifts it by leak over exchange, and the step arrives at once in the air and late in the wood', () => {
  const litersPerDay = 6
  const leakDay = 200
  const dry = steadyHouse([])
  const wet = steadyHouse([{ litersPerDay, from: '2023-07-20' }])
  const last = wet.result.truth.hours - 1
  const lift = (i: number) => wet.result.truth.vaporPressurePa[i]! - dry.result.truth.vaporPressurePa[i]!
  const woodLift = (i: number) => wet.result.truth.woodMcPct[i]! - dry.result.truth.woodMcPct[i]!
  const { floorAreaM2, heightM } = wet.spec.geometry
  const airM3S = (wet.result.truth.airChangesPerHour[last]! * floorAreaM2 * heightM) / 3600
  const expectedPa = litersPerDay / 86_400 / (airM3S * kgPerM3Pa(wet.result.truth.tempC[last]!))
  // 5 %: after half a year the innermost wood is still taking up a little, and vents move with the warmth of the step.
  expect(Math.abs(lift(last) / expectedPa - 1)).toBeLessThan(0.05)
  expect(lift((leakDay - 1) * 24)).toBe(0)
  const dayAfter = (leakDay + 2) * 24
  expect(lift(dayAfter) / lift(last)).toBeGreaterThan(2 * (woodLift(dayAfter) / woodLift(last)))
})

test('a dehumidifier takes out less in cold or dry air and its rated liters at the rating point', () => {
  expect(capacityLPerDay(30, 26.7, 60)).toBeCloseTo(30, 1)
  expect(capacityLPerDay(30, 18.3, 60)).toBeLessThan(24)
  expect(capacityLPerDay(30, 26.7, 45)).toBeLessThan(24)
  expect(capacityLPerDay(30, 8, 60)).toBeLessThan(capacityLPerDay(30, 14, 60))
  expect(capacityLPerDay(30, 20, 20)).toBe(0)
})
