/**
 * A CSV file to stored readings (look, read with units and zone, check, store, receipt) against a plain prepared insert
 * of the same rows already parsed, and against the sqlite3 command line's .import where it exists. All write the same
 * database in WAL mode with synchronous=FULL, 1,000 rows a transaction. `.import` is no match in kind: one transaction
 * into a table of text with the time as its key, without units, zone, checks or receipt.
 * The order alternates; medians of several rounds. Fails above the promised ratio. It does not show a slower disk, where
 * waiting for commits makes the two alike, nor files with many refused lines.
 */
import { execFileSync } from 'node:child_process'
import { mkdirSync, mkdtempSync, rmSync, statSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { importFile } from '../../server/ingest/import.ts'
import { createIntake } from '../../server/ingest/intake.ts'
import { type Database, openDatabase } from '../../server/store/open.ts'
import { loggers, probes } from '../../server/store/schema.ts'
import { FIRST_AT, rhSteps, STEP_MS, tempSteps, writeSeriesFile } from '../support/seriesFile.ts'

const PROMISED_RATIO = 1.5
const ROWS = Number(process.env.ROWS ?? 400_000)
const ROUNDS = Number(process.env.ROUNDS ?? 7)
const BATCH = 1000

const folder = mkdtempSync(join(tmpdir(), 'underjoist-bench-'))
const file = join(folder, 'series.csv')
writeSeriesFile(file, ROWS)
const parsed = {
  at: Float64Array.from({ length: ROWS }, (_, row) => FIRST_AT + row * STEP_MS),
  tempC: Float64Array.from({ length: ROWS }, (_, row) => tempSteps(row)),
  rhPct: Float64Array.from({ length: ROWS }, (_, row) => rhSteps(row)),
}

function freshDatabase(): Database {
  rmSync(join(folder, 'db'), { recursive: true, force: true })
  mkdirSync(join(folder, 'db'))
  const db = openDatabase(join(folder, 'db', 'underjoist.db'))
  db.orm.insert(loggers).values({ id: 1, key: 'box' }).run()
  db.orm.insert(probes).values({ id: 1, loggerId: 1, key: 'air' }).run()
  return db
}

const stored = (db: Database) => db.raw.prepare('select count(*) from readings').pluck().get()

async function timed(variant: (db: Database) => Promise<void> | void): Promise<number> {
  const db = freshDatabase()
  const begin = performance.now()
  await variant(db)
  const ms = performance.now() - begin
  if (stored(db) !== ROWS) throw new Error(`${stored(db)} of ${ROWS} readings are stored`)
  db.close()
  return ms
}

const VARIANTS: Record<string, () => Promise<number>> = {
  'plain prepared insert of parsed rows': () =>
    timed((db) => {
      const insert = db.raw.prepare(
        'insert into readings (probe_id, at, temp_c, rh_pct, import_id) values (?, ?, ?, ?, ?)',
      )
      const commit = db.raw.transaction((from: number) => {
        for (let row = from; row < Math.min(from + BATCH, ROWS); row++) {
          insert.run(1, parsed.at[row], parsed.tempC[row], parsed.rhPct[row], 1)
        }
      })
      for (let from = 0; from < ROWS; from += BATCH) commit(from)
    }),
  'file to stored readings': () =>
    timed(async (db) => {
      const now = Date.now
      const intake = createIntake(db, { now })
      const args = { path: file, timeZone: 'America/New_York', probes: { '*': 1 } }
      const { stored, refused } = await importFile({ db, intake, now }, args)
      if (stored !== ROWS || refused !== 0) throw new Error(`stored ${stored}, refused ${refused}`)
    }),
  'sqlite3 .import of text, unchecked': async () => {
    freshDatabase().close()
    const path = join(folder, 'db', 'text.db')
    const commands = [
      'pragma journal_mode=WAL;',
      'pragma synchronous=FULL;',
      'create table readings (at text primary key, temp_c text, rh_pct text) without rowid;',
      `.import --csv --skip 1 ${file} readings`,
    ]
    const begin = performance.now()
    execFileSync('sqlite3', [path], { input: `${commands.join('\n')}\n`, stdio: ['pipe', 'ignore', 'inherit'] })
    return performance.now() - begin
  },
}

const hasSqlite = (() => {
  try {
    execFileSync('sqlite3', ['--version'], { stdio: 'ignore' })
    return true
  } catch {
    return false
  }
})()
const names = Object.keys(VARIANTS).filter((name) => hasSqlite || !name.startsWith('sqlite3'))
if (!hasSqlite) console.log('The sqlite3 command line is not installed: its row is left out.')

const times = new Map(names.map((name) => [name, [] as number[]]))
for (const name of names) await VARIANTS[name]!() // warm: compiled code and file cache for all alike
for (let round = 0; round < ROUNDS; round++) {
  for (const name of round % 2 === 0 ? names : names.toReversed()) times.get(name)!.push(await VARIANTS[name]!())
}

const median = (values: number[]) => values.toSorted((a, b) => a - b)[Math.floor(values.length / 2)]!
const reference = median(times.get(names[0]!)!)
console.log(
  `${ROWS.toLocaleString('en-US')} readings, ${(statSync(file).size / ROWS).toFixed(1)} bytes a line, ${ROUNDS} rounds`,
)
for (const name of names) {
  const ms = median(times.get(name)!)
  const rate = Math.round(ROWS / ms).toLocaleString('en-US')
  console.log(
    `${name.padEnd(46)} ${ms.toFixed(0).padStart(6)} ms ${rate.padStart(6)}k rows/s  ${(ms / reference).toFixed(2)} ×`,
  )
}

await VARIANTS['file to stored readings']!()
const db = openDatabase(join(folder, 'db', 'underjoist.db'))
db.raw.pragma('wal_checkpoint(truncate)')
db.close()
console.log(
  `bytes a reading in the database: ${(statSync(join(folder, 'db', 'underjoist.db')).size / ROWS).toFixed(1)}`,
)
rmSync(folder, { recursive: true, force: true })

const ratio = median(times.get('file to stored readings')!) / reference
console.log(
  `ratio ${ratio.toFixed(2)}, promised at most ${PROMISED_RATIO}: ${ratio <= PROMISED_RATIO ? 'kept' : 'NOT KEPT'}`,
)
if (ratio > PROMISED_RATIO) process.exitCode = 1
