/** Opens the database with what commands need around it, and closes it whatever happens. */

import type { ImportDeps } from '../ingest/import.ts'
import { createIntake } from '../ingest/intake.ts'
import { openDatabase } from '../store/open.ts'
import type { Context } from './command.ts'

export async function withDatabase<T>(context: Context, work: (deps: ImportDeps) => Promise<T>): Promise<T> {
  const db = openDatabase(context.databasePath)
  try {
    return await work({ db, intake: createIntake(db, { now: context.now }), now: context.now })
  } finally {
    db.close()
  }
}
