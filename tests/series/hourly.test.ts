import { expect, test } from 'vitest'
import { dewPointC, vaporPressurePa } from '../../server/physics/air.ts'
import { buildHourly, denseHours, HOURLY_NAMES } from '../../server/series/hourly.ts'
import { LOCAL_MARKS_REACH_MS } from '../../server/series/quality.ts'
import { columns, HOUR, MINUTE, madeReadings, seeded } from '../support/series.ts'

const START = Date.UTC(2024, 5, 10, 12)

test('vapor pressure of an hour is the mean of its readings, not made from mean temperature and RH', () => {
  const hourly = buildHourly(columns({ at: [START, START + 30 * MINUTE], tempC: [10, 30], rhPct: [90, 30] }))
  const [low, high] = [vaporPressurePa(10, 90), vaporPressurePa(30, 30)]
  expect(hourly.count[0]).toBe(2)
  expect(hourly.tempC[0]).toBe(20)
  expect(hourly.tempMinC[0]).toBe(10)
  expect(hourly.tempMaxC[0]).toBe(30)
  expect(hourly.rhPct[0]).toBe(60)
  expect(hourly.vaporPressurePa[0]).toBeCloseTo((low + high) / 2, 6)
  expect(hourly.dewPointMaxC[0]).toBeCloseTo(dewPointC(Math.max(low, high)), 6)
  // 20 °C and 60 % would be 1,403 Pa (ASHRAE 2017 ch. 1 table 3: 2,338.8 Pa saturated), some 200 Pa too much.
  expect(hourly.vaporPressurePa[0]).toBeLessThan(1250)
})

test('an instant belongs to the hour it lies in, a sum to the hour its interval ends in', () => {
  const hourly = buildHourly(
    columns({
      at: [START, START + HOUR, START + HOUR + 20 * MINUTE],
      tempC: [10, 20, 30],
      rainMm: [1, 2, 4],
    }),
  )
  expect([...hourly.at]).toEqual([START - HOUR, START, START + HOUR])
  expect([...hourly.rainMm]).toEqual([1, 2, 4])
  expect([...hourly.tempC]).toEqual([Number.NaN, 10, 25])
  expect([...hourly.count]).toEqual([0, 1, 2])
})

test('a missing quantity stays missing and is not zero', () => {
  const hourly = buildHourly(columns({ at: [START], tempC: [Number.NaN], batteryV: [3.01] }))
  expect(hourly.tempC[0]).toBeNaN()
  expect(hourly.rainMm[0]).toBeNaN()
  expect(hourly.vaporPressurePa[0]).toBeNaN()
  expect(hourly.batteryMinV[0]).toBe(3.01)
})

test('a temperature that no vapor pressure exists for costs only the vapor pressure', () => {
  const hourly = buildHourly(columns({ at: [START], tempC: [-75], rhPct: [50] }))
  expect(hourly.tempC[0]).toBe(-75)
  expect(hourly.vaporPressurePa[0]).toBeNaN()
})

test('water, surface, power and condensate', () => {
  const hourly = buildHourly(
    columns({
      at: [START + MINUTE, START + 21 * MINUTE, START + 41 * MINUTE, START + 51 * MINUTE],
      waterPresent: [0, 1, 1, 1],
      surfaceTempC: [12, 10, 14, 12],
      powerW: [0, 300, 300, 0],
      condensateL: [0.1, 0.2, 0.3, Number.NaN],
    }),
  )
  expect(hourly.waterPresentShare[0]).toBe(0.75)
  expect([hourly.surfaceTempC[0], hourly.surfaceTempMinC[0]]).toEqual([12, 10])
  expect(hourly.powerW[0]).toBe(150)
  expect(hourly.condensateL[0]).toBeCloseTo(0.6, 12)
})

test('an RH offset changes the vapor pressure within its dates only, and RH stays below 100 %', () => {
  const readings = columns({ at: [START, START + HOUR, START + 2 * HOUR], tempC: [20, 20, 20], rhPct: [97, 97, 97] })
  const hourly = buildHourly(readings, [
    { quantity: 'rhPct', offset: 5, from: START + HOUR, to: START + 2 * HOUR },
    { quantity: 'tempC', offset: -1, from: START + 2 * HOUR, to: null },
  ])
  expect([...hourly.rhPct]).toEqual([97, 100, 97])
  expect([...hourly.tempC]).toEqual([20, 20, 19])
  expect(hourly.vaporPressurePa[1]).toBeCloseTo(vaporPressurePa(20, 100), 6)
  expect([...readings.rhPct!]).toEqual([97, 97, 97]) // as received
})

test('a clock correction moves readings to another hour, even past their neighbors', () => {
  const readings = columns({ at: [START, START + HOUR, START + 2 * HOUR], tempC: [1, 2, 3] })
  const hourly = buildHourly(readings, [{ quantity: 'clock', offset: -5 * 3600, from: START + 2 * HOUR, to: null }])
  expect([...hourly.at]).toEqual([START - 3 * HOUR, START, START + HOUR])
  expect([...hourly.tempC]).toEqual([3, 1, 2])
})

test('a dense grid keeps a gap as NaN rows', () => {
  const dense = denseHours(buildHourly(columns({ at: [START, START + 3 * HOUR], tempC: [1, 4] })), {
    from: START - HOUR,
    to: START + 4 * HOUR,
  })
  expect([...dense.tempC]).toEqual([Number.NaN, 1, Number.NaN, Number.NaN, 4])
  expect([...dense.count]).toEqual([0, 1, 0, 0, 1])
})

test('hours are the same, marks too, whether a week or a day is built', () => {
  const random = seeded(7)
  const readings = madeReadings({
    from: START,
    to: START + 30 * 24 * HOUR,
    everyMs: 15 * MINUTE,
    // Long stuck, saturated and jumpy stretches, so that marks reach over the borders of the day.
    tempC: (at) => (Math.floor(at / (60 * HOUR)) % 3 === 0 ? 18 : 18 + 4 * random()),
    rhPct: (at) => (Math.floor(at / (50 * HOUR)) % 2 === 0 ? 96 : 80 + 12 * random()),
  })
  const whole = buildHourly(readings)
  expect(new Set(whole.marks).size).toBeGreaterThan(2)
  for (let day = 0; day < 30; day++) {
    const span = { from: START + day * 24 * HOUR, to: START + (day + 1) * 24 * HOUR }
    const rows = [...readings.at.keys()].filter((i) => {
      const at = readings.at[i]!
      return at >= span.from - LOCAL_MARKS_REACH_MS && at < span.to + LOCAL_MARKS_REACH_MS
    })
    const pick = (column: Float64Array) => rows.map((i) => column[i]!)
    const part = buildHourly(
      columns({ at: pick(readings.at), tempC: pick(readings.tempC!), rhPct: pick(readings.rhPct!) }),
      [],
      span,
    )
    for (const name of HOURLY_NAMES) {
      expect([...part[name]]).toEqual([...whole[name].slice(day * 24, (day + 1) * 24)])
    }
  }
})
