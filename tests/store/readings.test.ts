import fc from 'fast-check'
import { expect, test } from 'vitest'
import { StoreError } from '../../server/store/errors.ts'
import { openDatabase } from '../../server/store/open.ts'
import { findSpans, readColumns, storeReadings } from '../../server/store/readings.ts'
import { STEPS_PER_UNIT, type StepBatch } from '../../server/store/steps.ts'
import { addProbes, scratchDatabase } from '../support/database.ts'

const T0 = Date.UTC(2025, 5, 1)
const MINUTE = 60_000

/** Rows of [minutes after T0, temperature, RH], null where missing. */
function batchOf(probeId: number, rows: readonly (readonly [number, number | null, number | null])[]): StepBatch {
  const steps = (value: number | null) => (value === null ? Number.NaN : Math.round(value * 100))
  return {
    probeId,
    at: Float64Array.from(rows, ([minute]) => T0 + minute * MINUTE),
    steps: {
      tempC: Float64Array.from(rows, ([, tempC]) => steps(tempC)),
      rhPct: Float64Array.from(rows, ([, , rhPct]) => steps(rhPct)),
    },
  }
}

const counts = ({ stored, repeated, filled, differingRows }: Awaited<ReturnType<typeof storeReadings>>) => ({
  stored,
  repeated,
  filled,
  differingRows,
})

test('new instants are stored, the same again is repeated, a missing quantity is filled, another value differs', async () => {
  const db = scratchDatabase()
  const [probe] = addProbes(db, 1) as [number]
  const first = await storeReadings(
    db,
    batchOf(probe, [
      [0, 20, 70],
      [5, 21.37, null],
      [10, 22, 71],
    ]),
  )
  expect(counts(first)).toEqual({ stored: 3, repeated: 0, filled: 0, differingRows: 0 })

  const second = await storeReadings(
    db,
    batchOf(probe, [
      [0, 20, 70],
      [5, null, 65],
      [10, 22.01, 71],
      [15, 23, 72],
    ]),
  )
  expect(counts(second)).toEqual({ stored: 1, repeated: 1, filled: 1, differingRows: 1 })
  expect(second.differs).toEqual([{ row: 2, at: T0 + 10 * MINUTE, quantity: 'tempC', kept: 22, offered: 22.01 }])

  const columns = await readColumns(db, probe, T0, T0 + 3_600_000)
  expect([...columns.tempC!]).toEqual([20, 21.37, 22, 23])
  expect([...columns.rhPct!]).toEqual([70, 65, 71, 72])
  expect(columns.woodMcPct).toBeUndefined()
})

test('a row with a differing value still has its missing quantity filled, and counts once', async () => {
  const db = scratchDatabase()
  const [probe] = addProbes(db, 1) as [number]
  await storeReadings(db, batchOf(probe, [[0, 20, null]]))
  const outcome = await storeReadings(db, batchOf(probe, [[0, 25, 60]]))
  expect(counts(outcome)).toEqual({ stored: 0, repeated: 0, filled: 0, differingRows: 1 })
  const columns = await readColumns(db, probe, T0, T0 + 1)
  expect([columns.tempC![0], columns.rhPct![0]]).toEqual([20, 60])
})

test('the same instant twice in one batch follows the same rule, and so do rows out of order', async () => {
  const db = scratchDatabase()
  const [probe] = addProbes(db, 1) as [number]
  const outcome = await storeReadings(
    db,
    batchOf(probe, [
      [10, 1, 50],
      [0, 2, 50],
      [10, 1, 50],
      [0, 3, 50],
    ]),
  )
  expect(counts(outcome)).toEqual({ stored: 2, repeated: 1, filled: 0, differingRows: 1 })
  expect([...(await readColumns(db, probe, T0, T0 + 3_600_000)).tempC!]).toEqual([2, 1])
})

test('whatever is sent in whatever order and pieces, the first value of each instant and quantity stays', async () => {
  const db = scratchDatabase()
  const row = fc.tuple(
    fc.nat(30),
    fc.option(fc.integer({ min: -60, max: 90 })),
    fc.option(fc.integer({ min: 0, max: 100 })),
  )
  let logger = 0
  await fc.assert(
    fc.asyncProperty(fc.array(fc.array(row, { maxLength: 40 }), { maxLength: 6 }), async (batches) => {
      const [probe] = addProbes(db, 1, `box-${logger++}`) as [number]
      const model = new Map<number, [number | null, number | null]>()
      for (const rows of batches) {
        const outcome = await storeReadings(db, batchOf(probe, rows))
        const counted = outcome.stored + outcome.repeated + outcome.filled + outcome.differingRows
        expect(counted).toBe(rows.length)
        for (const [minute, tempC, rhPct] of rows) {
          const kept = model.get(minute) ?? [null, null]
          model.set(minute, [kept[0] ?? tempC, kept[1] ?? rhPct])
        }
      }
      const columns = await readColumns(db, probe, 0, Number.MAX_SAFE_INTEGER)
      const expected = [...model].sort(([a], [b]) => a - b)
      expect([...columns.at]).toEqual(expected.map(([minute]) => T0 + minute * MINUTE))
      const values = (quantity: 'tempC' | 'rhPct') =>
        [...columns.at].map((_, i) =>
          columns[quantity] && !Number.isNaN(columns[quantity][i]!) ? columns[quantity][i]! : null,
        )
      expect(values('tempC')).toEqual(expected.map(([, [tempC]]) => tempC))
      expect(values('rhPct')).toEqual(expected.map(([, [, rhPct]]) => rhPct))
    }),
    { seed: 11, numRuns: 60 },
  )
})

test('a value of two decimals comes back as the very same number', async () => {
  const db = scratchDatabase()
  const [probe] = addProbes(db, 1) as [number]
  const values = Array.from({ length: 45_003 }, (_, i) => Number((((i % 15_001) - 6000) / 100).toFixed(2)))
  await storeReadings(
    db,
    batchOf(
      probe,
      values.map((tempC, i) => [i, tempC, null] as const),
    ),
  )
  expect([...(await readColumns(db, probe, T0, Number.MAX_SAFE_INTEGER)).tempC!]).toEqual(values)
})

test('all quantities fit, in steps as fine as they declare', async () => {
  const db = scratchDatabase()
  const [probe] = addProbes(db, 1) as [number]
  const sent = {
    tempC: -3.21,
    rhPct: 99.99,
    woodMcPct: 17.05,
    surfaceTempC: 1.5,
    rainMm: 0.254,
    waterPresent: 1,
    powerW: 480.3,
    condensateL: 1.125,
    batteryV: 2.981,
  }
  const steps = Object.fromEntries(
    Object.entries(sent).map(([q, v]) => [q, Float64Array.of(Math.round(v * STEPS_PER_UNIT[q as keyof typeof sent]))]),
  )
  await storeReadings(db, { probeId: probe, at: Float64Array.of(T0), steps })
  const { at, ...columns } = await readColumns(db, probe, T0, T0 + 1)
  expect([...at]).toEqual([T0])
  expect(Object.fromEntries(Object.entries(columns).map(([q, column]) => [q, column[0]]))).toEqual(sent)
})

test('spans are half-open and counted per probe; a span read holds no row of its end', async () => {
  const db = scratchDatabase()
  const [one, two] = addProbes(db, 3) as [number, number]
  await storeReadings(
    db,
    batchOf(one, [
      [0, 1, null],
      [5, 2, null],
      [10, 3, null],
    ]),
  )
  await storeReadings(db, batchOf(two, [[7, 9, null]]))
  expect(await findSpans(db, [one, two, two + 1])).toEqual([
    { probeId: one, count: 3, from: T0, to: T0 + 10 * MINUTE + 1 },
    { probeId: two, count: 1, from: T0 + 7 * MINUTE, to: T0 + 7 * MINUTE + 1 },
  ])
  expect([...(await readColumns(db, one, T0 + 5 * MINUTE, T0 + 10 * MINUTE)).at]).toEqual([T0 + 5 * MINUTE])
})

test('hour values fall due for what changed, and not for what was repeated or refused as differing', async () => {
  const db = scratchDatabase()
  const [probe] = addProbes(db, 1) as [number]
  const due = () => db.raw.prepare('select from_at, to_at from hourly_due where probe_id = ?').get(probe)
  await storeReadings(db, batchOf(probe, [[10, 1, null]]))
  expect(due()).toEqual({ from_at: T0 + 10 * MINUTE, to_at: T0 + 10 * MINUTE + 1 })
  await storeReadings(
    db,
    batchOf(probe, [
      [0, 1, null],
      [20, 1, null],
    ]),
  )
  expect(due()).toEqual({ from_at: T0, to_at: T0 + 20 * MINUTE + 1 })
  db.raw.exec('delete from hourly_due')
  await storeReadings(
    db,
    batchOf(probe, [
      [0, 1, null],
      [10, 2, null],
    ]),
  )
  expect(due()).toBeUndefined()
  await storeReadings(db, batchOf(probe, [[10, 2, 55]]))
  expect(due()).toEqual({ from_at: T0 + 10 * MINUTE, to_at: T0 + 10 * MINUTE + 1 })
})

test('many writers at once on one connection each get their own rows in, and timers have their turn between', async () => {
  const db = scratchDatabase()
  const ids = addProbes(db, 4)
  let turns = 0
  const timer = setInterval(() => turns++, 0)
  const rows = Array.from({ length: 20_000 }, (_, i) => [i, i % 60, 50] as const)
  const outcomes = await Promise.all([...ids, ...ids].map((probe) => storeReadings(db, batchOf(probe, rows))))
  clearInterval(timer)
  expect(outcomes.reduce((sum, o) => sum + o.stored, 0)).toBe(80_000)
  expect(outcomes.reduce((sum, o) => sum + o.repeated, 0)).toBe(80_000)
  expect((await findSpans(db, ids)).map((span) => span.count)).toEqual([20_000, 20_000, 20_000, 20_000])
  expect(turns).toBeGreaterThan(10)
})

test('messages that arrive together share a commit; one of an unknown probe fails alone', async () => {
  const db = scratchDatabase()
  const ids = addProbes(db, 3)
  let commits = 0
  const transaction = db.raw.transaction.bind(db.raw)
  db.raw.transaction = ((work: never) => {
    commits++
    return transaction(work)
  }) as typeof db.raw.transaction
  const sent = [...ids, 999, ...ids].map((probe, i) => storeReadings(db, batchOf(probe, [[i, 20, 50]])))
  const answers = await Promise.allSettled(sent)
  expect(answers.map((answer) => answer.status)).toEqual([
    ...['fulfilled', 'fulfilled', 'fulfilled'],
    'rejected',
    ...['fulfilled', 'fulfilled', 'fulfilled'],
  ])
  expect(commits).toBe(1)
  expect((await findSpans(db, ids)).map((span) => span.count)).toEqual([2, 2, 2])
})

test('a second connection reads while the first one writes, and only whole transactions', async () => {
  const db = scratchDatabase()
  const [probe] = addProbes(db, 1) as [number]
  const reader = openDatabase(db.path, { readOnly: true })
  const writing = storeReadings(
    db,
    batchOf(
      probe,
      Array.from({ length: 10_000 }, (_, i) => [i, 20, 50] as const),
    ),
  )
  const seen: number[] = []
  const done = writing.then(() => true)
  while (!(await Promise.race([done, new Promise<false>((r) => setImmediate(() => r(false)))]))) {
    seen.push((reader.raw.prepare('select count(*) n from readings').get() as { n: number }).n)
  }
  reader.close()
  expect(seen.length).toBeGreaterThan(2)
  expect(seen.every((n) => n % 1000 === 0)).toBe(true)
})

test('a probe that is not there is refused by name and nothing is stored', async () => {
  const db = scratchDatabase()
  await expect(storeReadings(db, batchOf(77, [[0, 1, null]]))).rejects.toThrow('There is no probe 77.')
  expect(db.raw.prepare('select count(*) n from readings').get()).toEqual({ n: 0 })
})

test('a full disk is said in a sentence, loses nothing that was acknowledged, and is over when there is room', async () => {
  const db = scratchDatabase({ maxPages: 120 })
  const [probe] = addProbes(db, 1) as [number]
  let acknowledged = 0
  let failure: unknown = null
  for (let batch = 0; failure === null && batch < 200; batch++) {
    const rows = Array.from({ length: 1000 }, (_, i) => [batch * 1000 + i, 20, 50] as const)
    try {
      acknowledged += (await storeReadings(db, batchOf(probe, rows))).stored
    } catch (error) {
      failure = error
    }
  }
  expect(failure).toBeInstanceOf(StoreError)
  expect((failure as StoreError).kind).toBe('disk full')
  expect((failure as StoreError).message).toContain('disk with the database is full')
  expect(acknowledged).toBeGreaterThan(0)
  expect((await findSpans(db, [probe]))[0]!.count).toBe(acknowledged)
  expect(db.raw.pragma('integrity_check', { simple: true })).toBe('ok')

  db.raw.pragma('max_page_count = 1000000')
  const rows = Array.from({ length: 1000 }, (_, i) => [acknowledged + i, 20, 50] as const)
  expect((await storeReadings(db, batchOf(probe, rows))).stored).toBe(1000)
})

test('a database locked by another program is said in a sentence', async () => {
  const db = scratchDatabase()
  const [probe] = addProbes(db, 1) as [number]
  db.raw.pragma('busy_timeout = 50')
  const other = openDatabase(db.path)
  other.raw.exec('begin immediate')
  await expect(storeReadings(db, batchOf(probe, [[0, 1, null]]))).rejects.toThrow('kept the database locked')
  other.raw.exec('rollback')
  other.close()
  expect((await storeReadings(db, batchOf(probe, [[0, 1, null]]))).stored).toBe(1)
})
