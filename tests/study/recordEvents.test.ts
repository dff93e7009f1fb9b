import { expect, test } from 'vitest'
import { thresholds } from '../../server/advice/thresholds.ts'
import type { ReadingColumns } from '../../server/series/quantities.ts'
import { refreshHourly } from '../../server/store/refreshHourly.ts'
import { readHouseRecord } from '../../server/study/houseRecord.ts'
import { recordEvents } from '../../server/study/recordEvents.ts'
import { scratchDatabase } from '../support/database.ts'
import { DAY, HOUR, MINUTE, madeReadings, swing } from '../support/series.ts'
import { storeTestHouse, TEST_HOUSE } from '../support/studiedHouse.ts'

const START = Date.UTC(2024, 0, 1, 5)
const air = (days: number, tempC = 12) =>
  madeReadings({
    from: START,
    to: START + days * DAY,
    everyMs: 30 * MINUTE,
    tempC: swing(tempC, 1),
    rhPct: swing(70, 5),
  })

async function eventsOf(readings: Record<string, ReadingColumns>) {
  const db = scratchDatabase()
  await storeTestHouse(db, TEST_HOUSE, readings)
  await refreshHourly(db)
  return recordEvents((await readHouseRecord(db, TEST_HOUSE.key))!, thresholds())
}

test('healthy loggers have no event', async () => {
  expect(await eventsOf({ 'l1/air': air(30), 'l2/air': air(30), 'lo/air': air(30, -5) })).toEqual([])
})

test('a logger that fell silent for good is a gap until the end of the others', async () => {
  expect(await eventsOf({ 'l1/air': air(10), 'l2/air': air(30) })).toEqual([
    { kind: 'gap', from: START + 10 * DAY, to: START + 30 * DAY, spot: 'crawl/low' },
  ])
})

test('thirty hours without any change are one stuck event; three hours of frost one freeze', async () => {
  const [from, to] = [5 * DAY, 5 * DAY + 30 * HOUR]
  const held = (value: number, then: (at: number) => number) => (at: number) =>
    at - START >= from && at - START <= to ? value : then(at)
  const stuck = madeReadings({
    from: START,
    to: START + 20 * DAY,
    everyMs: 30 * MINUTE,
    tempC: held(12, swing(12, 1)),
    rhPct: held(70, swing(70, 5)),
  })
  const cold = air(20)
  cold.tempC = cold.tempC!.map((t, i) =>
    cold.at[i]! >= START + 9 * DAY && cold.at[i]! < START + 9 * DAY + 3 * HOUR ? -1 : t,
  )
  const events = await eventsOf({ 'l1/air': stuck, 'l2/air': cold })
  expect(events).toEqual([
    { kind: 'stuck', from: START + from, to: START + to + HOUR, spot: 'crawl/low' },
    { kind: 'freeze', from: START + 9 * DAY, to: START + 9 * DAY + 3 * HOUR, spot: 'crawl/mid' },
  ])
})
