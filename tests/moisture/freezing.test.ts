import { expect, test } from 'vitest'
import { thresholds } from '../../server/advice/thresholds.ts'
import { freezing } from '../../server/moisture/freezing.ts'
import { HOUR, observedOf, realHouse, START, spotOf } from './made.ts'

const limits = thresholds()
const hours = 24 * 6
const cold = (spans: [from: number, to: number, tempC: number][], key: string) =>
  spotOf(hours, (h) => spans.find(([from, to]) => h >= from && h < to)?.[2] ?? 8, 60, key)

test('three hours at or below freezing at any logger are a freeze, two are not', () => {
  const found = freezing(observedOf(hours, [cold([[10, 12, -1]], 'rim'), cold([[60, 63, 0]], 'pipe')]), limits)
  expect(found.events).toEqual([{ from: START + 60 * HOUR, to: START + 63 * HOUR, lowestTempC: 0, spots: ['pipe'] }])
  expect(found.actHours).toBe(5)
})

test('freezes less than a day apart are one event, with the spots that saw it', () => {
  const found = freezing(
    observedOf(hours, [cold([[10, 20, -2]], 'rim'), cold([[30, 40, -3]], 'pipe'), cold([[90, 94, -1]], 'rim2')]),
    limits,
  )
  expect(found.events.map((event) => [event.spots, event.lowestTempC])).toEqual([
    [['rim', 'pipe'], -3],
    [['rim2'], -1],
  ])
})

test('hours below 38 °F are counted by local day, and silence is told', () => {
  const spot = cold([[5, 9, 2]], 'rim')
  spot.tempC.fill(Number.NaN, 100, 110)
  const found = freezing(observedOf(hours, [spot]), limits)
  expect(found.days.map((day) => [day.at, day.watchHours, day.actHours])).toEqual([[START, 4, 0]])
  expect(found.missingHours).toBe(10)
})

test('a missing hour ends a run: what was not seen is not counted as frost', () => {
  const spot = cold([[10, 15, -2]], 'rim')
  spot.tempC[12] = Number.NaN
  expect(freezing(observedOf(hours, [spot]), limits).events).toEqual([])
})

test('a Finnish attic freezes through the winter and not in June to August', () => {
  const observed = realHouse('attic-r5-hourly.csv.gz', ['air', 'underlay'])
  const found = freezing(observed, limits)
  expect(found.events.length).toBeGreaterThan(20)
  expect(Math.min(...found.events.map((event) => event.lowestTempC))).toBeLessThan(-18)
  const summer = [Date.UTC(2011, 5, 5), Date.UTC(2011, 8, 1)] as const
  expect(found.events.filter((event) => event.from > summer[0] && event.from < summer[1])).toEqual([])
})
