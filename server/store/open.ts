/** Opens the one database file, brings it to this program's version, or refuses it with a sentence and writes nothing. */
import { existsSync, mkdirSync, readFileSync, statSync } from 'node:fs'
import { dirname, join } from 'node:path'
import SqliteDatabase from 'better-sqlite3'
import { type BetterSQLite3Database, drizzle } from 'drizzle-orm/better-sqlite3'
import { migrate } from 'drizzle-orm/better-sqlite3/migrator'
import { packageFolder } from './packageFolder.ts'
import * as schema from './schema.ts'

export interface Database {
  /** Plain prepared statements for the hot paths. */
  readonly raw: SqliteDatabase.Database
  readonly orm: BetterSQLite3Database<typeof schema>
  readonly path: string
  close(): void
}

/** The file cannot be used as it is. The message is a sentence for people. */
export class DatabaseRefused extends Error {
  override name = 'DatabaseRefused'
}

export interface OpenOptions {
  /** Workers read on connections of their own that cannot write. */
  readOnly?: boolean
  /** Largest size of the file in SQLite pages; only tests of a full disk set it. */
  maxPages?: number
  /** NORMAL may lose the last acknowledged rows in a power cut, though never in a crash; only the bench compares with it. */
  synchronous?: 'FULL' | 'NORMAL'
}

const MIGRATIONS = join(packageFolder(), 'migrations')
const BUSY_TIMEOUT_MS = 10_000
const QUICK_CHECK_BYTES = 256 * 1024 * 1024

/**
 * @param path of the database file; created with its folder when missing, unless opened read-only
 * @throws DatabaseRefused when the file is damaged, is not a database, is newer than this program, or is missing and read-only
 */
export function openDatabase(path: string, options: OpenOptions = {}): Database {
  const readOnly = options.readOnly ?? false
  const existed = existsSync(path)
  if (readOnly && !existed) throw new DatabaseRefused(`There is no database at ${path}. Load a house first.`)
  if (existed && !readOnly) refuseUnusable(path)
  if (!readOnly) mkdirSync(dirname(path), { recursive: true })

  const raw = new SqliteDatabase(path, { readonly: readOnly, timeout: BUSY_TIMEOUT_MS })
  if (!readOnly) {
    raw.pragma('journal_mode = WAL') // readers never wait for the one writer
    raw.pragma(`synchronous = ${options.synchronous ?? 'FULL'}`) // what was acknowledged survives a power cut; writes are grouped to afford it
    if (options.maxPages !== undefined) raw.pragma(`max_page_count = ${Math.trunc(options.maxPages)}`)
  }
  raw.pragma('foreign_keys = ON') // off by default in SQLite, for each connection anew
  const orm = drizzle(raw, { schema })
  if (!readOnly) migrate(orm, { migrationsFolder: MIGRATIONS })
  return { raw, orm, path, close: () => raw.close() }
}

/** Looks without writing: a damaged, foreign or newer file must come out of this untouched. */
function refuseUnusable(path: string): void {
  let look: SqliteDatabase.Database | undefined
  try {
    look = new SqliteDatabase(path, { readonly: true, timeout: BUSY_TIMEOUT_MS })
    const tables = look.prepare(`select name from sqlite_master where type = 'table'`).pluck().all() as string[]
    if (tables.length === 0) return
    if (!tables.includes('__drizzle_migrations')) {
      throw new DatabaseRefused(
        `${path} is a database of something else (it has a table ${tables[0]}). Name another file.`,
      )
    }
    const newest = look.prepare('select max(created_at) from __drizzle_migrations').pluck().get() as number | null
    if ((newest ?? 0) > newestKnownMigration()) {
      throw new DatabaseRefused(
        `${path} was written by a newer version of Underjoist. Start that version, or name another file.`,
      )
    }
    // A large file would be read whole at every start; `underjoist check` reads it all when asked.
    if (statSync(path).size <= QUICK_CHECK_BYTES) {
      const broken = look.pragma('quick_check(1)', { simple: true })
      if (broken !== 'ok') throw damaged(path, String(broken))
    }
  } catch (error) {
    if (error instanceof DatabaseRefused) throw error
    throw damaged(path, (error as Error).message)
  } finally {
    look?.close()
  }
}

const damaged = (path: string, detail: string) =>
  new DatabaseRefused(
    `${path} is damaged or is not a database (${detail}). Nothing was written. Put back the last backup of the file.`,
  )

/** When the newest migration that this program knows was made, UTC epoch ms. */
export function newestKnownMigration(): number {
  const journal = JSON.parse(readFileSync(join(MIGRATIONS, 'meta/_journal.json'), 'utf8')) as {
    entries: { when: number }[]
  }
  return Math.max(...journal.entries.map((entry) => entry.when))
}
