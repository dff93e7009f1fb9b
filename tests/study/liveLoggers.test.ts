/** Who is heard and who is late, and that a house silent as a whole is one finding. */
import { expect, test } from 'vitest'
import { enrollLoggers } from '../../server/store/loggerLife.ts'
import { placeLogger } from '../../server/store/loggerPlaces.ts'
import type { Database } from '../../server/store/open.ts'
import { storeReadings } from '../../server/store/readings.ts'
import { storeHouse } from '../../server/store/storeHouse.ts'
import { findingsOf } from '../../server/study/findings.ts'
import { liveLoggers, silentHouses, silentHousesNote, standingOf } from '../../server/study/liveLoggers.ts'
import { scratchDatabase } from '../support/database.ts'
import { DAY, HOUR, MINUTE, madeReadings, swing } from '../support/series.ts'
import { stepsOf, TEST_HOUSE } from '../support/studiedHouse.ts'

const NOW = Date.UTC(2026, 5, 1, 16)
const HOUSE = { ...TEST_HOUSE, invented: false, loggers: [] }
const SPOTS = ['crawl/low', 'crawl/mid', 'out/north']

const RADIO = { retiredAt: null, hasRadio: true, intervalS: 300, heardAt: NOW - MINUTE }
test.each([
  ['heard', RADIO],
  ['heard', { ...RADIO, heardAt: NOW - 15 * MINUTE }],
  ['late', { ...RADIO, heardAt: NOW - 16 * MINUTE }],
  ['heard', { ...RADIO, intervalS: 3600, heardAt: NOW - 3 * HOUR }],
  ['late', { ...RADIO, intervalS: 3600, heardAt: NOW - 3 * HOUR - 1 }],
  ['late', { ...RADIO, intervalS: null, heardAt: NOW - 16 * MINUTE }],
  ['waiting', { ...RADIO, heardAt: null }],
  ['read out', { ...RADIO, hasRadio: false }],
  ['retired', { ...RADIO, retiredAt: NOW - DAY }],
] as const)('%s: %j', (standing, logger) => {
  expect(standingOf(logger, NOW)).toBe(standing)
})

/** A house with a logger at each spot, each heard at its own time; null: never. */
async function houseHeard(db: Database, house: string, heardAt: readonly (number | null)[], intervalS = 300) {
  await storeHouse(db, { ...HOUSE, key: house, name: `House ${house}` }, { replace: false, now: NOW, who: 'tester' })
  for (const [i, at] of heardAt.entries()) {
    const key = `${house}-${i}`
    await enrollLoggers(db, { key, count: 1, probes: ['air'], hasRadio: true, intervalS }, { now: NOW, who: 'tester' })
    const probes = [{ probe: 'air', spot: SPOTS[i]! }]
    await placeLogger(db, key, { house, at: '2026-05-01T09:00', probes }, { now: NOW, who: 'tester' })
    if (at !== null) hear(db, key, at)
  }
}

function hear(db: Database, key: string, at: number): void {
  db.raw
    .prepare(
      `insert into logger_states (logger_id, first_heard_at, heard_at) select id, @at, @at from loggers where key = @key
        on conflict (logger_id) do update set heard_at = @at`,
    )
    .run({ key, at })
}

const silent = async (db: Database, now = NOW) => silentHouses(await liveLoggers(db, { now }))

test('all late at once is one finding with its times, what to look at and a caution', async () => {
  const db = scratchDatabase()
  await houseHeard(db, 'a', [NOW - 60 * MINUTE, NOW - 45 * MINUTE, NOW - 50 * MINUTE])
  const [found, ...others] = await silent(db)
  expect(others).toEqual([])
  expect(found).toMatchObject({ house: 'a', loggers: 3, since: NOW - 45 * MINUTE })
  expect(found!.sentence).toMatch(
    /^Gateway or power: .* 3 loggers in House a since 2026-06-01 11:15, .* 2026-06-01 11:00\. /,
  )
  expect(found!.sentence).toMatch(/passes readings on.*licensed electrician/)
})

test.each([
  ['one is still heard', [NOW - MINUTE, NOW - 50 * MINUTE], 300, 0],
  ['they fell silent one after the other', [NOW - 3 * HOUR, NOW - HOUR], 300, 0],
  ['there is one alone', [NOW - HOUR], 300, 0],
  ['all wait for their first word', [null, null], 300, 0],
  ['one was never heard, the others are silent', [NOW - HOUR, NOW - HOUR, null], 300, 1],
  ['hourly ones, heard an hour apart', [NOW - 5 * HOUR, NOW - 4 * HOUR], 3600, 1],
])('%s', async (_, heardAt, intervalS, count) => {
  const db = scratchDatabase()
  await houseHeard(db, 'a', heardAt, intervalS)
  expect(await silent(db)).toHaveLength(count)
})

test('it ends with the first word, and houses that fall silent together point to the broker', async () => {
  const db = scratchDatabase()
  await houseHeard(db, 'a', [NOW - HOUR, NOW - HOUR])
  await houseHeard(db, 'b', [NOW - 61 * MINUTE, NOW - HOUR])
  expect(silentHousesNote(await silent(db))).toMatch(/^2 houses .* broker/)
  hear(db, 'a-0', NOW)
  expect((await silent(db)).map(({ house }) => house)).toEqual(['b'])
  expect(silentHousesNote(await silent(db))).toBeNull()
})

test('the last reading has its dew point, and bone-dry air has none', async () => {
  const db = scratchDatabase()
  await houseHeard(db, 'a', [NOW, NOW])
  const readings = (rhPct: number) =>
    madeReadings({ from: NOW - HOUR, to: NOW, everyMs: HOUR, tempC: () => 20, rhPct: () => rhPct })
  await storeReadings(db, stepsOf(1, readings(50)))
  await storeReadings(db, stepsOf(2, readings(0)))
  const [wet, dry] = (await liveLoggers(db, { now: NOW })).map(({ probes }) => probes[0]!.last!)
  expect(wet).toMatchObject({ at: NOW - HOUR, tempC: 20, rhPct: 50, woodMcPct: null, waterPresent: null })
  expect(wet!.dewPointC).toBeCloseTo(9.27, 1) // 20 °C and 50 %: 9.3 °C in any psychrometric table
  expect(dry!.dewPointC).toBeNull()
})

test('findings of a house whose radio loggers all fell silent are one, with what each was last known to be', async () => {
  const db = scratchDatabase()
  await houseHeard(db, 'a', [NOW, NOW])
  const readings = { from: NOW - 20 * DAY, to: NOW, everyMs: HOUR, tempC: swing(18, 1), rhPct: swing(45, 2) }
  for (const probe of [1, 2]) await storeReadings(db, stepsOf(probe, madeReadings(readings)))
  const levels = async (now: number) => {
    const found = (await findingsOf(db, 'a', { now }))!
    return found.filter(({ question, subject }) => question === 'level' && subject.period === undefined)
  }
  expect(await levels(NOW + HOUR)).toHaveLength(4) // the house, its space, two spots
  const later = await levels(NOW + 2 * DAY)
  expect(later).toHaveLength(1)
  expect(later[0]).toMatchObject({
    subject: {},
    certainty: 'cannot tell',
    sentence: expect.stringMatching(/Gateway or power/),
  })
  expect(later[0]!.evidenceFor).toHaveLength(2)
  expect(later[0]!.evidenceFor[0]).toMatch(/Low corner was last heard .* and it was dry then/)
  // One that is read out by hand says nothing of a gateway.
  db.raw.prepare("update loggers set has_radio = 0 where key = 'a-1'").run()
  expect(await levels(NOW + 2 * DAY)).toHaveLength(4)
})
