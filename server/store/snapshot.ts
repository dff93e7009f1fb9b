/** A copy of the database of one instant, made while others write to it, and a look into such a copy. */
import SqliteDatabase from 'better-sqlite3'
import { DatabaseRefused, newestKnownMigration, openDatabase } from './open.ts'

export interface Contents {
  /** When the newest migration in it was made, UTC epoch ms: the version of the database. */
  migration: number
  /** Rows of every table, by its name. */
  rows: Record<string, number>
  /** Instants of the first and the last reading; null when there is none. */
  firstAt: number | null
  lastAt: number | null
  /** SHA-256 of each photo that a house names. */
  photos: string[]
}

/** Small enough to tell how far it is and to be stopped soon; 8 MB. */
const PAGES_A_STEP = 2000

/**
 * Copies in steps. One read transaction holds the instant, so that writers neither wait nor make the copy begin anew;
 * their journal grows meanwhile. The copy is one file without a journal.
 *
 * @param onStep may throw to stop; what is at `to` is then no database
 * @throws DatabaseRefused when there is no database of ours at `path`
 * @returns what was there at that instant
 */
export async function copyWhileInUse(
  path: string,
  to: string,
  onStep: (done: number, total: number) => void,
): Promise<Contents> {
  // Read-only: a backup before an upgrade must not bring the database to the new version.
  const { raw, close } = openDatabase(path, { readOnly: true })
  try {
    raw.exec('begin')
    const contents = contentsOf(raw, path)
    await raw.backup(to, {
      progress({ totalPages, remainingPages }) {
        onStep(totalPages - remainingPages, totalPages)
        return PAGES_A_STEP
      },
    })
    raw.exec('commit')
    const copy = new SqliteDatabase(to)
    copy.pragma('journal_mode = DELETE')
    copy.close()
    return contents
  } finally {
    close()
  }
}

/** @throws DatabaseRefused with what is wrong with the file */
export function lookIntoCopy(path: string): Contents {
  let raw: SqliteDatabase.Database | undefined
  try {
    raw = new SqliteDatabase(path, { readonly: true, fileMustExist: true })
    const broken = raw.pragma('integrity_check(1)', { simple: true })
    if (broken !== 'ok') throw new DatabaseRefused(`${path} is damaged (${broken}).`)
    return contentsOf(raw, path)
  } catch (error) {
    if (error instanceof DatabaseRefused) throw error
    throw new DatabaseRefused(`${path} is damaged (${(error as Error).message}).`, { cause: error })
  } finally {
    raw?.close()
  }
}

/** Whether this program can open a database of that version. */
export const isKnownVersion = ({ migration }: Pick<Contents, 'migration'>): boolean =>
  migration <= newestKnownMigration()

/** Asks for nothing but what every version has: an older database is not brought up for a look. */
function contentsOf(raw: SqliteDatabase.Database, path: string): Contents {
  const tables = raw
    .prepare(`select name from sqlite_master where type = 'table' and name not like 'sqlite_%' order by name`)
    .pluck()
    .all() as string[]
  if (!tables.includes('__drizzle_migrations') || !tables.includes('readings')) {
    throw new DatabaseRefused(`${path} is not a database of Underjoist.`)
  }
  const one = (text: string) => raw.prepare(text).pluck().get() as number | null
  return {
    migration: one('select max(created_at) from __drizzle_migrations') ?? 0,
    rows: Object.fromEntries(tables.map((table) => [table, one(`select count(*) from "${table}"`) ?? 0])),
    firstAt: one('select min(at) from readings'),
    lastAt: one('select max(at) from readings'),
    photos: raw.prepare('select distinct hash from photos order by hash').pluck().all() as string[],
  }
}
