import { expect, test } from 'vitest'
import { buildHourly, HOURLY_NAMES, type HourlyColumns } from '../../server/series/hourly.ts'
import { checkDatabase } from '../../server/store/check.ts'
import {
  digestHours,
  findDueHours,
  keptDigest,
  readHours,
  rebuildNextHours,
  rebuiltHourRows,
  recomputeHours,
} from '../../server/store/hourly.ts'
import type { Database } from '../../server/store/open.ts'
import { readColumns, storeReadings } from '../../server/store/readings.ts'
import { refreshHourly } from '../../server/store/refreshHourly.ts'
import { corrections } from '../../server/store/schema.ts'
import { markHourlyDue } from '../../server/store/writeReadings.ts'
import { addProbes, scratchDatabase } from '../support/database.ts'
import { DAY, HOUR, MINUTE, madeReadings, seeded } from '../support/series.ts'
import { stepsOf } from '../support/studiedHouse.ts'

const START = Date.UTC(2024, 2, 1, 5)
const ALL = [0, Number.MAX_SAFE_INTEGER] as const

function made(days: number, from = START) {
  const random = seeded(21)
  return madeReadings({
    from,
    to: from + days * DAY,
    everyMs: 15 * MINUTE,
    tempC: (at) => (Math.floor(at / (60 * HOUR)) % 3 === 0 ? 18 : 18 + 4 * random()),
    rhPct: (at) => (Math.floor(at / (50 * HOUR)) % 2 === 0 ? 96 : 80 + 12 * random()),
  })
}

const rows = (hours: HourlyColumns) => Object.fromEntries(HOURLY_NAMES.map((name) => [name, [...hours[name]]]))

/** What the readings in the database give when built in one piece. */
const wholly = async (db: Database, probeId: number) => rows(buildHourly(await readColumns(db, probeId, ...ALL)))

test('hours rebuilt in stretches equal hours built in one piece', async () => {
  const db = scratchDatabase()
  const [probe] = addProbes(db, 1)
  await storeReadings(db, stepsOf(probe!, made(50)))
  expect(await findDueHours(db)).toHaveLength(1)
  await refreshHourly(db)
  expect(await findDueHours(db)).toEqual([])
  const stored = rows(await readHours(db, probe!, ...ALL))
  expect(stored.at).toHaveLength(50 * 24)
  expect(stored).toEqual(await wholly(db, probe!))
})

test('a late file in the middle changes the marks around it, and they are rebuilt too', async () => {
  const db = scratchDatabase()
  const [probe] = addProbes(db, 1)
  const readings = made(40)
  const late = (at: number) => at >= START + 15 * DAY && at < START + 16 * DAY
  const part = (keep: (at: number) => boolean) => {
    const indexes = [...readings.at.keys()].filter((i) => keep(readings.at[i]!))
    const pick = (column: Float64Array) => Float64Array.from(indexes, (i) => column[i]!)
    return stepsOf(probe!, { at: pick(readings.at), tempC: pick(readings.tempC!), rhPct: pick(readings.rhPct!) })
  }
  await storeReadings(
    db,
    part((at) => !late(at)),
  )
  await refreshHourly(db)
  await storeReadings(db, part(late))
  await refreshHourly(db)
  expect(rows(await readHours(db, probe!, ...ALL))).toEqual(await wholly(db, probe!))
})

test('a rebuild that stops half way goes on where it stopped, and reads what came meanwhile', async () => {
  const db = scratchDatabase()
  const [probe] = addProbes(db, 1)
  await storeReadings(db, stepsOf(probe!, made(60)))
  const first = await rebuildNextHours(db, probe!)
  expect(first!.more).toBe(true)
  await storeReadings(db, stepsOf(probe!, made(5, START - 30 * DAY))) // earlier than what is done already
  await refreshHourly(db)
  expect(await findDueHours(db)).toEqual([])
  expect(rows(await readHours(db, probe!, ...ALL))).toEqual(await wholly(db, probe!))
})

test('a clock correction leaves no hour behind where the readings were before', async () => {
  const db = scratchDatabase()
  const [probe] = addProbes(db, 1)
  await storeReadings(db, stepsOf(probe!, made(10)))
  await refreshHourly(db)
  const before = await digestHours(db, probe!)
  db.orm
    .insert(corrections)
    .values({ probeId: probe!, quantity: 'clock', offset: -30 * 3600, fromAt: START, fromLocal: '', why: 'test' })
    .run()
  markHourlyDue(db, probe!, START, START + 10 * DAY)
  await refreshHourly(db)
  const stored = await readHours(db, probe!, ...ALL)
  expect(stored.at[0]).toBe(START - 30 * HOUR)
  expect(stored.at).toHaveLength(240)
  expect(await digestHours(db, probe!)).not.toEqual(before)
})

test('readings decades apart do not make the rebuild walk the years between', async () => {
  const db = scratchDatabase()
  const [probe] = addProbes(db, 1)
  await storeReadings(db, stepsOf(probe!, made(1, Date.UTC(1990, 0, 1))))
  await storeReadings(db, stepsOf(probe!, made(1)))
  const { hours } = await refreshHourly(db)
  expect(hours).toBeLessThan(2000)
  expect(rows(await readHours(db, probe!, ...ALL))).toEqual(await wholly(db, probe!))
})

test('the database check finds an hour that does not follow from its readings', async () => {
  const db = scratchDatabase()
  const [probe] = addProbes(db, 1)
  await storeReadings(db, stepsOf(probe!, made(30)))
  await refreshHourly(db)
  expect((await checkDatabase(db, rebuiltHourRows(db))).problems).toEqual([])
  const hour = START + 100 * HOUR
  const expected = await recomputeHours(db, probe!, hour, hour + HOUR)
  expect(rows(await readHours(db, probe!, hour, hour + HOUR))).toEqual(rows(expected))
  const digest = await digestHours(db, probe!)
  db.raw.prepare('update hourly set vapor_pressure_pa = vapor_pressure_pa + 1 where at = cast(? as integer)').run(hour)
  expect((await checkDatabase(db, rebuiltHourRows(db))).problems).toHaveLength(1)
  expect(await digestHours(db, probe!)).not.toEqual(digest)
})

test('what rests on the hours is asked for anew when an hour is over, not with each reading of a logger that reports live', async () => {
  const db = scratchDatabase()
  const [probe] = addProbes(db, 1)
  const digest = async () => {
    await refreshHourly(db)
    return keptDigest(db, probe!)
  }
  const store = (at: number, tempC: number, water?: number) =>
    storeReadings(db, {
      probeId: probe!,
      at: Float64Array.of(at),
      steps: {
        tempC: Float64Array.of(tempC * 100),
        ...(water !== undefined && { waterPresent: Float64Array.of(water) }),
      },
    })
  const none = await digest()
  await store(START, 20)
  const first = await digest()
  expect(first).not.toBe(none)
  for (let i = 1; i < 10; i++) await store(START + i * 60_000, 20 + i / 10)
  expect(await digest()).toBe(first)
  await store(START + HOUR, 20)
  const next = await digest()
  expect(next).not.toBe(first)
  await store(START + 30 * 60_000, 25) // late, into an hour that is over
  const late = await digest()
  expect(late).not.toBe(next)
  await store(START + HOUR + 60_000, 20, 0)
  expect(await digest()).toBe(late)
  await store(START + HOUR + 120_000, 20, 1) // water need not wait for the hour to end
  expect(await digest()).not.toBe(late)
})
