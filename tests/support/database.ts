/** A database on a real file in a folder of its own; SQLite is never faked. */
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { onTestFinished } from 'vitest'
import { type Database, type OpenOptions, openDatabase } from '../../server/store/open.ts'
import { houses, loggers, probes } from '../../server/store/schema.ts'

/** A folder that goes away when the test has ended. */
export function scratchFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), 'underjoist-'))
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }))
  return folder
}

/** Open until the test has ended. */
export function scratchDatabase(options: OpenOptions = {}): Database {
  const db = openDatabase(join(scratchFolder(), 'underjoist.db'), options)
  onTestFinished(() => db.close())
  return db
}

/** A logger with that many probes; returns the probes' ids. */
export function addProbes(db: Database, count: number, loggerKey = 'box-1'): number[] {
  const logger = db.orm.insert(loggers).values({ key: loggerKey }).returning({ id: loggers.id }).get()
  return Array.from({ length: count }, (_, i) => {
    const added = db.orm.insert(probes).values({ loggerId: logger.id, key: `probe-${i + 1}` })
    return added.returning({ id: probes.id }).get().id
  })
}

export function addHouse(db: Database, timeZone = 'America/New_York'): number {
  const house = { key: 'house-1', name: 'Invented house', timeZone, createdAt: 0 }
  return db.orm.insert(houses).values(house).returning({ id: houses.id }).get().id
}
