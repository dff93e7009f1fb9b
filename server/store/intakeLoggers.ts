/** Loggers as the intake of messages looks them up: often, and always the same few. */
import type { Database } from './open.ts'
import { statement } from './unitsOfWork.ts'

/** A logger as the intake of messages needs it. */
export interface IntakeLogger {
  id: number
  key: string
  probes: ReadonlyMap<string, number>
}

/** A logger is looked up once in this time however much it sends: what it is changes by hand. */
const KNOWN_MS = 1000

const known = new WeakMap<Database, Map<string, { logger: IntakeLogger; until: number }>>()

/**
 * Undefined for keys that are not known, and for loggers out of service; a change is seen within a second.
 * @param now UTC epoch ms
 */
export function findIntakeLogger(db: Database, key: string, now: number): IntakeLogger | undefined {
  let ofDatabase = known.get(db)
  if (ofDatabase === undefined) known.set(db, (ofDatabase = new Map()))
  const found = ofDatabase.get(key)
  if (found !== undefined && now < found.until && now > found.until - 2 * KNOWN_MS) return found.logger
  ofDatabase.delete(key)
  const id = statement(db, 'select id from loggers where key = ? and retired_at is null').pluck().get(key) as
    | number
    | undefined
  if (id === undefined) return undefined
  const probes = statement(db, 'select key, id from probes where logger_id = ?').all(id) as {
    key: string
    id: number
  }[]
  const logger: IntakeLogger = { id, key, probes: new Map(probes.map((probe) => [probe.key, probe.id])) }
  ofDatabase.set(key, { logger, until: now + KNOWN_MS })
  return logger
}
