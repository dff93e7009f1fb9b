import { expect, test } from 'vitest'
import { changeHouse } from '../../server/store/changeHouse.ts'
import { readHouse } from '../../server/store/readHouse.ts'
import {
  addCheck,
  endCheck,
  findCheck,
  findCheckableProbes,
  findChecks,
  findChecksOfProbe,
} from '../../server/store/sensorChecks.ts'
import { HouseRefused } from '../../server/store/storeHouse.ts'
import { scratchDatabase } from '../support/database.ts'
import { storeTestHouse, TEST_HOUSE } from '../support/studiedHouse.ts'

const NOW = Date.UTC(2026, 0, 1)
const salt = (probes: string[], startedAt: number) => ({
  kind: 'salt' as const,
  probes,
  salt: 'NaCl',
  startedAt,
  who: 'tester',
})

test('a check is kept, ended once, and found by its probes; those that run stand first', async () => {
  const db = scratchDatabase()
  const add = async (probes: string[], at: number) => (await addCheck(db, salt(probes, at)))!
  const first = await add(['l1/air', 'l3/air'], NOW)
  const second = await add(['l2/air'], NOW + 10)
  expect(await addCheck(db, salt(['l9/air', 'l3/air'], NOW + 15))).toBeUndefined()
  expect(await findCheck(db, first)).toMatchObject({ probes: ['l1/air', 'l3/air'], state: 'running', result: null })
  expect(await endCheck(db, second, { state: 'done', endedAt: NOW + 20, result: { probes: [] } })).toBe(true)
  expect(await endCheck(db, second, { state: 'given up', endedAt: NOW + 30, result: null })).toBe(false)
  expect((await findChecks(db, 10)).map(({ id }) => id)).toEqual([first, second])
  expect((await findChecksOfProbe(db, 'l2/air')).map(({ id }) => id)).toEqual([second])
  expect(await findChecksOfProbe(db, 'l2')).toEqual([])
  expect(await findCheck(db, 99)).toBeUndefined()
})

test('probes that can be checked: where each hangs at that time, retired loggers left out', async () => {
  const db = scratchDatabase()
  await storeTestHouse(db, TEST_HOUSE)
  const at = async (when: number) => (await findCheckableProbes(db, when)).find(({ path }) => path === 'l1/air')
  expect(await at(NOW)).toMatchObject({ house: 'test-house', hung: { spot: 'crawl/low', spotName: 'Low corner' } })
  expect(await at(Date.UTC(2020, 0, 1))).toMatchObject({ house: 'test-house', hung: null })
  db.raw.prepare("update loggers set retired_at = 1 where key = 'l1'").run()
  expect(await at(NOW)).toBeUndefined()
})

test('a change that cannot be right is refused and nothing is stored', async () => {
  const db = scratchDatabase()
  await storeTestHouse(db, TEST_HOUSE)
  const before = await readHouse(db, 'test-house')
  const bad = changeHouse(db, 'test-house', { now: NOW, who: 'tester', what: 'a test' }, (tree) => ({
    ...tree,
    corrections: [{ probe: 'l9/air', quantity: 'rhPct', offset: 1, from: '2025-01-01', why: 'a test' }],
  }))
  await expect(bad).rejects.toBeInstanceOf(HouseRefused)
  expect(await readHouse(db, 'test-house')).toEqual(before)
  await expect(changeHouse(db, 'gone', { now: NOW, who: 'tester', what: 'a test' }, (tree) => tree)).rejects.toThrow(
    'no house',
  )
})
