/** A logger comes into service, is renamed, gets another secret, and goes out of service. Its readings always stay. */
import { randomInt } from 'node:crypto'
import { eq } from 'drizzle-orm'
import { STATION_LOGGER_PREFIX } from './houseProbes.ts'
import { houseRow } from './houses.ts'
import { isRetired, LoggerRefused, noSuchHouse, noSuchLogger } from './loggerRefused.ts'
import { hashOf, newSecret, renewSecret } from './loggerSecrets.ts'
import type { Database } from './open.ts'
import { readTree } from './readHouse.ts'
import * as t from './schema.ts'
import { writeHouses } from './storeHouse.ts'
import { inTransaction, statement } from './unitsOfWork.ts'

export interface Enrolling {
  /** Named after its code when left out. */
  key?: string
  count: number
  name?: string
  probes: readonly string[]
  hasRadio: boolean
  intervalS: number
  /** House it will hang in. */
  house?: string
}

export interface Act {
  now: number
  who: string
}

/** No vowels, so that it makes no words, and nothing that looks like another: 0 O, 1 I L, 2 Z, 5 S, 8 B, 6 G, U V. */
const CODE_LETTERS = 'CDFHJKMNPQRTWXY34679'
const CODE_LENGTH = 5
export const KEY_PREFIX = 'logger-'
/** Their addresses stand where a logger's page would. */
const PAGES = ['new', 'labels']

/**
 * @returns the key and, of loggers with radio, the secret of each: told this once
 * @throws LoggerRefused when the key is taken or there is no such house
 */
export async function enrollLoggers(
  db: Database,
  { key, count, name, probes, hasRadio, intervalS, house }: Enrolling,
  { now, who }: Act,
): Promise<{ key: string; secret: string | null }[]> {
  if (key !== undefined && count > 1) {
    throw new LoggerRefused('taken', 'A key names one logger. Leave it out to enroll several, or enroll one.', 'count')
  }
  if (key?.startsWith(STATION_LOGGER_PREFIX)) {
    const why = `Keys that begin with "${STATION_LOGGER_PREFIX}" belong to weather stations. Choose another.`
    throw new LoggerRefused('taken', why, 'key')
  }
  if (key !== undefined && PAGES.includes(key)) {
    throw new LoggerRefused('taken', `"${key}" is a page beside the loggers. Choose another key.`, 'key')
  }
  return inTransaction(db, () => {
    const row = house === undefined ? undefined : houseRow(db, house)
    if (house !== undefined && row === undefined) throw noSuchHouse(house)
    const enrolled = Array.from({ length: count }, () => {
      const code = freeCode(db)
      const own = key ?? KEY_PREFIX + code.toLowerCase()
      if (statement(db, 'select 1 from loggers where key = ?').get(own) !== undefined) {
        throw new LoggerRefused('taken', `There is a logger "${own}" already.`, 'key')
      }
      const secret = hasRadio ? newSecret() : null
      const { id } = db.orm
        .insert(t.loggers)
        .values({ key: own, name, code, hasRadio, intervalS, enrolledAt: now, secretHash: secret && hashOf(secret) })
        .returning({ id: t.loggers.id })
        .get()
      for (const probe of new Set(probes)) db.orm.insert(t.probes).values({ loggerId: id, key: probe }).run()
      return { key: own, secret }
    })
    if (row !== undefined) {
      const tree = readTree(db, row)
      const added = enrolled.map(({ key: own }) => ({
        key: own,
        ...(name !== undefined && { name }),
        probes: [...new Set(probes)].map((probe) => ({ key: probe, placements: [] })),
      }))
      const loggers = [...(tree.loggers ?? []), ...added]
      const what = `enrolled ${enrolled.length === 1 ? 'logger' : 'loggers'} ${enrolled.map((one) => one.key).join(', ')}`
      writeHouses(db, [{ tree: { ...tree, loggers }, change: { replace: true, now, who, what } }])
    }
    return enrolled
  })
}

function freeCode(db: Database): string {
  for (;;) {
    const code = Array.from({ length: CODE_LENGTH }, () => CODE_LETTERS[randomInt(CODE_LETTERS.length)]).join('')
    // A logger could carry the very name that the code would give.
    const taken = statement(db, 'select 1 from loggers where code = ? or key = ?')
    if (taken.get(code, KEY_PREFIX + code.toLowerCase()) === undefined) return code
  }
}

/** Another secret; the one before no longer holds. A logger that came with a house folder gets its code with it. */
export async function giveSecret(db: Database, key: string, { now }: Pick<Act, 'now'>): Promise<string> {
  mustBeInService(db, key)
  const secret = await renewSecret(db, key)
  if (secret === null) throw noSuchLogger(key)
  inTransaction(db, () =>
    statement(
      db,
      'update loggers set code = coalesce(code, ?), enrolled_at = coalesce(enrolled_at, ?) where key = ?',
    ).run(freeCode(db), now, key),
  )
  return secret
}

export interface LoggerChange {
  name?: string | null
  intervalS?: number
  hasRadio?: boolean
}

/** A name belongs to the house tree, so it changes there, with history, where the logger belongs to a house. */
export async function changeLogger(
  db: Database,
  key: string,
  { name, intervalS, hasRadio }: LoggerChange,
  { now, who }: Act,
): Promise<void> {
  mustBeInService(db, key)
  inTransaction(db, () => {
    const { houseId, ...known } = db.orm.select().from(t.loggers).where(eq(t.loggers.key, key)).get()!
    db.orm
      .update(t.loggers)
      .set({ intervalS: intervalS ?? known.intervalS, hasRadio: hasRadio ?? known.hasRadio })
      .where(eq(t.loggers.key, key))
      .run()
    if (name === undefined || name === known.name) return
    if (houseId === null) {
      db.orm.update(t.loggers).set({ name }).where(eq(t.loggers.key, key)).run()
      return
    }
    const tree = readTree(db, db.orm.select().from(t.houses).where(eq(t.houses.id, houseId)).get()!)
    const loggers = (tree.loggers ?? []).map((logger) => {
      if (logger.key !== key) return logger
      const { name: _, ...rest } = logger
      return name === null ? rest : { ...rest, name }
    })
    const what = name === null ? `took the name of logger ${key} away` : `named logger ${key} ${name}`
    writeHouses(db, [{ tree: { ...tree, loggers }, change: { replace: true, now, who, what } }])
  })
}

/** @throws LoggerRefused */
export function mustBeInService(db: Database, key: string, field = 'key'): { id: number; houseId: number | null } {
  const row = statement(
    db,
    'select id, house_id as houseId, retired_at as retiredAt from loggers where key = ? and substr(key, 1, ?) <> ?',
  ).get(key, STATION_LOGGER_PREFIX.length, STATION_LOGGER_PREFIX) as
    | { id: number; houseId: number | null; retiredAt: number | null }
    | undefined
  if (row === undefined)
    throw field === 'key' ? noSuchLogger(key) : new LoggerRefused('bad placement', noSuchLogger(key).message, field)
  if (row.retiredAt !== null) throw isRetired(key, field)
  return row
}
