import { expect, test } from 'vitest'
import { thresholds } from '../../server/advice/thresholds.ts'
import { rainResponse, summarizeRainResponse } from '../../server/moisture/rainResponse.ts'
import { groupStorms, rainedWithin, stormsOf } from '../../server/moisture/storms.ts'
import { normal, seeded } from '../support/series.ts'
import { column, HOUR, observedOf, outdoorOf, realHouse, START, spotWithVapor } from './made.ts'

const limits = thresholds()
const hourly = (hours: number, wet: Record<number, number>) => ({
  step: 'hourly' as const,
  rainMm: column(hours, (h) => wet[h] ?? 0),
})

test('six dry hours part two storms, five do not', () => {
  const storms = stormsOf(hourly(60, { 10: 4, 16: 3, 23: 2 }), START, limits)
  expect(storms.map((storm) => [(storm.from - START) / HOUR, (storm.to - START) / HOUR, storm.rainMm])).toEqual([
    [10, 17, 7],
    [23, 24, 2],
  ])
  expect(storms.every((storm) => !storm.atLeast)).toBe(true)
})

test('rain that is not known is never no rain: storms beside it are "at least"', () => {
  const rain = hourly(60, { 10: 4, 30: 5 })
  rain.rainMm.fill(Number.NaN, 12, 20)
  rain.rainMm.fill(Number.NaN, 27, 30)
  const storms = stormsOf(rain, START, limits)
  expect(storms.map((storm) => storm.atLeast)).toEqual([true, true])
  expect(stormsOf(null, START, limits)).toEqual([])
})

test('daily rain: a day measured as dry parts storms, a day without a row does not count as one', () => {
  const day = (d: number, rainMm: number) => ({ from: START + d * 24 * HOUR, to: START + (d + 1) * 24 * HOUR, rainMm })
  const days = [day(0, 0), day(1, 5), day(2, 8), day(3, 0), day(4, 6), day(6, 9)]
  const storms = stormsOf({ step: 'daily', days }, START, limits)
  expect(storms.map((storm) => [storm.rainMm, storm.atLeast])).toEqual([
    [13, false],
    [6, true],
    [9, true],
  ])
})

test('storms less than a window apart are answered for together, and said so', () => {
  const storms = stormsOf(hourly(400, { 100: 15, 150: 20, 300: 13, 380: 3 }), START, limits)
  expect(groupStorms(storms, limits).map((group) => [group.rainMm, group.storms])).toEqual([
    [35, 2],
    [13, 1],
  ])
})

test('rain within the hours before: true, false, or null where a missing hour could hide it', () => {
  const rain = column(100, 0)
  rain[50] = 20
  expect(rainedWithin(rain, 60, 24, 12)).toBe(true)
  expect(rainedWithin(rain, 90, 24, 12)).toBe(false)
  rain[80] = Number.NaN
  expect(rainedWithin(rain, 90, 24, 12)).toBeNull()
  expect(rainedWithin(rain, 10, 24, 12)).toBeNull()
})

/** Half a year of fronts that bring rain and moist air together; the space answers as told. */
function frontHouse(perInchPa: number, airing: number) {
  const hours = 24 * 180
  const draw = normal(seeded(11))
  const outdoor = column(hours, 0)
  let level = 0
  for (let h = 0; h < hours; h++) outdoor[h] = 1200 + (level = level * 0.985 + draw() * 45)
  const rainMm = column(hours, 0)
  for (let h = 200; h < hours; h += 240) {
    for (let k = 0; k < 8; k++) rainMm[h + k] = 2.5
    for (let k = 0; k < 96 && h + k < hours; k++) outdoor[h + k]! += 250 // the front stays moist for four days
  }
  let own = 0
  const inside = outdoor.map((value, h) => {
    own = own * Math.exp(-1 / 200) + (rainMm[h]! / 25.4) * perInchPa
    return 900 + airing * (value - 1200) + own + draw() * 10
  })
  const spot = spotWithVapor(
    hours,
    (h) => inside[h]!,
    (h) => 18 + 0.002 * h,
  )
  return observedOf(hours, [spot], {
    outdoor: outdoorOf(hours, 15, (h) => outdoor[h]!),
    rain: { step: 'hourly', rainMm },
  })
}

test('a space that answers rain is clear in most storms and near its true size', () => {
  const [summary] = summarizeRainResponse(rainResponse(frontHouse(400, 0.5), limits))
  expect(summary!.measured).toBeGreaterThan(10)
  expect(summary!.clear).toBeGreaterThanOrEqual(limits.stormsClearShare * summary!.measured)
  // 400 Pa an inch that dies away with 200 h is 320 Pa over the 72 h after; the storm ten days before left 145 Pa in the
  // 72 h before: 175 Pa.
  expect(summary!.perInchPa!.mid).toBeGreaterThan(145)
  expect(summary!.perInchPa!.mid).toBeLessThan(205)
})

test.each([1, 0.5, 0.1])('fronts alone are not taken for a rain response (airing %d)', (airing) => {
  const [summary] = summarizeRainResponse(rainResponse(frontHouse(0, airing), limits))
  expect(summary!.clear).toBeLessThanOrEqual(0.2 * summary!.measured)
  expect(Math.abs(summary!.perInchPa!.mid)).toBeLessThan(40)
})

test('no response is given without outdoor air, without known rain before, or with wet ground before', () => {
  const made = frontHouse(400, 0.5)
  const reasons = (observed: typeof made) =>
    rainResponse(observed, limits).responses.flatMap(({ answer }) =>
      answer.kind === 'cannot tell' ? [answer.reason] : [],
    )
  expect(reasons({ ...made, outdoor: null })).toHaveLength(18)
  const wetBefore = made.rain!.step === 'hourly' ? made.rain!.rainMm.slice() : column(0, 0)
  wetBefore[400] = 8
  wetBefore.fill(Number.NaN, 610, 680)
  const said = reasons({ ...made, rain: { step: 'hourly', rainMm: wetBefore } })
  expect(said.some((reason) => reason.includes('8 mm fell in the 72 h before'))).toBe(true)
  expect(said.some((reason) => reason.includes('Rain in the 72 h before is not known'))).toBe(true)
})

test('liquid is seen, not seen, or not measured', () => {
  const made = frontHouse(400, 0.5)
  const withSensor = (seen: number) => ({
    ...made,
    spots: [{ ...made.spots[0]!, waterPresentShare: column(made.hours, (h) => (h === 215 ? seen : 0)) }],
  })
  expect(summarizeRainResponse(rainResponse(made, limits))[0]!.liquid).toBe('not measured')
  expect(summarizeRainResponse(rainResponse(withSensor(1), limits))[0]!.liquid).toBe('seen')
  expect(summarizeRainResponse(rainResponse(withSensor(0), limits))[0]!.liquid).toBe('not seen')
})

test.each([
  ['attic-r2-hourly.csv.gz', ['air', 'eave']],
  ['attic-r5-hourly.csv.gz', ['air', 'underlay']],
])('real attics, which no ground water reaches, show no rain response (%s)', (file, spots) => {
  for (const summary of summarizeRainResponse(rainResponse(realHouse(file, spots), limits))) {
    expect(summary.measured).toBeGreaterThanOrEqual(13)
    expect(summary.clear).toBeLessThanOrEqual(limits.stormsUnclearShare * summary.measured)
    expect(Math.abs(summary.perInchPa!.mid)).toBeLessThan(50)
  }
})
