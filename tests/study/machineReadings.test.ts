import { expect, test } from 'vitest'
import { thresholds } from '../../server/advice/thresholds.ts'
import { cyclingUnseen, findCycling } from '../../server/moisture/cycling.ts'
import type { HouseTree } from '../../server/store/houseTree.ts'
import { refreshHourly } from '../../server/store/refreshHourly.ts'
import { balanceRecord, balanceSpace } from '../../server/study/balance/balanceRecord.ts'
import { withMachineReadings } from '../../server/study/balance/machineReadings.ts'
import { readHouseRecord } from '../../server/study/houseRecord.ts'
import { scratchDatabase } from '../support/database.ts'
import { DAY, HOUR, MINUTE, madeReadings, swing } from '../support/series.ts'
import { storeTestHouse, TEST_HOUSE } from '../support/studiedHouse.ts'

const START = Date.UTC(2024, 4, 1, 4) // midnight in New York
const END = START + 8 * DAY
const limits = thresholds()
const MACHINE: HouseTree = {
  ...TEST_HOUSE,
  works: [{ key: 'unit', kind: 'dehumidifier', from: '2024-05-03T00:00', details: { ratedLPerDay: 33 } }],
}

/** Starts every 12 minutes, runs for 4: RH falls while it runs. */
const phase = (at: number) => ((at - START) / MINUTE) % 12
const tooth = (at: number) => (phase(at) < 4 ? 4 - phase(at) : (phase(at) - 4) / 2)
const slow = madeReadings({ from: START, to: END, everyMs: 30 * MINUTE, tempC: swing(17, 1), rhPct: swing(60, 2) })
const fast = (everyMs: number) =>
  madeReadings({ from: START, to: END, everyMs, tempC: swing(18, 1), rhPct: (at) => 52 + tooth(at) })

async function recordOf(tree: HouseTree, readings: Parameters<typeof storeTestHouse>[2]) {
  const db = scratchDatabase()
  await storeTestHouse(db, tree, readings)
  await refreshHourly(db)
  const house = await withMachineReadings(db, (await readHouseRecord(db, tree.key))!)
  return { house, record: balanceRecord(house, balanceSpace(house)!) }
}

test('starts are counted from the fastest RH in the space, from the day the machine came', async () => {
  const { record } = await recordOf(MACHINE, { 'l1/air': slow, 'l2/air': fast(2 * MINUTE), 'lo/air': slow })
  const { starts, runShare, everyMinutes, basis } = record.machineRuns!
  expect({ everyMinutes, basis, hours: starts.length }).toEqual({
    everyMinutes: 2,
    basis: 'humidity',
    hours: record.hours,
  })
  expect(starts.slice(0, 48).every(Number.isNaN)).toBe(true)
  expect(starts.slice(49).every((n) => n === 5)).toBe(true)
  expect(runShare[100]).toBeCloseTo(1 / 3, 1)
  expect(findCycling(record, limits)).toMatchObject({ at: START + 2 * DAY, basis: 'humidity' })
})

test('a power meter in the space goes before RH', async () => {
  const power = fast(MINUTE)
  const meter = { at: power.at, powerW: power.at.map((at) => (phase(at) < 4 ? 450 : 30)) }
  const { record } = await recordOf(MACHINE, { 'l1/air': meter, 'l2/air': fast(15 * MINUTE), 'lo/air': slow })
  expect(record.machineRuns).toMatchObject({ basis: 'power', everyMinutes: 1 })
  expect(record.machineRuns!.starts.slice(2).every((n) => n === 5)).toBe(true)
})

test('hours whose readings are not believed are not counted', async () => {
  const stuckFrom = START + 5 * DAY
  const readings = fast(2 * MINUTE)
  const stuck = readings.at.map((at, i) => (at >= stuckFrom && at < stuckFrom + 2 * DAY ? 55 : readings.rhPct![i]!))
  const temp = readings.at.map((at, i) => (at >= stuckFrom && at < stuckFrom + 2 * DAY ? 18 : readings.tempC![i]!))
  const { record } = await recordOf(MACHINE, {
    'l1/air': slow,
    'l2/air': { ...readings, rhPct: stuck, tempC: temp },
    'lo/air': slow,
  })
  const hour = (stuckFrom - START) / HOUR
  expect(record.machineRuns!.starts.slice(hour + 1, hour + 23).every(Number.isNaN)).toBe(true)
})

test('readings half an hour apart are not read again: the answer says what they cannot show', async () => {
  const { record } = await recordOf(MACHINE, { 'l1/air': slow, 'lo/air': slow })
  expect(record).toMatchObject({ machineRuns: null, machineReadingsEveryMinutes: 30 })
  expect(cyclingUnseen(record, limits)).toContain('30 minutes apart')
})

test('a house without a machine is not asked', async () => {
  const { house, record } = await recordOf(TEST_HOUSE, { 'l1/air': fast(2 * MINUTE), 'lo/air': slow })
  expect(house.machine).toBeUndefined()
  expect(cyclingUnseen(record, limits)).toBeNull()
})
