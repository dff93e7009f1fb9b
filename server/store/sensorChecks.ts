/** Checks of probes: side by side, or over a salt; what they were, and what was found. */
import type { Correction } from '../series/corrections.ts'
import { STATION_LOGGER_PREFIX } from './houseProbes.ts'
import type { Database } from './open.ts'
import { markHoursDue } from './storeHouse.ts'
import { inTransaction, statement } from './unitsOfWork.ts'

export type CheckKind = 'side by side' | 'salt'

export interface CheckRow {
  id: number
  kind: CheckKind
  /** logger key / probe key */
  probes: string[]
  salt: string | null
  startedAt: number
  endedAt: number | null
  state: 'running' | 'done' | 'given up'
  /** Its shape belongs to who made it. */
  result: unknown
  who: string
}

interface StoredRow extends Omit<CheckRow, 'probes' | 'result'> {
  probes: string
  result: string | null
}

const COLUMNS = 'id, kind, probes, salt, started_at as startedAt, ended_at as endedAt, state, result, who'
const rowOf = (row: StoredRow): CheckRow => ({
  ...row,
  probes: JSON.parse(row.probes) as string[],
  result: row.result === null ? null : JSON.parse(row.result),
})

/** @returns undefined when one of the probes is in another check that runs */
export async function addCheck(
  db: Database,
  { kind, probes, salt, startedAt, who }: Pick<CheckRow, 'kind' | 'probes' | 'salt' | 'startedAt' | 'who'>,
): Promise<number | undefined> {
  return inTransaction(db, () => {
    const taken = statement(
      db,
      `select 1 from sensor_checks, json_each(probes) where state = 'running'
       and value in (select value from json_each(?)) limit 1`,
    ).get(JSON.stringify(probes))
    if (taken !== undefined) return undefined
    const { lastInsertRowid } = statement(
      db,
      `insert into sensor_checks (kind, probes, salt, started_at, state, who) values (?, ?, ?, ?, 'running', ?)`,
    ).run(kind, JSON.stringify(probes), salt, startedAt, who)
    return Number(lastInsertRowid)
  })
}

export async function findCheck(db: Database, id: number): Promise<CheckRow | undefined> {
  const row = statement(db, `select ${COLUMNS} from sensor_checks where id = ?`).get(id) as StoredRow | undefined
  return row && rowOf(row)
}

/** Those that run, then the latest, newest first. */
export async function findChecks(db: Database, most: number): Promise<CheckRow[]> {
  const rows = statement(
    db,
    `select ${COLUMNS} from sensor_checks order by state <> 'running', started_at desc, id desc limit ?`,
  ).all(most) as StoredRow[]
  return rows.map(rowOf)
}

/** Finished checks of one probe, newest first. */
export async function findChecksOfProbe(db: Database, path: string): Promise<CheckRow[]> {
  const rows = statement(
    db,
    `select ${COLUMNS} from sensor_checks where state = 'done'
     and exists (select 1 from json_each(probes) where value = ?) order by ended_at desc, id desc`,
  ).all(path) as StoredRow[]
  return rows.map(rowOf)
}

/** @returns false when it does not run any more: somebody else ended it */
export async function endCheck(
  db: Database,
  id: number,
  end: { state: 'done' | 'given up'; endedAt: number; result: unknown },
): Promise<boolean> {
  const result = end.result === null ? null : JSON.stringify(end.result)
  const { changes } = statement(
    db,
    `update sensor_checks set state = ?, ended_at = ?, result = ? where id = ? and state = 'running'`,
  ).run(end.state, end.endedAt, result, id)
  return changes === 1
}

/** A probe that can be checked, and where it belongs. */
export interface CheckableProbe {
  id: number
  /** logger key / probe key */
  path: string
  loggerName: string | null
  loggerCode: string | null
  hasRadio: boolean
  /** Where it hangs at that time; null when nowhere. */
  hung: { house: string; spot: string; spotName: string; fromAt: number } | null
  /** The house in whose facts it stands: where it hangs, else where it hung last, else that of its logger. */
  house: string | null
}

/** Probes of loggers in service that measure at some place; probes that only stand for a station are left out. */
export async function findCheckableProbes(db: Database, at: number): Promise<CheckableProbe[]> {
  const rows = statement(
    db,
    `select p.id, l.key || '/' || p.key as path, l.name as loggerName, l.code as loggerCode, l.has_radio as hasRadio,
       own.key as ownHouse from probes p join loggers l on l.id = p.logger_id left join houses own on own.id = l.house_id
     where l.retired_at is null and l.key not like '${STATION_LOGGER_PREFIX}%' order by l.key, p.key`,
  ).all() as (Pick<CheckableProbe, 'id' | 'path' | 'loggerName' | 'loggerCode'> & {
    hasRadio: number
    ownHouse: string | null
  })[]
  return rows.map(({ hasRadio, ownHouse, ...row }) => {
    const last = lastPlacement(db, row.id, at)
    const { toAt = null, ...where } = last ?? {}
    const hung = last && (toAt === null || toAt > at) ? (where as CheckableProbe['hung']) : null
    return { ...row, hasRadio: hasRadio === 1, hung, house: last?.house ?? ownHouse }
  })
}

type Placement = NonNullable<CheckableProbe['hung']> & { toAt: number | null }

const PLACEMENTS = `select h.key as house, s.key || '/' || sp.key as spot, sp.name as spotName, pl.from_at as fromAt,
  pl.to_at as toAt from placements pl join spots sp on sp.id = pl.spot_id join spaces s on s.id = sp.space_id
  join houses h on h.id = s.house_id`

const lastPlacement = (db: Database, probeId: number, at: number): Placement | undefined =>
  statement(db, `${PLACEMENTS} where pl.probe_id = ? and pl.from_at <= ? order by pl.from_at desc limit 1`).get(
    probeId,
    at,
  ) as Placement | undefined

/**
 * A correction of a probe that belongs to no house yet, so that no house can hold it; the first one it hangs in shows it.
 * @param day a UTC date; a house in another zone takes it for its own date
 */
export async function addLooseCorrection(
  db: Database,
  probeId: number,
  { quantity, offset, day, why }: { quantity: Correction['quantity']; offset: number; day: string; why: string },
): Promise<void> {
  inTransaction(db, () => {
    statement(
      db,
      `insert into corrections (probe_id, quantity, "offset", from_at, from_local, why) values (?, ?, ?, ?, ?, ?)`,
    ).run(probeId, quantity, offset, Date.parse(`${day}T00:00:00Z`), day, why)
    markHoursDue(db, [probeId])
  })
}
