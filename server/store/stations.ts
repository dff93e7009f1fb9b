/** Weather stations: what each is and whom it serves. Its readings are those of one probe. */
import { STATION_LOGGER_PREFIX, STATION_PROBE } from './houseProbes.ts'
import type { Database } from './open.ts'
import { inTransaction, statement } from './unitsOfWork.ts'

export type StationKind = 'file' | 'mqtt' | 'https'

/** Readings of the past being fetched, window by window. */
export interface Backfill {
  /** Local day it began with. */
  from: string
  /** Up to here everything was asked for; UTC epoch ms. */
  nextAt: number
  toAt: number
  stored: number
  /** Failed tries of the window at hand, and when the last try was. */
  failures: number
  triedAt: number
  state: 'running' | 'done' | 'stopped'
  problem: string | null
}

/** What only its page sets; houses know nothing of it. */
export interface StationConfig {
  /** Zone of times that name none, and of the days in its address. */
  timeZone: string
  url: string | null
  /** null: only when somebody asks. */
  everyMin: number | null
  /** Rows younger than this wait for the next fetch: in some tables the newest row still changes. */
  holdBackMin: number
  /** What was answered about its table, nothing of it left to be guessed from values. */
  answers: Record<string, unknown>
  /** Which of the table's places are this station's, where it holds several. */
  fileProbes: string[]
  backfill: Backfill | null
}

export interface FetchState {
  triedAt: number
  okAt: number | null
  problem: string | null
  failures: number
  tag: string | null
  newestAt: number | null
  stored: number
}

export interface StationRow {
  id: number
  key: string
  name: string
  kind: StationKind
  quantities: string[]
  config: StationConfig
  probeId: number
  /** logger key / probe key */
  probe: string
  houses: { key: string; name: string; invented: boolean }[]
  fetch: FetchState | null
}

/** The change cannot be; the message is a sentence. */
export class StationRefused extends Error {
  override name = 'StationRefused'
  readonly kind: 'unknown station' | 'unknown house' | 'key taken' | 'in use' | 'bad'

  constructor(kind: StationRefused['kind'], message: string) {
    super(message)
    this.kind = kind
  }
}

export const PLAIN_CONFIG: StationConfig = {
  timeZone: 'UTC',
  url: null,
  everyMin: 60,
  holdBackMin: 0,
  answers: {},
  fileProbes: [],
  backfill: null,
}

const SELECT = `select s.id, s.key, s.name, s.kind, s.quantities, s.config, s.probe_id as probeId, l.key || '/' || p.key as probe,
  (select json_group_array(json_object('key', h.key, 'name', h.name, 'invented', h.invented)) from (
    select h.* from house_stations hs join houses h on h.id = hs.house_id where hs.station_id = s.id order by h.name, h.key) h) as houses,
  f.tried_at as triedAt, f.ok_at as okAt, f.problem, f.failures, f.tag, f.newest_at as newestAt, f.stored
  from stations s join probes p on p.id = s.probe_id join loggers l on l.id = p.logger_id
  left join station_fetches f on f.station_id = s.id`

type SelectedRow = Omit<StationRow, 'quantities' | 'config' | 'houses' | 'fetch'> & {
  quantities: string
  config: string
  houses: string
} & { [K in keyof FetchState]: FetchState[K] | null }

function toStation(selected: unknown): StationRow {
  const { triedAt, okAt, problem, failures, tag, newestAt, stored, ...row } = selected as SelectedRow
  const houses = JSON.parse(row.houses) as { key: string; name: string; invented: number }[]
  return {
    ...row,
    quantities: JSON.parse(row.quantities) as string[],
    config: { ...PLAIN_CONFIG, ...(JSON.parse(row.config) as Partial<StationConfig>) },
    houses: houses.map((house) => ({ ...house, invented: Boolean(house.invented) })),
    fetch:
      triedAt === null ? null : { triedAt, okAt, problem, failures: failures ?? 0, tag, newestAt, stored: stored ?? 0 },
  }
}

/** Every station, by name. */
export async function findStations(db: Database): Promise<StationRow[]> {
  return statement(db, `${SELECT} order by s.name, s.key`).all().map(toStation)
}

export async function findStation(db: Database, key: string): Promise<StationRow | undefined> {
  const row = statement(db, `${SELECT} where s.key = ?`).get(key)
  return row === undefined ? undefined : toStation(row)
}

export interface NewStation {
  key: string
  name: string
  kind: StationKind
  quantities: string[]
  config: Partial<StationConfig>
  /** The probe of a logger that is this station: logger key / probe key. Its own probe is made when left out. */
  probe?: string
}

/** @throws StationRefused when the key was ever used, or there is no such probe */
export async function addStation(db: Database, station: NewStation): Promise<void> {
  inTransaction(db, () => {
    const loggerKey = `${STATION_LOGGER_PREFIX}${station.key}`
    const taken = statement(
      db,
      'select 1 from stations where key = ? union all select 1 from loggers where key = ?',
    ).get(station.key, loggerKey)
    // A key that was ever used stays taken, or the readings of the old station would be those of the new one.
    if (taken !== undefined) {
      throw new StationRefused('key taken', `There is, or was, a station "${station.key}". Give this one another key.`)
    }
    const probeId = station.probe === undefined ? addProbe(db, loggerKey, station.name) : probeNamed(db, station.probe)
    statement(db, 'insert into stations (key, name, kind, quantities, config, probe_id) values (?, ?, ?, ?, ?, ?)').run(
      station.key,
      station.name,
      station.kind,
      JSON.stringify(station.quantities),
      JSON.stringify(station.config),
      probeId,
    )
  })
}

function addProbe(db: Database, loggerKey: string, name: string): number {
  const logger = statement(db, 'insert into loggers (key, name) values (?, ?) returning id').pluck()
  const probe = statement(db, 'insert into probes (logger_id, key) values (?, ?) returning id').pluck()
  return probe.get(logger.get(loggerKey, name), STATION_PROBE) as number
}

function probeNamed(db: Database, path: string): number {
  const id = statement(
    db,
    "select p.id from probes p join loggers l on l.id = p.logger_id where l.key || '/' || p.key = ? and l.retired_at is null",
  )
    .pluck()
    .get(path) as number | undefined
  if (id !== undefined) return id
  throw new StationRefused(
    'bad',
    `There is no probe "${path}" in service. Enroll the logger first; its probe is named logger/probe, such as gate-7/air.`,
  )
}

export interface StationChange {
  name: string
  kind: StationKind
  quantities: string[]
  config: Partial<StationConfig>
  probe?: string
}

/** What decides how its table is fetched and read; when it changes, what was said of the fetches before no longer holds. */
const READ_BY = ['url', 'timeZone', 'answers', 'fileProbes'] as const

/** @throws StationRefused */
export async function changeStation(db: Database, key: string, change: StationChange): Promise<void> {
  inTransaction(db, () => {
    const before = stationOf(db, key)
    if ((before.kind === 'mqtt') !== (change.kind === 'mqtt')) {
      throw new StationRefused(
        'bad',
        'A station that is a logger stays one, and no other becomes one: its readings so far are of another probe. Add a new station.',
      )
    }
    const probeId = change.probe === undefined ? before.probeId : probeNamed(db, change.probe)
    const config = { ...before.config, ...change.config }
    statement(db, 'update stations set name = ?, kind = ?, quantities = ?, config = ?, probe_id = ? where id = ?').run(
      change.name,
      change.kind,
      JSON.stringify(change.quantities),
      JSON.stringify(config),
      probeId,
      before.id,
    )
    statement(db, 'update loggers set name = ? where key = ?').run(change.name, `${STATION_LOGGER_PREFIX}${key}`)
    if (READ_BY.every((name) => JSON.stringify(before.config[name]) === JSON.stringify(config[name]))) return
    statement(
      db,
      'update station_fetches set tried_at = 0, problem = null, failures = 0, tag = null where station_id = ?',
    ).run(before.id)
  })
}

/** @throws StationRefused */
export function stationOf(db: Database, key: string): StationRow {
  const row = statement(db, `${SELECT} where s.key = ?`).get(key)
  if (row === undefined) throw new StationRefused('unknown station', `There is no station "${key}".`)
  return toStation(row)
}

/** Its readings stay; only nothing names them any more. @throws StationRefused while a house uses it */
export async function removeStation(db: Database, key: string): Promise<void> {
  inTransaction(db, () => {
    const { id, houses, name } = stationOf(db, key)
    if (houses.length > 0) {
      const of = houses.map((house) => house.name).join(', ')
      throw new StationRefused(
        'in use',
        `${name} is the weather of ${of}. Take it from ${houses.length === 1 ? 'that house' : 'those houses'} first.`,
      )
    }
    statement(db, 'delete from stations where id = ?').run(id)
  })
}
