import { expect, test } from 'vitest'
import { thresholds } from '../../server/advice/thresholds.ts'
import { type Found, foundConditions } from '../../server/watch/found.ts'

const DAY = 86_400_000
const NOW = Date.UTC(2026, 8, 1)
const NOTHING: Found = { departures: [], departuresMadeAt: NOW, storms: [], faults: [], studiedAt: NOW, recordEnd: NOW }
const HOUSE = {
  spots: [{ path: 'crawl/low', name: 'Low corner', spaceName: 'Crawl space' }],
  lastWorkAt: NOW - 90 * DAY,
  drainedAt: NOW - 90 * DAY,
}
const conditions = (found: Partial<Found>, house = HOUSE) =>
  foundConditions({ ...NOTHING, ...found }, house, NOW, thresholds())

const storm = (daysAgo: number, answer: { clear?: boolean; liquid?: string; changePa?: number | null }) => ({
  from: NOW - daysAgo * DAY,
  to: NOW - daysAgo * DAY + 6 * 3_600_000,
  rainMm: 30,
  responses: [{ spot: 'crawl/low', clear: false, liquid: 'not seen', changePa: 5, ...answer }],
})

test('departures are passed on from the best explanation, those before the latest work are not', () => {
  const departures = [
    { kind: 'drains blocked', at: NOW - 20 * DAY, support: 8 },
    { kind: 'leak began', at: NOW - 22 * DAY, support: 12 },
    { kind: 'vents opened', at: NOW - 200 * DAY, support: 30 },
    { kind: 'dehumidifier too small', at: NOW - 10 * DAY, support: 9 },
  ]
  expect(conditions({ departures }).map(({ watch, since, about }) => [watch, since, about])).toEqual([
    ['wetter than explained', NOW - 22 * DAY, 'leak began'],
    ['dehumidifier too small', NOW - 10 * DAY, 'dehumidifier too small'],
  ])
})

test('rain is answered again only after it was not', () => {
  const back = (storms: Found['storms'], house = HOUSE) => conditions({ storms }, house).map(({ watch }) => watch)
  expect(back([storm(60, {}), storm(30, { clear: true }), storm(5, { clear: true })])).toEqual(['rain response back'])
  expect(back([storm(60, {}), storm(5, { liquid: 'seen' })])).toEqual(['rain response back'])
  // One clear answer alone may be chance; the first storms after the drains may find the ground still wet.
  expect(back([storm(60, {}), storm(5, { clear: true })])).toEqual([])
  expect(back([storm(60, { clear: true }), storm(5, { clear: true })])).toEqual([])
  expect(back([storm(60, {}), storm(5, { liquid: 'seen' })], { ...HOUSE, drainedAt: null as never })).toEqual([])
})

test('a fault beside other probes concerns the contractor while it is fresh', () => {
  const fault = { spot: 'crawl/low', kind: 'moved', from: NOW - 3 * DAY, to: NOW - 2 * DAY }
  expect(conditions({ faults: [fault] }).map(({ watch, audience }) => [watch, audience])).toEqual([
    ['probe gone bad', ['contractor']],
  ])
  expect(conditions({ faults: [{ ...fault, to: NOW - 8 * DAY }] })).toEqual([])
})
