/** The round answers from what was found last, and never lets an old finding speak for a house that has news. */
import { expect, test } from 'vitest'
import { replaceFinding } from '../../server/store/findings.ts'
import type { Database } from '../../server/store/open.ts'
import { storeReadings } from '../../server/store/readings.ts'
import { storeHouse } from '../../server/store/storeHouse.ts'
import { findingsOf } from '../../server/study/findings.ts'
import { createFindingsLine } from '../../server/study/findingsLine.ts'
import { type RoundAsked, type RoundNotice, round } from '../../server/study/round.ts'
import { scratchDatabase } from '../support/database.ts'
import { DAY, HOUR, madeReadings, swing } from '../support/series.ts'
import { probeOf, stepsOf, storeTestHouse, TEST_HOUSE } from '../support/studiedHouse.ts'

const FROM = Date.UTC(2024, 4, 1, 4)
const NOW = FROM + 30 * DAY
const dryAir = (from: number, to: number) =>
  madeReadings({ from, to, everyMs: HOUR, tempC: swing(18, 1), rhPct: swing(45, 2) })
const HOUSE = { ...TEST_HOUSE, invented: false, loggers: TEST_HOUSE.loggers!.filter(({ key }) => key === 'l1') }
HOUSE.spaces = [{ ...HOUSE.spaces[0]!, spots: [HOUSE.spaces[0]!.spots[0]!] }]

async function roundOf(db: Database, now = NOW, notices: RoundAsked['notices'] = new Map()) {
  const stale: string[] = []
  const { houses } = await round(db, { now, units: 'us', notices, onStale: (key) => stale.push(key) })
  return { house: houses[0]!, stale }
}

async function studied(db: Database, now = NOW) {
  const stored = await storeTestHouse(db, HOUSE, { 'l1/air': dryAir(FROM, NOW) })
  await findingsOf(db, HOUSE.key, { now: now + 1e12 }) // later than the house was entered
  return stored
}

test('a house never studied waits and is handed on; one whose findings hold is not', async () => {
  const db = scratchDatabase()
  await storeTestHouse(db, HOUSE, { 'l1/air': dryAir(FROM, NOW) })
  expect(await roundOf(db)).toMatchObject({ house: { standing: 'waiting', level: null }, stale: [HOUSE.key] })
  await findingsOf(db, HOUSE.key, { now: NOW + 1e12 })
  const { house, stale } = await roundOf(db)
  expect([house.standing, house.level, stale]).toEqual(['fine', 'dry', []])
  expect(house.line).toMatch(/^Dry at every spot since \w+ \d+, 2024\.$/)
})

test('readings after a study keep the house from being called silent, and it is looked at again', async () => {
  const db = scratchDatabase()
  const stored = await studied(db)
  const later = NOW + 3 * DAY
  expect((await roundOf(db, later)).house.standing).toBe('silent')
  await storeReadings(db, stepsOf(probeOf(stored, 'l1/air'), dryAir(NOW, later)))
  const { house, stale } = await roundOf(db, later)
  expect([house.standing, stale]).toEqual(['fine', [HOUSE.key]])
  expect(later - house.lastHeardAt!).toBeLessThanOrEqual(HOUR)
})

test('an invented house is told as of the end of its record', async () => {
  const db = scratchDatabase()
  await studied(db)
  db.raw.prepare('update houses set invented = 1').run()
  expect((await roundOf(db, NOW + 400 * DAY)).house.standing).toBe('fine')
})

test('a departure in the kept balance asks for a look, until a later work has answered it', async () => {
  const db = scratchDatabase()
  const { houseId } = await studied(db)
  const departures = [{ kind: 'leak began', at: FROM + 20 * DAY, support: 9, size: '', reason: '' }]
  const body = { outcome: 'told', departures }
  await replaceFinding(db, houseId, 'moisture balance', { fingerprint: 'any', computedAt: NOW, body })
  const { house } = await roundOf(db)
  expect([house.standing, house.since]).toEqual(['look', '2024-05-21'])
  expect(house.line).toContain('leak began')
  const works = [{ key: 'fix', kind: 'repair' as const, from: '2024-05-25' }]
  await storeHouse(db, { ...HOUSE, works }, { replace: true, now: NOW, who: 'tester' })
  expect((await roundOf(db)).house.standing).toBe('fine')
})

const NOTICE: RoundNotice = {
  watch: 'liquid water',
  urgency: 'urgent',
  sinceAt: NOW - 5 * HOUR,
  openedAt: NOW - 4 * HOUR,
  acknowledgedBy: null,
  snoozedUntil: null,
  escalated: false,
  afterBigRain: false,
  rainMm: null,
  places: 1,
  line: 'Water under the house.',
}

test('an open notice speaks before the level, says who has it in hand, and waits while it is put off', async () => {
  const db = scratchDatabase()
  const { houseId } = await studied(db)
  const standing = async (...notices: Partial<RoundNotice>[]) =>
    (await roundOf(db, NOW, new Map([[houseId, notices.map((one) => ({ ...NOTICE, ...one }))]]))).house
  expect(await standing({})).toMatchObject({
    standing: 'act',
    urgency: 'urgent',
    level: 'dry',
    since: '2024-05-30',
    line: 'Water under the house.',
  })
  expect((await standing({ escalated: true })).line).toBe('Water under the house. Nobody has acknowledged it.')
  expect(await standing({ acknowledgedBy: 'Tess' })).toMatchObject({
    standing: 'act',
    line: 'Water under the house. Tess has seen it.',
  })
  const soon = { watch: 'damp', urgency: 'soon' as const, line: 'Damp air.' }
  expect((await standing(soon)).standing).toBe('act')
  expect((await standing({ ...soon, acknowledgedBy: 'Tess' })).standing).toBe('look')
  expect((await standing({ ...soon, urgency: 'note' })).standing).toBe('look')
  expect((await standing({ ...soon, watch: 'silent' })).standing).toBe('silent')
  expect((await standing(soon, {})).line).toBe('Water under the house. And 1 more.')
  const putOff = await standing({ snoozedUntil: NOW + 3 * DAY })
  expect([putOff.standing, putOff.urgency]).toEqual(['look', null])
  expect(putOff.line).toBe('Water under the house. Put off until June 3, 2024.')
  expect((await standing({ snoozedUntil: NOW })).standing).toBe('act')
})

test('houses in the line are made one after the other, each once, and trouble with one keeps nobody waiting', async () => {
  const made: string[] = []
  const troubles: string[] = []
  let atOnce = 0
  let most = 0
  const line = createFindingsLine(
    async (key) => {
      most = Math.max(most, ++atOnce)
      await new Promise((resolve) => setTimeout(resolve, 5))
      atOnce--
      made.push(key)
      if (key === 'b') throw new Error('trouble')
    },
    (key) => troubles.push(key),
  )
  for (const key of ['a', 'b', 'a', 'c', 'b']) line.ask(key)
  await expect.poll(() => made.length).toBe(3)
  expect([made, troubles, most]).toEqual([['a', 'b', 'c'], ['b'], 1])
  await line.end()
  line.ask('d')
  await new Promise((resolve) => setTimeout(resolve, 10))
  expect(made).not.toContain('d')
})
