import { expect, test } from 'vitest'
import { runInWorker } from '../../server/jobs/inWorker.ts'
import { refreshHourly } from '../../server/store/refreshHourly.ts'
import { studyHouse } from '../../server/study/findings.ts'
import { scratchDatabase } from '../support/database.ts'
import { DAY, HOUR, madeReadings, swing } from '../support/series.ts'
import { storeTestHouse, TEST_HOUSE } from '../support/studiedHouse.ts'

const START = Date.UTC(2024, 4, 1, 4)
const span = { from: START, to: START + 20 * DAY, everyMs: HOUR }
const WORKER = new URL('../../server/study/studyWorker.ts', import.meta.url).href

test('a thread with a connection that cannot write finds what this thread finds', async () => {
  const db = scratchDatabase()
  const air = madeReadings({ ...span, tempC: swing(18, 1), rhPct: swing(84, 3) })
  await storeTestHouse(db, TEST_HOUSE, { 'l1/air': air })
  await refreshHourly(db)
  const here = await studyHouse(db, TEST_HOUSE.key)
  expect(here!.length).toBeGreaterThan(10)
  const options = { databasePath: db.path }
  expect(await runInWorker(WORKER, { houseKey: TEST_HOUSE.key }, options)).toEqual(here)
  expect(await runInWorker(WORKER, { houseKey: 'nobody' }, options)).toBeUndefined()
  await expect(runInWorker(WORKER, { houseKey: TEST_HOUSE.key })).rejects.toThrow('path of the database')
})
