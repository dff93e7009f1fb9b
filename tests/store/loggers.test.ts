/** A logger's life in the store: enrolled, placed, moved between houses, swapped, retired; and visits under a house. */
import { expect, test } from 'vitest'
import { readHistory, undoEntry } from '../../server/store/history.ts'
import type { HouseTree } from '../../server/store/houseTree.ts'
import { changeLogger, enrollLoggers, giveSecret } from '../../server/store/loggerLife.ts'
import { pickUpLogger, placeLogger, retireLogger, swapLogger } from '../../server/store/loggerPlaces.ts'
import { checkSecret, revokeSecret } from '../../server/store/loggerSecrets.ts'
import { findLogger, listLoggers } from '../../server/store/loggers.ts'
import type { Database } from '../../server/store/open.ts'
import { readHouse } from '../../server/store/readHouse.ts'
import { storeReadings } from '../../server/store/readings.ts'
import { storeHouse } from '../../server/store/storeHouse.ts'
import { insideSince, stepInOrOut } from '../../server/store/visits.ts'
import { scratchDatabase } from '../support/database.ts'
import { DAY, HOUR, MINUTE, madeReadings, swing } from '../support/series.ts'
import { stepsOf, TEST_HOUSE } from '../support/studiedHouse.ts'

const NOW = Date.UTC(2026, 5, 1, 16, 30, 40) // 12:30:40 in New York, 09:30:40 in Los Angeles
const at = (now = NOW) => ({ now, who: 'tester' })
const EAST: HouseTree = { ...TEST_HOUSE, key: 'east', name: 'East house', invented: false, loggers: [] }
const WEST: HouseTree = { ...EAST, key: 'west', name: 'West house', timeZone: 'America/Los_Angeles' }
const LOW = [{ probe: 'air', spot: 'crawl/low' }]
const MID = [{ probe: 'air', spot: 'crawl/mid' }]
const RADIO = { count: 1, probes: ['air'], hasRadio: true, intervalS: 300 }

async function twoHouses(): Promise<Database> {
  const db = scratchDatabase()
  for (const house of [EAST, WEST]) await storeHouse(db, house, { ...at(), replace: false })
  return db
}

async function enrolled(db: Database, ...keys: string[]): Promise<void> {
  for (const key of keys) await enrollLoggers(db, { ...RADIO, key }, at())
}

const tree = async (db: Database, key: string) => (await readHouse(db, key))!
const placements = async (db: Database, house: string, logger = 'lg-1') =>
  (await tree(db, house)).loggers?.find(({ key }) => key === logger)?.probes.flatMap((probe) => probe.placements)
const latest = async (db: Database, house: string) => (await readHistory(db, house))![0]!

test('loggers are enrolled with a code, a name after it and a secret of which only the hash is kept', async () => {
  const db = await twoHouses()
  const made = await enrollLoggers(db, { ...RADIO, count: 48, house: 'east' }, at())
  const loggers = await listLoggers(db, { now: NOW })
  const codes = new Set(loggers.map(({ code }) => code!))
  expect([made.length, codes.size]).toEqual([48, 48])
  for (const { key, code, enrolledAt, house, hasSecret } of loggers) {
    expect(code).toMatch(/^[CDFHJKMNPQRTWXY34679]{5}$/)
    expect([key, enrolledAt, house?.key, hasSecret]).toEqual([`logger-${code!.toLowerCase()}`, NOW, 'east', true])
  }
  const { key, secret } = made[0]!
  expect(secret).toMatch(/^[0-9a-f]{32}$/)
  expect(JSON.stringify(db.raw.prepare('select * from loggers').all())).not.toContain(secret)
  expect(await checkSecret(db, key, secret!)).toBe(true)
  expect(await checkSecret(db, key, made[1]!.secret!)).toBe(false)
  expect((await tree(db, 'east')).loggers).toHaveLength(48)
  expect((await latest(db, 'east')).what).toMatch(/^enrolled loggers logger-/)
  const code = loggers[3]!.code!
  expect((await findLogger(db, code.toLowerCase(), NOW))!.key).toBe(loggers[3]!.key)
  expect(await findLogger(db, 'nobody', NOW)).toBeUndefined()
})

test.each([
  [{ ...RADIO, key: 'lg-1' }, 'taken', 'key', /already/],
  [{ ...RADIO, key: 'lg-2', count: 2 }, 'taken', 'count', /one logger/],
  [{ ...RADIO, key: 'station.gauge' }, 'taken', 'key', /weather stations/],
  [{ ...RADIO, key: 'labels' }, 'taken', 'key', /page beside/],
  [{ ...RADIO, house: 'nowhere' }, 'unknown house', 'house', /no house/],
])('enrolling %j is refused whole', async (asked, kind, field, message) => {
  const db = await twoHouses()
  await enrolled(db, 'lg-1')
  await expect(enrollLoggers(db, asked, at())).rejects.toMatchObject({
    kind,
    field,
    message: expect.stringMatching(message),
  })
  expect(await listLoggers(db, { now: NOW })).toHaveLength(1)
})

test('a new secret ends the old one, a revoked one ends both, and a logger without radio has none', async () => {
  const db = await twoHouses()
  const first = (await enrollLoggers(db, { ...RADIO, key: 'lg-1' }, at()))[0]!.secret!
  const second = await giveSecret(db, 'lg-1', at())
  expect([await checkSecret(db, 'lg-1', first), await checkSecret(db, 'lg-1', second)]).toEqual([false, true])
  await revokeSecret(db, 'lg-1')
  expect(await checkSecret(db, 'lg-1', second)).toBe(false)
  expect(await checkSecret(db, 'nobody', second)).toBe(false)
  const [plain] = await enrollLoggers(db, { ...RADIO, key: 'plain', hasRadio: false }, at())
  expect(plain!.secret).toBeNull()
  expect((await findLogger(db, 'plain', NOW))!.hasSecret).toBe(false)
})

test('editing and replacing a house loses nothing of its loggers', async () => {
  const db = await twoHouses()
  await enrollLoggers(db, { ...RADIO, key: 'lg-1', house: 'east' }, at())
  await placeLogger(db, 'lg-1', { house: 'east', probes: LOW }, at())
  const columns = () => db.raw.prepare("select * from loggers where key = 'lg-1'").get() as Record<string, unknown>
  const before = columns()
  expect(before).toMatchObject({ has_radio: 1, interval_s: 300, enrolled_at: NOW })
  await storeHouse(db, { ...(await tree(db, 'east')), name: 'Edited' }, { ...at(), replace: true })
  expect(columns()).toEqual(before)
  await changeLogger(db, 'lg-1', { name: 'North box', intervalS: 600 }, at())
  expect(columns()).toEqual({ ...before, name: 'North box', interval_s: 600 })
  expect((await tree(db, 'east')).loggers![0]!.name).toBe('North box')
  await undoEntry(db, 'east', (await latest(db, 'east')).id, at())
  expect(columns()).toEqual({ ...before, interval_s: 600 })
})

test('a move to another house ends the placement there at the same instant, and each house can undo its part', async () => {
  const db = await twoHouses()
  await enrolled(db, 'lg-1')
  await placeLogger(db, 'lg-1', { house: 'east', at: '2026-05-01T09:00', probes: LOW }, at())
  await placeLogger(db, 'lg-1', { house: 'west', probes: MID }, at())
  expect(await placements(db, 'east')).toEqual([
    { spot: 'crawl/low', from: '2026-05-01T09:00', to: '2026-06-01T12:30' },
  ])
  expect(await placements(db, 'west')).toEqual([{ spot: 'crawl/mid', from: '2026-06-01T09:30' }])
  const { house, probes } = (await findLogger(db, 'lg-1', NOW))!
  expect([house?.key, probes[0]!.placed?.spotName, probes[0]!.placed?.since]).toEqual([
    'west',
    'Mid joist',
    Date.UTC(2026, 5, 1, 16, 30),
  ])
  expect([(await latest(db, 'east')).what, (await latest(db, 'west')).what]).toEqual([
    'logger lg-1 went to West house',
    'placed logger lg-1 at Mid joist',
  ])
  // Put back out of order it would hang in both.
  const east = await undoEntry(db, 'east', (await latest(db, 'east')).id, at())
  expect(east).toMatchObject({ done: false, why: 'would be wrong' })
  expect(await undoEntry(db, 'west', (await latest(db, 'west')).id, at())).toEqual({ done: true })
  expect(await undoEntry(db, 'east', (await latest(db, 'east')).id, at())).toEqual({ done: true })
  expect(await placements(db, 'east')).toEqual([{ spot: 'crawl/low', from: '2026-05-01T09:00' }])
  expect((await findLogger(db, 'lg-1', NOW))!.house?.key).toBe('east')
})

test('within a house it goes from spot to spot; placed and moved in one minute, it never hung there', async () => {
  const db = await twoHouses()
  await enrolled(db, 'lg-1')
  await placeLogger(db, 'lg-1', { house: 'east', at: '2026-05-01T09:00', probes: LOW }, at())
  await placeLogger(db, 'lg-1', { house: 'east', probes: MID }, at())
  await placeLogger(db, 'lg-1', { house: 'east', probes: LOW }, at(NOW + 15_000))
  const ended = { spot: 'crawl/low', from: '2026-05-01T09:00', to: '2026-06-01T12:30' }
  expect(await placements(db, 'east')).toEqual([ended, { spot: 'crawl/low', from: '2026-06-01T12:30' }])
  // To where it hangs already it is not moved.
  const entry = (await latest(db, 'east')).id
  await placeLogger(db, 'lg-1', { house: 'east', probes: LOW }, at(NOW + HOUR))
  expect((await latest(db, 'east')).id).toBe(entry)
  await placeLogger(db, 'lg-1', { house: 'west', probes: LOW }, at(NOW + 18_000))
  expect([await placements(db, 'east'), await placements(db, 'west')]).toEqual([
    [ended],
    [{ spot: 'crawl/low', from: '2026-06-01T09:30' }],
  ])
  await pickUpLogger(db, 'lg-1', '2026-06-01T10:00', at(NOW + HOUR))
  expect(await placements(db, 'west')).toEqual([
    { spot: 'crawl/low', from: '2026-06-01T09:30', to: '2026-06-01T10:00' },
  ])
  await expect(pickUpLogger(db, 'lg-1', undefined, at(NOW + HOUR))).rejects.toMatchObject({ field: 'key' })
})

test('a box is in one house at a time: a probe left elsewhere ends too, one in the same house stays', async () => {
  const db = await twoHouses()
  await enrollLoggers(db, { ...RADIO, key: 'lg-1', probes: ['air', 'wood'] }, at())
  await placeLogger(
    db,
    'lg-1',
    { house: 'east', at: '2026-05-01T09:00', probes: [...LOW, { probe: 'wood', spot: 'crawl/mid' }] },
    at(),
  )
  await placeLogger(db, 'lg-1', { house: 'east', at: '2026-05-02T09:00', probes: MID }, at())
  expect(await placements(db, 'east')).toMatchObject([
    { spot: 'crawl/low', to: '2026-05-02T09:00' },
    { spot: 'crawl/mid', from: '2026-05-02T09:00' },
    { spot: 'crawl/mid', from: '2026-05-01T09:00' },
  ])
  await placeLogger(db, 'lg-1', { house: 'west', probes: LOW }, at())
  expect((await placements(db, 'east'))!.every(({ to }) => to !== undefined)).toBe(true)
  expect((await findLogger(db, 'lg-1', NOW))!.probes.map(({ placed }) => placed?.house)).toEqual(['west', undefined])
})

test.each([
  ['house', { house: 'nowhere', probes: LOW }, /no house "nowhere"/],
  ['probes/0/spot', { house: 'east', probes: [{ probe: 'air', spot: 'crawl/none' }] }, /no spot "crawl\/none" in East/],
  ['probes/0/probe', { house: 'east', probes: [{ probe: 'wood', spot: 'crawl/low' }] }, /no probe "wood"/],
  ['probes/1/probe', { house: 'east', probes: [...LOW, ...MID] }, /twice/],
  [
    'at',
    { house: 'east', at: '2026-04-01T09:00', probes: LOW },
    /hangs at Low corner in West house since 2026-05-01 09:00; 2026-04-01 06:00 is before/,
  ],
  ['at', { house: 'east', at: '2026-06-01T12:31', probes: LOW }, /future.*2026-06-01 12:30 there/],
  ['at', { house: 'east', at: '2026-02-30T12:31', probes: LOW }, /does not exist/],
])('a placement is refused at %s, and nothing changes', async (field, placing, message) => {
  const db = await twoHouses()
  await enrolled(db, 'lg-1')
  await placeLogger(db, 'lg-1', { house: 'west', at: '2026-05-01T09:00', probes: LOW }, at())
  const before = [await tree(db, 'east'), await tree(db, 'west')]
  await expect(placeLogger(db, 'lg-1', placing, at())).rejects.toMatchObject({
    kind: 'bad placement',
    field,
    message: expect.stringMatching(message),
  })
  expect([await tree(db, 'east'), await tree(db, 'west')]).toEqual(before)
})

test('what hung once and was taken away is not hung again in that time', async () => {
  const db = await twoHouses()
  await enrolled(db, 'lg-1')
  await placeLogger(db, 'lg-1', { house: 'west', at: '2026-05-01T09:00', probes: LOW }, at())
  await pickUpLogger(db, 'lg-1', '2026-05-20T09:00', at())
  const again = placeLogger(db, 'lg-1', { house: 'east', at: '2026-05-10T09:00', probes: LOW }, at())
  await expect(again).rejects.toThrow(/hung at Low corner in West house until 2026-05-20 09:00/)
  await placeLogger(db, 'lg-1', { house: 'east', at: '2026-05-20T12:00', probes: LOW }, at())
  expect(await placements(db, 'east')).toEqual([{ spot: 'crawl/low', from: '2026-05-20T12:00' }])
})

test('two loggers change places between houses in one act, whichever house stands first', async () => {
  const db = await twoHouses()
  await enrolled(db, 'lg-1', 'lg-2')
  await placeLogger(db, 'lg-1', { house: 'east', at: '2026-05-01T09:00', probes: LOW }, at())
  await placeLogger(db, 'lg-2', { house: 'west', at: '2026-05-01T09:00', probes: MID }, at())
  await swapLogger(db, 'lg-1', { with: 'lg-2' }, at())
  expect(await placements(db, 'east')).toMatchObject([{ to: '2026-06-01T12:30' }])
  expect(await placements(db, 'east', 'lg-2')).toEqual([{ spot: 'crawl/low', from: '2026-06-01T12:30' }])
  expect(await placements(db, 'west', 'lg-2')).toMatchObject([{ to: '2026-06-01T09:30' }])
  expect((await latest(db, 'east')).what).toBe('swapped logger lg-1 for lg-2')
  const later = at(NOW + HOUR)
  await expect(swapLogger(db, 'lg-1', { with: 'lg-2' }, later)).rejects.toThrow(/"lg-1" hangs nowhere/)
  await expect(swapLogger(db, 'lg-2', { with: 'lg-2' }, later)).rejects.toMatchObject({ field: 'with' })
  await expect(swapLogger(db, 'lg-2', { with: 'nobody' }, later)).rejects.toMatchObject({ field: 'with' })
  await enrollLoggers(db, { ...RADIO, key: 'lg-3', probes: ['air', 'wood'] }, at())
  await placeLogger(db, 'lg-3', { house: 'west', probes: [{ probe: 'wood', spot: 'crawl/mid' }] }, later)
  await expect(swapLogger(db, 'lg-3', { with: 'lg-1' }, later)).rejects.toThrow(/"lg-1" has no probe "wood"/)
})

test('a retired logger hangs nowhere, signs in no more, comes back by no door, and its readings stay', async () => {
  const db = await twoHouses()
  const secret = (await enrollLoggers(db, { ...RADIO, key: 'lg-1' }, at()))[0]!.secret!
  await placeLogger(db, 'lg-1', { house: 'east', at: '2026-05-01T09:00', probes: LOW }, at())
  await storeReadings(
    db,
    stepsOf(1, madeReadings({ from: NOW - DAY, to: NOW, everyMs: HOUR, tempC: swing(18, 1), rhPct: swing(70, 2) })),
  )
  await retireLogger(db, 'lg-1', 'battery leaked', at())
  expect(await placements(db, 'east')).toMatchObject([{ to: '2026-06-01T12:30' }])
  const logger = (await findLogger(db, 'lg-1', NOW))!
  expect([logger.retiredAt, logger.hasSecret, logger.probes[0]!.placed]).toEqual([NOW, false, null])
  expect(logger.probes[0]!.last!.tempC).toBeGreaterThan(16)
  expect(await checkSecret(db, 'lg-1', secret)).toBe(false)
  expect((await latest(db, 'east')).what).toBe('retired logger lg-1: battery leaked')
  const undone = await undoEntry(db, 'east', (await latest(db, 'east')).id, at())
  expect(undone).toMatchObject({
    done: false,
    why: 'would be wrong',
    problems: [{ problem: expect.stringMatching(/retired/) }],
  })
  for (const doing of [
    placeLogger(db, 'lg-1', { house: 'east', probes: LOW }, at()),
    giveSecret(db, 'lg-1', at()),
    changeLogger(db, 'lg-1', { intervalS: 60 }, at()),
    retireLogger(db, 'lg-1', undefined, at()),
  ]) {
    await expect(doing).rejects.toMatchObject({ kind: 'retired', field: 'key' })
  }
  await enrollLoggers(db, { ...RADIO, key: 'lg-2', house: 'west' }, at())
  await retireLogger(db, 'lg-2', 'lost', at())
  expect(await latest(db, 'west')).toMatchObject({ what: 'retired logger lg-2: lost', undo: 'not possible' })
})

test('corrections follow a logger once, as instants, into a house with another wall clock', async () => {
  const db = await twoHouses()
  await enrolled(db, 'lg-1')
  await placeLogger(db, 'lg-1', { house: 'east', at: '2026-05-01T09:00', probes: LOW }, at())
  const offset = {
    probe: 'lg-1/air',
    quantity: 'rhPct' as const,
    offset: -2,
    from: '2026-05-01T09:00',
    why: 'salt check',
  }
  await storeHouse(db, { ...(await tree(db, 'east')), corrections: [offset] }, { ...at(), replace: true })
  await placeLogger(db, 'lg-1', { house: 'west', probes: LOW }, at())
  await placeLogger(db, 'lg-1', { house: 'east', probes: LOW }, at(NOW + HOUR))
  await storeHouse(db, { ...(await tree(db, 'west')), name: 'Edited' }, { ...at(), replace: true })
  expect((await tree(db, 'west')).corrections).toEqual([{ ...offset, from: '2026-05-01T06:00' }])
  expect((await tree(db, 'east')).corrections).toEqual([offset])
  expect(db.raw.prepare('select from_at from corrections').pluck().all()).toEqual([Date.UTC(2026, 4, 1, 13)])
})

test('in the second turn of the hour that autumn repeats, an hour too few belongs to a house and never one too many', async () => {
  const db = await twoHouses()
  await enrolled(db, 'lg-1')
  await placeLogger(db, 'lg-1', { house: 'east', at: '2026-05-01T09:00', probes: LOW }, at())
  const second = Date.UTC(2026, 10, 1, 6, 30) // 01:30 for the second time in New York, 23:30 the day before in Los Angeles
  await placeLogger(db, 'lg-1', { house: 'east', probes: MID }, at(second))
  expect(await placements(db, 'east')).toEqual([
    { spot: 'crawl/low', from: '2026-05-01T09:00', to: '2026-11-01T01:30' }, // the first turn: an hour before
    { spot: 'crawl/mid', from: '2026-11-01T02:00' }, // when the repeated hour is over
  ])
  expect((await findLogger(db, 'lg-1', second))!.probes[0]!.placed).toMatchObject({ spot: 'crawl/mid' })
  // Moved on within that hour it was never there, and the other house has a wall clock that says it exactly.
  await placeLogger(db, 'lg-1', { house: 'west', probes: LOW }, at(second + 10 * MINUTE))
  expect(await placements(db, 'east')).toHaveLength(1)
  expect(await placements(db, 'west')).toEqual([{ spot: 'crawl/low', from: '2026-10-31T23:40' }])
  // Named by hand it means the first turn.
  await pickUpLogger(db, 'lg-1', undefined, at(second + HOUR))
  await placeLogger(db, 'lg-1', { house: 'west', at: '2026-11-01T01:30', probes: MID }, at(second + DAY))
  expect((await findLogger(db, 'lg-1', second + DAY))!.probes[0]!.placed!.since).toBe(Date.UTC(2026, 10, 1, 8, 30))
})

test('a visit begins with one tap and ends with another; in twice is one, out without in is refused', async () => {
  const db = await twoHouses()
  const events = async () => (await tree(db, 'east')).events
  await expect(stepInOrOut(db, 'east', { step: 'out' }, at())).rejects.toThrow(/Nobody is known to be under East house/)
  const since = Date.UTC(2026, 5, 1, 16, 30)
  expect(await stepInOrOut(db, 'east', { step: 'in', note: 'drain' }, at())).toBe(since)
  expect(await stepInOrOut(db, 'east', { step: 'in' }, at(NOW + HOUR))).toBe(since)
  expect(await events()).toEqual([{ kind: 'visit', from: '2026-06-01T12:30', note: 'drain' }])
  expect(await insideSince(db, 'east', NOW + 2 * HOUR)).toBe(since)
  expect(await stepInOrOut(db, 'east', { step: 'out', note: 'done' }, at(NOW + 2 * HOUR))).toBeNull()
  expect(await events()).toEqual([
    { kind: 'visit', from: '2026-06-01T12:30', to: '2026-06-01T14:31', note: 'drain done' },
  ])
  expect(await insideSince(db, 'east', NOW + 2 * HOUR)).toBeNull()
  await undoEntry(db, 'east', (await latest(db, 'east')).id, at())
  expect(await insideSince(db, 'east', NOW + 2 * HOUR)).toBe(since)
  expect(await stepInOrOut(db, 'nowhere', { step: 'in' }, at())).toBeUndefined()
})

test('in and out within one minute is a minute, and a visit nobody ended is over after 12 hours', async () => {
  const db = await twoHouses()
  const events = async () => (await tree(db, 'east')).events
  await stepInOrOut(db, 'east', { step: 'in' }, at())
  await stepInOrOut(db, 'east', { step: 'out' }, at(NOW + 5000))
  expect(await events()).toEqual([{ kind: 'visit', from: '2026-06-01T12:30', to: '2026-06-01T12:31' }])
  await stepInOrOut(db, 'east', { step: 'in' }, at(NOW + DAY))
  expect(await insideSince(db, 'east', NOW + DAY + 11 * HOUR)).not.toBeNull()
  const late = at(NOW + DAY + 12 * HOUR)
  expect(await insideSince(db, 'east', late.now)).toBeNull()
  await expect(stepInOrOut(db, 'east', { step: 'out' }, late)).rejects.toThrow(
    /began 2026-06-02 12:30 counts as over since 2026-06-03 00:30/,
  )
  await stepInOrOut(db, 'east', { step: 'in' }, at(NOW + 3 * DAY))
  expect((await events())!.slice(1)).toEqual([
    { kind: 'visit', from: '2026-06-02T12:30', to: '2026-06-03T00:30' },
    { kind: 'visit', from: '2026-06-04T12:30' },
  ])
})
