/** The drill: what was backed up comes back, whole or not at all. */
import { spawnSync } from 'node:child_process'
import { cpSync, existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join, resolve } from 'node:path'
import SqliteDatabase from 'better-sqlite3'
import { drizzle } from 'drizzle-orm/better-sqlite3'
import { migrate } from 'drizzle-orm/better-sqlite3/migrator'
import { expect, test } from 'vitest'
import { backUp } from '../../server/files/backup.ts'
import { nameOf, wholeBackups } from '../../server/files/backupFolder.ts'
import { MANIFEST_FILE, readManifest, writeManifest } from '../../server/files/manifest.ts'
import { photoPath } from '../../server/files/photos.ts'
import { restore } from '../../server/files/restore.ts'
import { openDatabase } from '../../server/store/open.ts'
import { scratchFolder } from '../support/database.ts'
import { keptHouse, sha256 } from '../support/keptHouse.ts'
import { seeded } from '../support/seeded.ts'
import { followProgram, startProgram } from '../support/tsx.ts'

const ROOT = resolve(import.meta.dirname, '../..')
const PROGRAM = new URL('../support/backupProgram.ts', import.meta.url).href
const AT = Date.UTC(2026, 2, 1, 4, 5, 6)

/** Every row of every table, in the order of the keys. */
function rowsOf(path: string): Record<string, unknown[]> {
  const db = openDatabase(path, { readOnly: true })
  try {
    const tables = db.raw
      .prepare(`select name from sqlite_master where type = 'table' and name not like 'sqlite_%'`)
      .pluck()
    return Object.fromEntries(
      (tables.all() as string[]).map((table) => {
        const keys = db.raw.prepare('select count(*) from pragma_table_info(?)').pluck().get(table) as number
        const order = Array.from({ length: keys }, (_, i) => i + 1).join()
        return [table, db.raw.prepare(`select * from "${table}" order by ${order}`).all()]
      }),
    )
  } finally {
    db.close()
  }
}

/** A database with a house, its photos, and a backup of it. */
async function backedUp() {
  const folder = scratchFolder()
  const kept = await keptHouse(join(folder, 'underjoist.db'))
  const made = await backUp({ databasePath: kept.path, folder: join(folder, 'backups'), keep: 7, now: () => AT })
  return { ...kept, folder, backup: made.path, manifest: made.manifest }
}

test('restored elsewhere, every row of every table and every byte of the photos is there', async () => {
  const { path, photos, folder, backup } = await backedUp()
  expect(backup).toBe(join(folder, 'backups', '2026-03-01T04-05-06Z'))
  const to = join(folder, 'elsewhere', 'new.db')
  const manifest = await restore({ backup, databasePath: to })
  expect(manifest.rows).toMatchObject({ houses: 1, readings: 5000, photos: 3, history: 2, works: 1, loggers: 3 })
  expect(new Date(manifest.firstAt!).toISOString()).toBe('2025-06-01T00:00:00.000Z')
  const [was, is] = [rowsOf(path), rowsOf(to)]
  expect(Object.keys(is)).toEqual(Object.keys(was))
  for (const table of Object.keys(was)) expect(is[table], table).toEqual(was[table])
  expect(photos).toHaveLength(3)
  for (const hash of photos) expect(sha256(readFileSync(photoPath(to, hash)))).toBe(hash)
  expect(readdirSync(join(folder, 'elsewhere')).filter((name) => /restoring|partial/.test(name))).toEqual([])
  // And it can be worked with.
  const db = openDatabase(to)
  expect(db.raw.pragma('integrity_check', { simple: true })).toBe('ok')
  db.close()
})

test('one changed byte of any file, wherever it is, is noticed, and the file is named', async () => {
  const { folder, backup, manifest } = await backedUp()
  const files = [MANIFEST_FILE, ...manifest.files.map(({ path }) => path)]
  expect(files).toHaveLength(5)
  const next = seeded(3)
  for (const [i, file] of files.entries()) {
    const path = join(backup, file)
    const whole = readFileSync(path)
    const places = [0, whole.length - 1, ...Array.from({ length: 4 }, () => Math.floor(next() * whole.length))]
    for (const place of places) {
      const bytes = Buffer.from(whole)
      bytes[place]! ^= 1
      writeFileSync(path, bytes)
      const to = join(folder, `new-${i}`, 'new.db')
      await expect(restore({ backup, databasePath: to }), `${file} byte ${place}`).rejects.toThrow(file)
      expect(existsSync(join(folder, `new-${i}`))).toBe(false)
    }
    writeFileSync(path, whole.subarray(0, whole.length - 1))
    await expect(restore({ backup, databasePath: join(folder, 'short.db') }), `${file} cut`).rejects.toThrow(file)
    writeFileSync(path, whole)
  }
  await restore({ backup, databasePath: join(folder, 'at last', 'new.db') })
})

test('every space of the manifest and every line counts: nothing in it can be changed unnoticed', async () => {
  const { backup } = await backedUp()
  const path = join(backup, MANIFEST_FILE)
  const whole = readFileSync(path)
  for (let place = 0; place < whole.length; place++) {
    const bytes = Buffer.from(whole)
    bytes[place]! ^= 1
    writeFileSync(path, bytes)
    await expect(readManifest(backup), `byte ${place}`).rejects.toThrow()
  }
})

test('it is restored into an empty place only, and a missing backup is a sentence', async () => {
  const { path, folder, backup } = await backedUp()
  const before = readFileSync(path)
  await expect(restore({ backup, databasePath: path })).rejects.toThrow('is there already')
  expect(readFileSync(path).equals(before)).toBe(true)
  const to = join(folder, 'new.db')
  mkdirSync(`${to}.photos`)
  await expect(restore({ backup, databasePath: to })).rejects.toThrow(`${to}.photos is there already`)
  await expect(restore({ backup: folder, databasePath: join(folder, 'b.db') })).rejects.toThrow('is no backup')
})

test('a backup of a newer version is refused, whether its database or its form is newer', async () => {
  const { folder, backup, manifest } = await backedUp()
  const newer = join(folder, 'newer')
  mkdirSync(newer)
  const db = openDatabase(join(folder, 'underjoist.db'))
  db.raw.prepare('insert into __drizzle_migrations (hash, created_at) values (?, ?)').run('x', 9e12)
  db.close()
  const made = await backUp({
    databasePath: join(folder, 'underjoist.db'),
    folder: newer,
    keep: 1,
    now: () => AT + 1000,
  })
  await expect(restore({ backup: made.path, databasePath: join(folder, 'n.db') })).rejects.toThrow('newer version')
  const text = readFileSync(join(backup, MANIFEST_FILE), 'utf8')
  writeFileSync(join(backup, MANIFEST_FILE), text.replace('underjoist backup 1', 'underjoist backup 2'))
  await expect(restore({ backup, databasePath: join(folder, 'n.db') })).rejects.toThrow('newer version')
  expect(manifest.migration).toBeLessThan(9e12)
})

/** A database as the version with that many migrations made it. */
function oldDatabase(folder: string, migrations: number): string {
  const cut = join(folder, 'migrations')
  cpSync(join(ROOT, 'migrations'), cut, { recursive: true })
  const journal = join(cut, 'meta/_journal.json')
  const known = JSON.parse(readFileSync(journal, 'utf8')) as { entries: unknown[] }
  writeFileSync(journal, JSON.stringify({ ...known, entries: known.entries.slice(0, migrations) }))
  const path = join(folder, 'old.db')
  const raw = new SqliteDatabase(path)
  migrate(drizzle(raw), { migrationsFolder: cut })
  raw.prepare(`insert into houses (key, name, time_zone, created_at) values ('old', 'Old house', 'UTC', 0)`).run()
  raw.close()
  return path
}

test('a backup of an older version is made as it is, and brought up when it is first opened', async () => {
  const folder = scratchFolder()
  const path = oldDatabase(folder, 2)
  const before = readFileSync(path)
  const made = await backUp({ databasePath: path, folder: join(folder, 'b'), keep: 1, now: () => AT })
  expect(readFileSync(path).equals(before)).toBe(true)
  const to = join(folder, 'new.db')
  await restore({ backup: made.path, databasePath: to })
  expect(rowsOf(to)).not.toHaveProperty('service_facts')
  openDatabase(to).close()
  expect(rowsOf(to)).toMatchObject({ service_facts: [], houses: [{ name: 'Old house' }] })
})

test('paths that a manifest names lead nowhere but into the backup', async () => {
  const { folder, backup, manifest } = await backedUp()
  const evil = join(folder, 'evil')
  mkdirSync(evil)
  await writeManifest(evil, { ...manifest, files: [{ path: '../underjoist.db', bytes: 1, sha256: 'a'.repeat(64) }] })
  await expect(restore({ backup: evil, databasePath: join(folder, 'n.db') })).rejects.toThrow('damaged')
  expect(existsSync(backup)).toBe(true)
})

test('a photo that is missing or damaged is told, and no older backup is thrown away for it', async () => {
  const { path, photos, folder } = await backedUp()
  writeFileSync(photoPath(path, photos[1]!), 'something else')
  const options = { databasePath: path, folder: join(folder, 'backups'), keep: 1 }
  const made = await backUp({ ...options, now: () => AT + 1000 })
  expect(made.manifest.photosMissing).toEqual([photos[1]])
  expect(made.manifest.files).toHaveLength(3)
  expect(made.thrownAway).toEqual([])
  await restore({ backup: made.path, databasePath: join(folder, 'new.db') })
  expect(existsSync(photoPath(join(folder, 'new.db'), photos[1]!))).toBe(false)
})

test('older ones go by the rule; those of other databases, damaged ones and other files are let alone', async () => {
  const { path, folder, backup } = await backedUp()
  const backups = join(folder, 'backups')
  const other = join(folder, 'other.db')
  await keptHouse(other, { rows: 1, photos: 0 })
  await backUp({ databasePath: other, folder: backups, keep: 1, now: () => AT + 1000 })
  await backUp({ databasePath: path, folder: backups, keep: 3, now: () => AT + 2000 })
  writeFileSync(join(backups, nameOf(AT + 2000), MANIFEST_FILE), '{}')
  writeFileSync(join(backups, 'notes.txt'), 'mine')
  const made = await backUp({ databasePath: path, folder: backups, keep: 1, now: () => AT + 3000 })
  expect(made.thrownAway).toEqual([backup])
  expect(readdirSync(backups).sort()).toEqual([nameOf(AT + 1000), nameOf(AT + 2000), nameOf(AT + 3000), 'notes.txt'])
})

test('killed at any step of it, nothing looks whole that is not, and the next one clears up', async () => {
  const folder = scratchFolder()
  const { path } = await keptHouse(join(folder, 'underjoist.db'), { rows: 60_000, photos: 4 })
  const backups = join(folder, 'backups')
  mkdirSync(backups)
  const steps: string[] = []
  const first = await followProgram(startProgram(PROGRAM, [path, backups, String(AT)]), (line) => void steps.push(line))
  expect(first.code, first.errors).toBe(0)
  expect(new Set(steps.map((line) => line.split(' ')[0]))).toEqual(new Set(['database', 'photos', 'looking', 'done']))
  let at = AT
  for (const stop of ['database 0', 'photos 0', 'photos 3', 'looking at it 0', 'looking at it 4']) {
    const before = readdirSync(backups)
    at += 1000 // names are of seconds
    const program = startProgram(PROGRAM, [path, backups, String(at)])
    const { signal } = await followProgram(program, (line) => {
      if (line.startsWith(stop)) program.kill('SIGKILL')
    })
    expect([signal, null]).toContain(signal)
    const added = readdirSync(backups).filter((name) => !before.includes(name))
    // Where the signal came too late the backup is whole; else what there is bears another name.
    if (signal === 'SIGKILL')
      expect(
        added.every((name) => name.startsWith('partial-')),
        added.join(),
      ).toBe(true)
    for (const { path: one } of await wholeBackups(backups, path)) {
      await restore({ backup: one, databasePath: join(scratchFolder(), 'new.db') })
    }
  }
  await backUp({ databasePath: path, folder: backups, keep: 100, now: Date.now })
  expect(readdirSync(backups).filter((name) => name.startsWith('partial-'))).toEqual([])
}, 180_000)

test('a disk that takes no more is a sentence, and nothing is left behind', async () => {
  const folder = scratchFolder()
  const { path } = await keptHouse(join(folder, 'underjoist.db'), { rows: 60_000 })
  const handler = `data:text/javascript,process.on('SIGXFSZ',()=>{})`
  const command = `ulimit -f 600; exec "${process.execPath}" --import tsx --import "${handler}" server/cli.ts backup "${join(folder, 'b')}" --db "${path}"`
  const run = spawnSync('sh', ['-c', command], { cwd: ROOT, encoding: 'utf8' })
  expect({ code: run.status, err: run.stderr }).toEqual({
    code: 3,
    err: expect.stringMatching(/^(There is no room left in|The disk of) .*b\W.*\n$/),
  })
  expect(existsSync(join(folder, 'b'))).toBe(false)
})

test.each([
  ['a file', (folder: string) => join(folder, 'underjoist.db'), 'cannot be used as a folder'],
  ['a folder that has no folder above it', (folder: string) => join(folder, 'no/such'), 'cannot be used as a folder'],
  ['what nobody may write to', () => '/proc/self/backups', /cannot be used as a folder|may not be written/],
])('%s is refused with a sentence', async (_, where, sentence) => {
  const folder = scratchFolder()
  const { path } = await keptHouse(join(folder, 'underjoist.db'), { rows: 1, photos: 0 })
  const before = readdirSync(folder)
  const making = backUp({ databasePath: path, folder: where(folder), keep: 1, now: () => AT })
  await expect(making).rejects.toThrow(sentence)
  expect(readdirSync(folder).filter((name) => !before.includes(name) && !/-(wal|shm)$/.test(name))).toEqual([])
})

test('stopped in the middle, nothing is left', async () => {
  const folder = scratchFolder()
  const { path } = await keptHouse(join(folder, 'underjoist.db'))
  const stop = new AbortController()
  const making = backUp({
    databasePath: path,
    folder: join(folder, 'b'),
    keep: 1,
    now: () => AT,
    signal: stop.signal,
    onProgress: (_, __, what) => what === 'photos' && stop.abort(),
  })
  await expect(making).rejects.toThrow('Stopped')
  expect(existsSync(join(folder, 'b'))).toBe(false)
})
