/**
 * How a unit of work meets the database. SQLite answers at once, yet every store function returns a Promise, so that a
 * server database can stand behind it later; inside one function nothing awaits, and long work goes in chunks.
 */
import type SqliteDatabase from 'better-sqlite3'
import { explained } from './errors.ts'
import type { Database } from './open.ts'

/** No transaction holds more rows than this: the writer is never kept from the next caller for long. */
export const CHUNK_ROWS = 1000

/** One transaction, taken at once as the writer, so that two processes wait for each other instead of failing halfway. */
export function inTransaction<T>(db: Database, work: () => T): T {
  try {
    return db.raw.transaction(work).immediate()
  } catch (error) {
    throw explained(error)
  }
}

/** Lets timers and sockets have their turn between two chunks. */
export const yieldToOthers = (): Promise<void> => new Promise((resolve) => setImmediate(resolve))

/** Compiles each statement once for a connection; they go when the connection does. */
export function statement(db: Database, text: string): SqliteDatabase.Statement<unknown[], unknown> {
  let ofConnection = compiled.get(db.raw)
  if (ofConnection === undefined) compiled.set(db.raw, (ofConnection = new Map()))
  let found = ofConnection.get(text)
  if (found === undefined) ofConnection.set(text, (found = db.raw.prepare(text)))
  return found
}

const compiled = new WeakMap<SqliteDatabase.Database, Map<string, SqliteDatabase.Statement<unknown[], unknown>>>()
