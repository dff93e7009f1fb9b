import { expect, test } from 'vitest'
import type { SpotSeries } from '../../server/moisture/input.ts'
import { combineSpots } from '../../server/moisture/spots.ts'

const HOURS = 480
const truth = (h: number) => 1500 + 200 * Math.sin(h / 20)
const spot = (key: string, vapor: (h: number) => number, tempC = (_h: number) => 20): SpotSeries => ({
  key,
  tempC: Float64Array.from({ length: HOURS }, (_, h) => tempC(h)),
  vaporPressurePa: Float64Array.from({ length: HOURS }, (_, h) => vapor(h)),
})

test('a logger that drops out does not shift the common series', () => {
  const all = combineSpots(
    [spot('a', truth), spot('b', (h) => 1.1 * truth(h)), spot('c', (h) => 0.95 * truth(h))],
    HOURS,
  )
  const gap = combineSpots(
    [
      spot('a', truth),
      spot('b', (h) => (h > 200 && h < 300 ? Number.NaN : 1.1 * truth(h))),
      spot('c', (h) => 0.95 * truth(h)),
    ],
    HOURS,
  )
  for (let h = 0; h < HOURS; h++) {
    expect(Math.abs(gap.vaporPressurePa[h]! / all.vaporPressurePa[h]! - 1)).toBeLessThan(1e-9)
  }
})

test('one bad logger of three does not move the common series', () => {
  const good = combineSpots([spot('a', truth), spot('b', truth), spot('c', truth)], HOURS).vaporPressurePa
  const bad = combineSpots([spot('a', truth), spot('b', truth), spot('c', (h) => 900 + 7 * h)], HOURS).vaporPressurePa
  for (let h = 0; h < HOURS; h++) expect(bad[h]).toBeCloseTo(good[h]!, 6)
})

test('a wet corner is reported with its level and named the worst spot', () => {
  const space = combineSpots([spot('joist', truth), spot('corner', (h) => 1.12 * truth(h)), spot('vent', truth)], HOURS)
  expect(space.worstSpot).toBe('corner')
  const corner = space.spots.find((s) => s.key === 'corner')!
  expect(corner.vaporRatio).toBeCloseTo(1.12, 6)
  expect(corner.meanExcessPa).toBeGreaterThan(150)
  expect(corner.worstDayRhPct).toBeGreaterThan(70)
})

test('a spot with two days of readings is left out and says why', () => {
  const space = combineSpots([spot('a', truth), spot('b', (h) => (h < 48 ? truth(h) : Number.NaN))], HOURS)
  expect(space.spots[1]).toMatchObject({
    used: false,
    reason: expect.stringContaining('2 days measured, 3 are needed'),
  })
})

test('no spot at all gives no worst spot and a series of gaps', () => {
  const space = combineSpots([], HOURS)
  expect(space.worstSpot).toBeNull()
  expect(space.vaporPressurePa.every(Number.isNaN)).toBe(true)
})

test('a spot of another length is refused by name', () => {
  expect(() => combineSpots([spot('a', truth)], 12)).toThrow('Spot a must have 12 hours')
})
