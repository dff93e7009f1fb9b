/** Clocks measured from messages become dated corrections, once. */
import { expect, test } from 'vitest'
import { changeHouse } from '../../server/store/changeHouse.ts'
import { readHistory } from '../../server/store/history.ts'
import type { Database } from '../../server/store/open.ts'
import { readHouse } from '../../server/store/readHouse.ts'
import { correctClocks } from '../../server/study/clockCorrections.ts'
import { scratchDatabase } from '../support/database.ts'
import { DAY } from '../support/series.ts'
import { storeTestHouse, TEST_HOUSE } from '../support/studiedHouse.ts'

const FROM = Date.UTC(2026, 0, 1)
const WHO = 'tester'

function tell(db: Database, days: number, offS: (day: number) => number) {
  const insert = db.raw.prepare(
    "insert or replace into clock_checks select id, @dayAt, @offS, 24 from loggers where key = 'l1'",
  )
  for (let day = 0; day < days; day++) insert.run({ dayAt: FROM + day * DAY, offS: offS(day) })
}

const corrections = async (db: Database) => (await readHouse(db, 'test-house'))!.corrections ?? []
const run = (db: Database, day: number) => correctClocks(db, { now: FROM + day * DAY, who: WHO })

test('a drift is corrected once; the same facts change nothing, nor does each new day', async () => {
  const db = scratchDatabase()
  await storeTestHouse(db, TEST_HOUSE)
  tell(db, 100, (day) => 2 * day)
  const [told] = await run(db, 100)
  expect(told).toMatchObject({
    logger: 'l1',
    house: 'test-house',
    sentence: expect.stringContaining('gains 2.0 s a day'),
  })
  const first = await corrections(db)
  expect(first.length).toBeGreaterThan(2)
  expect(first.every(({ probe, quantity }) => probe === 'l1/air' && quantity === 'clock')).toBe(true)
  expect(first.at(-1)!.to).toBeUndefined()
  expect(first.at(-1)!.offset).toBeLessThanOrEqual(-180)
  expect(await run(db, 100)).toEqual([])
  expect(await corrections(db)).toEqual(first)
  let changes = 0
  for (let day = 101; day <= 160; day++) {
    tell(db, day, (one) => 2 * one)
    changes += (await run(db, day)).length
  }
  // Two minutes more in sixty days.
  expect(changes).toBeLessThanOrEqual(4)
  expect(changes).toBeGreaterThan(0)
  const history = (await readHistory(db, 'test-house'))!
  expect(history.filter(({ what }) => what.startsWith('clock of l1 corrected'))).toHaveLength(1 + changes)
})

test('a clock within a minute is left, and one that a person corrected is left to them', async () => {
  const db = scratchDatabase()
  await storeTestHouse(db, TEST_HOUSE)
  tell(db, 50, (day) => day)
  expect(await run(db, 50)).toEqual([])
  tell(db, 50, () => 600)
  await changeHouse(db, 'test-house', { now: FROM, who: WHO, what: 'by hand' }, (tree) => ({
    ...tree,
    corrections: [{ probe: 'l1/air', quantity: 'clock', offset: -500, from: '2026-01-01', why: 'looked at my watch' }],
  }))
  expect(await run(db, 50)).toEqual([])
  expect(await corrections(db)).toHaveLength(1)
})

test('what the house cannot take is said, not thrown', async () => {
  const db = scratchDatabase()
  await storeTestHouse(db, { ...TEST_HOUSE, facts: { yearBuilt: 2010 } })
  const back = (Date.UTC(2001, 0, 1) - (FROM + 10 * DAY)) / 1000
  tell(db, 20, (day) => (day < 10 ? 0 : back))
  const [told] = await run(db, 20)
  expect(told!.sentence).toContain('not corrected')
  expect(await corrections(db)).toEqual([])
})
