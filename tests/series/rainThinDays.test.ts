import fc from 'fast-check'
import { expect, test } from 'vitest'
import { dailyMeans, dayOfYear, hoursOf, localDays } from '../../server/series/days.ts'
import { rainStep, spreadDailyRain } from '../../server/series/rain.ts'
import { thinned } from '../../server/series/thin.ts'
import { DAY, HOUR } from '../support/series.ts'

const NaNs = (length: number) => new Float64Array(length).fill(Number.NaN)

test('rain is hourly, daily or not there', () => {
  const at = Float64Array.from({ length: 240 }, (_, i) => i * HOUR)
  expect(rainStep(at, NaNs(240))).toBe('none')
  expect(rainStep(at, new Float64Array(240))).toBe('hourly')
  const daily = NaNs(240).map((_, i) => (i % 24 === 23 ? 5 : Number.NaN))
  expect(rainStep(at, daily)).toBe('daily')
})

test('a daily sum spreads over its own day and leaves an unreported day unknown', () => {
  const rain = NaNs(96)
  rain[23] = 24
  rain[95] = 12
  const spread = spreadDailyRain(rain)
  expect([...spread.slice(0, 24)]).toEqual(Array(24).fill(1))
  expect(spread.slice(24, 72).every(Number.isNaN)).toBe(true)
  expect([...spread.slice(72)]).toEqual(Array(24).fill(0.5))
})

test('days of the clock changes have 23 and 25 hours and are judged by them', () => {
  const from = Date.UTC(2024, 2, 8, 5)
  const spring = localDays({ from, hours: 24 * 5 }, 'America/New_York')
  expect(spring.map(({ date }) => date)).toEqual([
    '2024-03-08',
    '2024-03-09',
    '2024-03-10',
    '2024-03-11',
    '2024-03-12',
    '2024-03-13',
  ])
  expect(spring.map(hoursOf)).toEqual([24, 24, 23, 24, 24, 24])
  expect(spring.map(({ first, end }) => end - first)).toEqual([24, 24, 23, 24, 24, 1])
  const autumn = localDays({ from: Date.UTC(2024, 10, 3, 4), hours: 25 }, 'America/New_York')
  expect(autumn.map(hoursOf)).toEqual([25])

  // 19 of 24 hours are too few (0.79), 19 of 23 are enough (0.83).
  const values = new Float64Array(24 * 5).fill(7)
  for (let i = 24; i < 29; i++) values[i] = Number.NaN
  for (let i = 48; i < 52; i++) values[i] = Number.NaN
  const means = dailyMeans(spring, values)
  expect(means[1]).toBeNaN()
  expect(means[2]).toBe(7)
  expect(means[5]).toBeNaN() // one hour of the last day lies on the grid
})

test('day of the year counts 29 February', () => {
  expect([dayOfYear('2023-03-01'), dayOfYear('2024-03-01'), dayOfYear('2024-12-31')]).toEqual([59, 60, 365])
})

test('thinning keeps the extremes and every gap of two buckets', () => {
  const series = fc.array(
    fc.record({ wait: fc.integer({ min: 1, max: 40 * HOUR }), value: fc.double({ min: -50, max: 60, noNaN: true }) }),
    { minLength: 1, maxLength: 300 },
  )
  fc.assert(
    fc.property(series, fc.integer({ min: 1, max: 200 }), (points, rows) => {
      let clock = Date.UTC(2024, 0, 1)
      const at = Float64Array.from(points, ({ wait }) => (clock += wait))
      const values = Float64Array.from(points, ({ value }) => value)
      const span = { from: at[0]!, to: at[at.length - 1]! + 1 }
      const thin = thinned(at, values, span, rows)
      expect(thin.at.length).toBeLessThanOrEqual(rows)
      const there = [...thin.min.keys()].filter((k) => !Number.isNaN(thin.min[k]!))
      expect(Math.min(...there.map((k) => thin.min[k]!))).toBe(Math.min(...values))
      expect(Math.max(...there.map((k) => thin.max[k]!))).toBe(Math.max(...values))
      for (const k of there) {
        expect(thin.min[k]).toBeLessThanOrEqual(thin.mean[k]! + 1e-9)
        expect(thin.max[k]).toBeGreaterThanOrEqual(thin.mean[k]! - 1e-9)
      }
      for (let i = 1; i < at.length; i++) {
        if (at[i]! - at[i - 1]! < 2 * thin.bucketMs) continue
        const [left, right] = [at[i - 1]!, at[i]!].map((t) => Math.floor((t - span.from) / thin.bucketMs))
        const between = [...thin.mean.slice(left! + 1, right)]
        expect(between.length).toBeGreaterThan(0)
        expect(between.every(Number.isNaN)).toBe(true)
      }
    }),
    { seed: 1, numRuns: 300 },
  )
})

test.each([0, -3, 1.5])('thinning refuses %d rows and says what it expected', (rows) => {
  expect(() => thinned(new Float64Array(0), new Float64Array(0), { from: 0, to: DAY }, rows)).toThrow(
    'whole number from 1',
  )
})
