import { createHash } from 'node:crypto'
import { copyFileSync, existsSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import SqliteDatabase from 'better-sqlite3'
import { expect, test } from 'vitest'
import { DatabaseRefused, openDatabase } from '../../server/store/open.ts'
import { storeReadings } from '../../server/store/readings.ts'
import { addProbes, scratchFolder } from '../support/database.ts'

const hashOf = (path: string) => createHash('sha256').update(readFileSync(path)).digest('hex')

/** A closed database with some readings. */
async function filledDatabase(folder: string): Promise<string> {
  const path = join(folder, 'underjoist.db')
  const db = openDatabase(path)
  const [probe] = addProbes(db, 1) as [number]
  const at = Float64Array.from({ length: 5000 }, (_, i) => Date.UTC(2025, 0, 1) + i * 60_000)
  await storeReadings(db, { probeId: probe, at, steps: { tempC: at.map((_, i) => i % 9000) } })
  db.raw.pragma('wal_checkpoint(truncate)')
  db.close()
  return path
}

test('opening twice migrates once and keeps what is stored', async () => {
  const path = await filledDatabase(scratchFolder())
  const dump = () => {
    const db = openDatabase(path)
    const tables = db.raw.prepare('select name, sql from sqlite_master order by name').all()
    const migrations = db.raw.prepare('select count(*) n from __drizzle_migrations').get()
    const readings = db.raw.prepare('select count(*) n, sum(temp_c) s from readings').get()
    db.close()
    return { tables, migrations, readings }
  }
  const first = dump()
  expect(dump()).toEqual(first)
  expect(first.readings).toEqual({ n: 5000, s: (4999 * 5000) / 2 })
})

test('readings and hour values are kept WITHOUT ROWID, which halves the file', async () => {
  const db = openDatabase(await filledDatabase(scratchFolder()))
  const tables = db.raw.prepare(`select name, sql from sqlite_master where name in ('readings', 'hourly')`).all()
  db.close()
  for (const { sql } of tables as { sql: string }[]) expect(sql).toMatch(/WITHOUT ROWID/i)
})

test('what was acknowledged is synced, foreign keys hold, and readers never wait', async () => {
  const db = openDatabase(await filledDatabase(scratchFolder()))
  expect(db.raw.pragma('synchronous', { simple: true })).toBe(2)
  expect(db.raw.pragma('journal_mode', { simple: true })).toBe('wal')
  expect(db.raw.pragma('foreign_keys', { simple: true })).toBe(1)
  db.close()
})

test.each([
  ['its first bytes overwritten', (bytes: Buffer) => bytes.fill(0x5a, 0, 64)],
  ['pages in the middle overwritten', (bytes: Buffer) => bytes.fill(0x5a, 8192, bytes.length - 4096)],
  ['cut in the middle', (bytes: Buffer) => bytes.subarray(0, Math.floor(bytes.length / 2))],
  ['no database at all', () => Buffer.from('line,temp\n1,20\n'.repeat(1000))],
])('a database with %s is refused with a sentence, and its bytes stay as they were', async (_, harm) => {
  const folder = scratchFolder()
  const path = await filledDatabase(folder)
  writeFileSync(path, harm(readFileSync(path)))
  const before = hashOf(path)
  expect(() => openDatabase(path)).toThrow(DatabaseRefused)
  expect(() => openDatabase(path)).toThrow(/is damaged or is not a database .*Nothing was written/)
  expect(hashOf(path)).toBe(before)
})

test('a database of a newer version is refused and its bytes stay as they were', async () => {
  const path = await filledDatabase(scratchFolder())
  const raw = new SqliteDatabase(path)
  raw.prepare('insert into __drizzle_migrations (hash, created_at) values (?, ?)').run('later', 9_999_999_999_999)
  raw.pragma('wal_checkpoint(truncate)')
  raw.close()
  const before = hashOf(path)
  expect(() => openDatabase(path)).toThrow(/written by a newer version of Underjoist/)
  expect(hashOf(path)).toBe(before)
})

test('a database of another program is refused and its bytes stay as they were', () => {
  const path = join(scratchFolder(), 'other.db')
  const raw = new SqliteDatabase(path)
  raw.exec('create table invoices (id integer)')
  raw.close()
  const before = hashOf(path)
  expect(() => openDatabase(path)).toThrow(/database of something else \(it has a table invoices\)/)
  expect(hashOf(path)).toBe(before)
})

test('reading only, a missing file is said, not made, and nothing can be written', async () => {
  const folder = scratchFolder()
  const missing = join(folder, 'none.db')
  expect(() => openDatabase(missing, { readOnly: true })).toThrow(/There is no database at/)
  expect(existsSync(missing)).toBe(false)
  const db = openDatabase(await filledDatabase(folder), { readOnly: true })
  expect(() => db.raw.exec('delete from readings')).toThrow(/readonly/)
  db.close()
})

test('a copy of the file taken after a checkpoint opens as a database of its own', async () => {
  const folder = scratchFolder()
  const path = await filledDatabase(folder)
  const copy = join(folder, 'copy.db')
  copyFileSync(path, copy)
  const db = openDatabase(copy)
  expect(db.raw.prepare('select count(*) n from readings').get()).toEqual({ n: 5000 })
  db.close()
})
