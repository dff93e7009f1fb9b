/** What an edit of a house touches, and what it must leave alone. */
import { expect, test } from 'vitest'
import { readHistory, undoEntry } from '../../server/store/history.ts'
import type { HouseTree } from '../../server/store/houseTree.ts'
import { houseVersion } from '../../server/store/houseVersion.ts'
import type { Database } from '../../server/store/open.ts'
import { readHouse } from '../../server/store/readHouse.ts'
import { refreshHourly } from '../../server/store/refreshHourly.ts'
import { storeHouse } from '../../server/store/storeHouse.ts'
import { scratchDatabase } from '../support/database.ts'
import { HOUR, madeReadings, swing } from '../support/series.ts'
import { probeOf, storeTestHouse, TEST_HOUSE } from '../support/studiedHouse.ts'

const FROM = Date.UTC(2024, 4, 1)
const AT = { replace: true, now: FROM, who: 'tester' }
const RH_OFFSET = { quantity: 'rhPct' as const, offset: -2, from: '2024-01-01', why: 'salt check' }
const DRAIN = { key: 'drain', kind: 'yard drain' as const, from: '2024-05-01' }
const air = madeReadings({ from: FROM, to: FROM + 48 * HOUR, everyMs: HOUR, tempC: swing(18, 1), rhPct: swing(80, 2) })

const due = (db: Database) => db.raw.prepare('select probe_id from hourly_due order by 1').pluck().all() as number[]
const present = async (db: Database, key = TEST_HOUSE.key) => (await readHouse(db, key))!

test('a work leaves every hour value alone; a correction makes those of its own probe due, and so does taking it away', async () => {
  const db = scratchDatabase()
  const stored = await storeTestHouse(db, TEST_HOUSE, { 'l1/air': air, 'l2/air': air })
  await refreshHourly(db)
  expect(due(db)).toEqual([])
  await storeHouse(db, { ...(await present(db)), works: [DRAIN] }, AT)
  expect(due(db)).toEqual([])
  await storeHouse(db, { ...(await present(db)), corrections: [{ probe: 'l2/air', ...RH_OFFSET }] }, AT)
  expect(due(db)).toEqual([probeOf(stored, 'l2/air')])
  await refreshHourly(db)
  // The logger goes, and its correction with it: its readings stay, and their hours are no longer corrected.
  const { corrections: _, ...bare } = await present(db)
  await storeHouse(db, { ...bare, loggers: bare.loggers!.filter(({ key }) => key !== 'l2') }, AT)
  expect(due(db)).toEqual([probeOf(stored, 'l2/air')])
})

test('a logger that hangs nowhere keeps its place and its one correction through edits', async () => {
  const db = scratchDatabase()
  const spare = { key: 'spare', probes: [{ key: 'air', placements: [] }] }
  const corrections = [{ probe: 'spare/air', ...RH_OFFSET }]
  await storeHouse(db, { ...TEST_HOUSE, loggers: [...TEST_HOUSE.loggers!, spare], corrections }, AT)
  for (const name of ['One', 'Two', 'Three']) await storeHouse(db, { ...(await present(db)), name }, AT)
  const house = await present(db)
  expect(house.loggers!.map(({ key }) => key)).toEqual(['l1', 'l2', 'lo', 'spare'])
  expect(house.corrections).toEqual(corrections)
})

test('editing the house a logger has left does not take it back from the house it went to', async () => {
  const db = scratchDatabase()
  const ended = [{ spot: 'crawl/low', from: '2023-01-01', to: '2024-01-01' }]
  const left: HouseTree = { ...TEST_HOUSE, loggers: [{ key: 'l1', probes: [{ key: 'air', placements: ended }] }] }
  await storeHouse(db, left, AT)
  const enrolled = { ...TEST_HOUSE, key: 'next', loggers: [{ key: 'l1', probes: [{ key: 'air', placements: [] }] }] }
  await storeHouse(db, enrolled, AT)
  await storeHouse(db, { ...(await present(db)), name: 'Edited' }, AT)
  expect((await present(db, 'next')).loggers!.map(({ key }) => key)).toEqual(['l1'])
  expect((await present(db)).loggers![0]!.probes[0]!.placements).toEqual(ended)
})

test('of two changes made from one version the writer takes one', async () => {
  const db = scratchDatabase()
  await storeHouse(db, TEST_HOUSE, AT)
  const house = await present(db)
  const version = houseVersion(house)
  const both = ['First', 'Second'].map((name) => storeHouse(db, { ...house, name }, { ...AT, version }))
  const ends = await Promise.allSettled(both)
  expect(ends.map(({ status }) => status)).toEqual(['fulfilled', 'rejected'])
  expect(ends[1]).toMatchObject({ reason: { name: 'HouseRefused', kind: 'changed meanwhile' } })
  expect((await present(db)).name).toBe('First')
})

test('an undo is an entry that can be undone, and a removed space comes back with its spots and placements', async () => {
  const db = scratchDatabase()
  await storeHouse(db, TEST_HOUSE, AT)
  const before = await present(db)
  const without = {
    ...before,
    spaces: before.spaces.filter(({ key }) => key !== 'out'),
    loggers: before.loggers!.filter(({ key }) => key !== 'lo'),
  }
  await storeHouse(db, without, { ...AT, what: 'removed outdoors' })
  const latest = async () => (await readHistory(db, TEST_HOUSE.key))![0]!
  const undo = async (id: number) => undoEntry(db, TEST_HOUSE.key, id, AT)
  const removal = await latest()
  expect(await undo(removal.id)).toEqual({ done: true })
  expect(await present(db)).toEqual(before)
  expect(await undo((await latest()).id)).toEqual({ done: true })
  expect((await present(db)).spaces.map(({ key }) => key)).toEqual(['crawl'])
  expect(await undo(removal.id)).toEqual({ done: false, why: 'undone' })
})
