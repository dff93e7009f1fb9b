import { expect, test } from 'vitest'
import { vaporPressurePa } from '../../server/physics/air.ts'
import { marksOfBits } from '../../server/series/marks.ts'
import type { HouseTree } from '../../server/store/houseTree.ts'
import { refreshHourly } from '../../server/store/refreshHourly.ts'
import { readHouseRecord } from '../../server/study/houseRecord.ts'
import { scratchDatabase } from '../support/database.ts'
import { columns, DAY, HOUR, MINUTE, madeReadings, swing } from '../support/series.ts'
import { storeTestHouse, TEST_HOUSE } from '../support/studiedHouse.ts'

const START = Date.UTC(2024, 2, 1, 5) // 1 March 2024, 00:00 in New York
const span = { from: START, to: START + 20 * DAY, everyMs: 15 * MINUTE }
const air = (tempC: number, rhPct: number) => madeReadings({ ...span, tempC: swing(tempC, 1), rhPct: swing(rhPct, 3) })

async function read(tree: HouseTree, readings: Parameters<typeof storeTestHouse>[2]) {
  const db = scratchDatabase()
  await storeTestHouse(db, tree, readings)
  await refreshHourly(db)
  const house = await readHouseRecord(db, tree.key)
  return house!
}

test('a house that is not there is undefined, one without readings is empty', async () => {
  const db = scratchDatabase()
  expect(await readHouseRecord(db, 'nobody')).toBeUndefined()
  await storeTestHouse(db, TEST_HOUSE)
  expect(await readHouseRecord(db, TEST_HOUSE.key)).toMatchObject({ grid: { hours: 0 }, periods: [], outdoor: null })
})

test('a moved logger never smears two spots: the hour of the move belongs to neither', async () => {
  const moved: HouseTree = {
    ...TEST_HOUSE,
    loggers: [
      {
        key: 'l1',
        probes: [
          {
            key: 'air',
            placements: [
              { spot: 'crawl/low', from: '2024-03-01', to: '2024-03-10T09:20' },
              { spot: 'crawl/mid', from: '2024-03-10T09:40' },
            ],
          },
        ],
      },
    ],
  }
  const move = Date.UTC(2024, 2, 10, 13, 20) // clocks had gone forward that night
  const readings = madeReadings({ ...span, tempC: (at) => (at < move ? 12 : 20), rhPct: swing(70, 3) })
  const house = await read(moved, { 'l1/air': readings })
  const tempsAt = (path: string) => house.spots.find((spot) => spot.path === path)!.hours.tempC
  const known = (path: string) => [...tempsAt(path)].filter((value) => !Number.isNaN(value))
  expect(new Set(known('crawl/low'))).toEqual(new Set([12]))
  expect(new Set(known('crawl/mid'))).toEqual(new Set([20]))
  expect(known('crawl/low').length + known('crawl/mid').length).toBe(20 * 24 - 1)
})

test('outdoor air is the source with most hours, and rain is found where it is', async () => {
  const rain = { ...air(8, 70), rainMm: new Float64Array(20 * 96).fill(0.1) }
  const house = await read(TEST_HOUSE, { 'l1/air': air(14, 80), 'lo/air': rain })
  expect(house.outdoor).toMatchObject({ name: 'North wall', source: 'spot' })
  expect(house.rain).toMatchObject({ name: 'North wall', step: 'hourly' })
  expect(house.rain!.rainMm[5]).toBeCloseTo(0.4, 9)
  expect(house.days.map((day) => Math.round((day.to - day.from) / HOUR)).filter((hours) => hours !== 24)).toEqual([23])
})

test('hours of a visit and of a stuck sensor are left out, and the bits say why', async () => {
  const stuck = madeReadings({
    ...span,
    tempC: (at) => (at >= START + 5 * DAY && at < START + 7 * DAY ? 14 : swing(14, 1)(at)),
    rhPct: (at) => (at >= START + 5 * DAY && at < START + 7 * DAY ? 80 : swing(80, 3)(at)),
  })
  const visited = {
    ...TEST_HOUSE,
    events: [{ kind: 'visit' as const, from: '2024-03-04T10:00', to: '2024-03-04T11:30' }],
  }
  const house = await read(visited, { 'l1/air': stuck, 'lo/air': air(8, 70) })
  const { hours } = house.spots.find(({ path }) => path === 'crawl/low')!
  const at = (day: number, hour: number) => day * 24 + hour
  expect(hours.vaporPressurePa[at(3, 9)]).toBeGreaterThan(0)
  expect(hours.vaporPressurePa[at(3, 10)]).toBeNaN()
  expect(hours.vaporPressurePa[at(3, 11)]).toBeNaN()
  expect(hours.vaporPressurePa[at(3, 12)]).toBeGreaterThan(0)
  expect(hours.vaporPressurePa[at(6, 0)]).toBeNaN()
  expect(marksOfBits(hours.marks[at(6, 0)]!)).toEqual(['stuck'])
  expect(house.outdoor!.hours.vaporPressurePa[at(3, 10)]).toBeGreaterThan(0)
})

test('a correction reaches the analyses, and the readings stay as they came', async () => {
  const readings = columns({ at: [START, START + HOUR], tempC: [20, 20], rhPct: [60, 60] })
  const tree: HouseTree = {
    ...TEST_HOUSE,
    corrections: [{ probe: 'l1/air', quantity: 'rhPct', offset: -4, from: '2024-03-01T01:00', why: 'side by side' }],
  }
  const house = await read(tree, { 'l1/air': readings })
  const spot = house.spots[0]!
  expect(spot.hours.vaporPressurePa[0]).toBeCloseTo(vaporPressurePa(20, 60), 6)
  expect(spot.hours.vaporPressurePa[1]).toBeCloseTo(vaporPressurePa(20, 56), 6)
  expect(spot.accuracy.rhPct).toBeCloseTo(2 / 3, 9)
})
