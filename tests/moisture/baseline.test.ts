import { expect, test } from 'vitest'
import { thresholds } from '../../server/advice/thresholds.ts'
import { baselineOf } from '../../server/moisture/baseline.ts'
import { column, HOUR, observedOf, outdoorOf, realHouse, START, spotWithVapor } from './made.ts'

const limits = thresholds()

function made(days: number, stormDays: readonly number[], humidFrom = Number.POSITIVE_INFINITY) {
  const hours = days * 24
  const rainMm = column(hours, (h) => (stormDays.includes(Math.floor(h / 24)) && h % 24 < 10 ? 1.5 : 0))
  const outdoor = outdoorOf(
    hours,
    (h) => (h < 24 * humidFrom ? 4 : 25),
    (h) => (h < 24 * humidFrom ? 600 : 2200),
  )
  return observedOf(hours, [spotWithVapor(hours, 1000)], { outdoor, rain: { step: 'hourly', rainMm } })
}

test('stages by days and storms, and what one more would add', () => {
  expect(baselineOf(made(10, [3]), null, limits)).toMatchObject({ stage: 'one visit', completeDays: 10, storms: 1 })
  expect(baselineOf(made(10, [3]), null, limits).adds).toEqual([
    '4 more complete days reach the 14 that screening needs.',
  ])
  const screening = baselineOf(made(45, [3, 20]), null, limits)
  expect(screening.stage).toBe('screening')
  expect(screening.adds).toEqual(['One more storm makes 3 of 3 that diagnosis needs.'])
  const diagnosis = baselineOf(made(45, [3, 20, 30]), null, limits)
  expect(diagnosis.stage).toBe('diagnosis')
  expect(diagnosis.next!.missing).toEqual([{ what: 'humid days', have: 0, wanted: 30 }])
})

test('a humid season and a cold spell, or a year, support a closing decision', () => {
  const both = baselineOf(made(90, [3, 20, 30], 50), null, limits)
  expect(both).toMatchObject({ stage: 'closing decision', humidDays: 40, next: null })
  expect(baselineOf(made(361, [3, 20, 30]), null, limits).stage).toBe('closing decision')
})

test('the first work ends the baseline', () => {
  const { completeDays, storms, to } = baselineOf(made(90, [3, 20, 60]), START + 40 * 24 * HOUR, limits)
  expect([completeDays, storms, to]).toEqual([40, 2, START + 40 * 24 * HOUR])
})

test('rain not known is never no rain: storms are not counted, and it says what can be said', () => {
  const unknown = baselineOf({ ...made(60, []), rain: null }, null, limits)
  expect(unknown).toMatchObject({
    stage: 'one visit',
    storms: null,
    dryDays: null,
    coldDryDays: null,
    rainUnknownDays: 60,
  })
  expect(unknown.canSay[1]).toBe('Vapor inside against vapor outdoors over 60 days.')
  expect(unknown.adds[0]).toBe('Until rain is recorded, storms cannot be counted and screening cannot be reached.')
  const partly = made(60, [3])
  if (partly.rain?.step === 'hourly') partly.rain.rainMm.fill(Number.NaN, 24 * 30, 24 * 40)
  expect(baselineOf(partly, null, limits).adds.at(-1)).toBe(
    'Rain is not known on 10 days; filling them in may already add a storm.',
  )
})

test('a day with four hours missing is not complete; one with three is', () => {
  const observed = made(20, [3])
  observed.spots[0]!.vaporPressurePa.fill(Number.NaN, 24, 28)
  observed.spots[0]!.vaporPressurePa.fill(Number.NaN, 72, 75)
  expect(baselineOf(observed, null, limits).completeDays).toBe(19)
})

test('nineteen months in a real attic', () => {
  const found = baselineOf(realHouse('attic-r2-hourly.csv.gz', ['air']), null, limits)
  expect(found.stage).toBe('closing decision')
  expect(found.completeDays).toBe(580)
  expect(found.storms).toBeGreaterThan(20)
})
