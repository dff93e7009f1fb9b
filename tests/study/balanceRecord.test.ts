import { expect, test } from 'vitest'
import { pinReadingAtCalibrationPct } from '../../server/physics/wood.ts'
import { instantOfLocalText } from '../../server/series/localTime.ts'
import type { HouseTree } from '../../server/store/houseTree.ts'
import { refreshHourly } from '../../server/store/refreshHourly.ts'
import { balanceRecord, balanceSpace } from '../../server/study/balance/balanceRecord.ts'
import { readHouseRecord } from '../../server/study/houseRecord.ts'
import { scratchDatabase } from '../support/database.ts'
import { DAY, HOUR, MINUTE, madeReadings, swing } from '../support/series.ts'
import { storeTestHouse, TEST_HOUSE } from '../support/studiedHouse.ts'

const ZONE = TEST_HOUSE.timeZone
const START = Date.UTC(2024, 4, 1, 4) // midnight in New York
const span = { from: START, to: START + 20 * DAY, everyMs: 30 * MINUTE }
const air = madeReadings({ ...span, tempC: swing(18, 1), rhPct: swing(70, 5) })
const dailyRain = {
  at: Float64Array.from({ length: 20 }, (_, d) => START + (d + 1) * DAY),
  rainMm: Float64Array.from({ length: 20 }, (_, d) => (d === 9 ? 24 : 0)),
}

const ENTERED: HouseTree = {
  ...TEST_HOUSE,
  elevationM: 230,
  facts: {
    downspouts: 'some led away',
    floorInsulated: true,
    targetRhPct: 52,
    dehumidifierAtStart: { ratedLPerDay: 30, setPointRhPct: 50, ratingBasis: '22.8 °C / 60 %' },
  },
  spaces: TEST_HOUSE.spaces.map((space) =>
    space.role === 'crawl space'
      ? {
          ...space,
          floorAreaM2: 120,
          heightM: 0.9,
          ventCount: 8,
          ventState: 'partly' as const,
          groundCoverSharePct: 40,
        }
      : space,
  ),
  works: [
    { key: 'drain', kind: 'downspout drain', from: '2024-05-08' },
    {
      key: 'all',
      kind: 'other',
      from: '2024-05-12T09:30',
      to: '2024-05-18T15:00',
      details: { parts: ['ground cover', 'dehumidifier'], coverSharePct: 95, ratedLPerDay: 38, setPointRhPct: 55 },
    },
  ],
  surveys: [
    {
      at: '2024-05-03T10:00',
      readings: [
        { spot: 'crawl/low', quantity: 'woodMcPct', value: 17, woodTempC: 10 },
        { place: 'joist', quantity: 'woodMcPct', value: 15 },
        { spot: 'out/north', quantity: 'woodMcPct', value: 30 },
        { quantity: 'rhPct', value: 80 },
      ],
    },
  ],
}

async function studied(tree: HouseTree, readings: Parameters<typeof storeTestHouse>[2]) {
  const db = scratchDatabase()
  await storeTestHouse(db, tree, readings)
  await refreshHourly(db)
  return (await readHouseRecord(db, tree.key))!
}

test('what was entered arrives in the words of the balance, in SI and shares', async () => {
  const house = await studied(ENTERED, {
    'l1/air': air,
    'l2/air': air,
    'lo/air': { ...air, rainMm: air.at.map((_, i) => (i === 0 ? Number.NaN : 0)) },
  })
  const record = balanceRecord(house, balanceSpace(house)!)
  expect(record).toMatchObject({
    startAt: START,
    hours: 480,
    latitude: 36,
    elevationM: 230,
    targetRhPct: 52,
    station: null,
    houseAir: null,
    condensateL: null,
    machineAtStart: { ratedLPerDay: 30, setRhPct: 50, ratingBasis: '73 °F' },
    geometry: {
      floorAreaM2: 120,
      heightM: 0.9,
      perimeterM: null,
      ventCount: 8,
      ventState: 'partly open',
      coverShare: 0.4,
      downspouts: 'some led away',
      floorInsulated: true,
    },
  })
  expect(record.spots.map(({ key }) => key)).toEqual(['crawl/low', 'crawl/mid'])
  expect(record.outdoor!.vaporPressurePa).toHaveLength(480)
  expect(record.rain).toMatchObject({ step: 'hourly' })
})

test('the record begins and ends with what was measured in the space', async () => {
  const long = madeReadings({
    ...span,
    from: START - 5 * DAY,
    to: START + 30 * DAY,
    tempC: swing(9, 3),
    rhPct: swing(60, 9),
  })
  const house = await studied(TEST_HOUSE, { 'l1/air': air, 'lo/air': long })
  const record = balanceRecord(house, balanceSpace(house)!)
  expect(house.grid.hours).toBe(35 * 24)
  expect(record).toMatchObject({ startAt: START, hours: 480 })
  expect(record.outdoor!.tempC).toHaveLength(480)
  expect(record.outdoor!.tempC[0]).toBeCloseTo(house.outdoor!.hours.tempC[5 * 24]!, 9)
})

test('a work known by its date alone took effect at noon; one with a time, at that time', async () => {
  const house = await studied(ENTERED, { 'l1/air': air })
  const [drain, all] = balanceRecord(house, balanceSpace(house)!).works
  expect(drain).toMatchObject({ from: instantOfLocalText('2024-05-08T12:00', ZONE), to: null })
  expect(all).toMatchObject({
    parts: ['ground cover', 'dehumidifier'],
    from: instantOfLocalText('2024-05-12T09:30', ZONE),
    to: instantOfLocalText('2024-05-18T15:00', ZONE),
    details: { coverShareAfter: 0.95, ratedLPerDay: 38, setRhPct: 55, ratingBasis: null },
  })
})

test('pin readings of the space only, brought to the temperature the meter was made for', async () => {
  const house = await studied(ENTERED, { 'l1/air': air })
  const at = instantOfLocalText('2024-05-03T10:00', ZONE)
  expect(balanceRecord(house, balanceSpace(house)!).woodReadings).toEqual([
    { at, woodMcPct: pinReadingAtCalibrationPct(17, 10) },
    { at, woodMcPct: 15 },
  ])
})

test('daily rain keeps its local days and sums; what is not known stays null', async () => {
  const tree: HouseTree = {
    ...TEST_HOUSE,
    stations: [{ key: 'gauge', name: 'Gauge', kind: 'file', quantities: ['rainMm'] }],
    loggers: [...TEST_HOUSE.loggers!, { key: 'station.gauge', probes: [{ key: 'weather', placements: [] }] }],
  }
  const house = await studied(tree, { 'l1/air': air, 'station.gauge/weather': dailyRain })
  const record = balanceRecord(house, balanceSpace(house)!)
  if (record.rain?.step !== 'daily') throw new Error('The rain should be daily.')
  const wet = record.rain.days.filter(({ rainMm }) => rainMm > 0)
  expect(wet).toHaveLength(1)
  expect(wet[0]!.from).toBe(START + 9 * DAY)
  expect(wet[0]!.to).toBe(START + 10 * DAY)
  expect(wet[0]!.rainMm).toBeCloseTo(24, 9)
  expect(record).toMatchObject({ outdoor: null, station: null, machineAtStart: null, targetRhPct: 55 })
  expect(record.geometry.coverShare).toBeNull()
})

test('the swing of RH within an hour shows a machine that cycles, with one reading an hour too', async () => {
  const cycling = (everyMs: number) =>
    madeReadings({ ...span, everyMs, tempC: swing(18, 1), rhPct: (at) => 50 + (Math.floor(at / everyMs) % 2) * 4 })
  for (const everyMs of [15 * MINUTE, HOUR]) {
    const house = await studied(TEST_HOUSE, { 'l1/air': cycling(everyMs) })
    const steps = balanceRecord(house, balanceSpace(house)!).spots[0]!.rhStepPct!
    expect(steps[100]).toBeCloseTo(4, 6)
  }
})

test('a house without a logger under it has no space to balance', async () => {
  expect(balanceSpace(await studied(TEST_HOUSE, { 'lo/air': air }))).toBeUndefined()
})
