/** Loggers as they stand: where their probes hang, what was heard of them last, how far their messages arrived. */
import { STATION_LOGGER_PREFIX } from './houseProbes.ts'
import type { Database } from './open.ts'
import { type Arrived, stillMissing } from './sequence.ts'
import { STEPS_PER_UNIT } from './steps.ts'
import { statement } from './unitsOfWork.ts'

/** Where a probe hangs now. */
export interface ProbePlace {
  house: string
  houseName: string
  /** space key / spot key */
  spot: string
  spotName: string
  since: number
}

/** The last reading as it was received; null where it does not have the quantity. */
export interface LastReading {
  at: number
  tempC: number | null
  rhPct: number | null
  woodMcPct: number | null
  waterPresent: boolean | null
}

export interface StoredProbe {
  probe: string
  placed: ProbePlace | null
  last: LastReading | null
}

export interface StoredLogger {
  key: string
  name: string | null
  code: string | null
  hasRadio: boolean
  intervalS: number | null
  /** The house it hangs in, or was enrolled at. */
  house: { key: string; name: string; timeZone: string } | null
  probes: StoredProbe[]
  hasSecret: boolean
  enrolledAt: number | null
  retiredAt: number | null
  heardAt: number | null
  connected: boolean | null
  batteryV: number | null
  signalDbm: number | null
  firmware: string | null
  clockOffS: number | null
  messages: number
  refused: number
  missed: number
  missing: number
}

export interface LoggersAsked {
  now: number
  /** Only those that hang in the house of this key, or belong to it. */
  house?: string
  /** Only these. */
  keys?: Iterable<string>
}

/** By key; stations are no loggers. */
export async function listLoggers(db: Database, { now, house, keys }: LoggersAsked): Promise<StoredLogger[]> {
  const rows =
    keys === undefined
      ? (statement(db, `${LOGGERS} where substr(l.key, 1, ?) <> ? order by l.key`).all(
          STATION_LOGGER_PREFIX.length,
          STATION_LOGGER_PREFIX,
        ) as LoggerRow[])
      : [...new Set(keys)].sort().flatMap((key) => rowOf(db, key) ?? [])
  const loggers = rows.map((row) => loggerOf(db, row, now))
  return house === undefined ? loggers : loggers.filter((logger) => logger.house?.key === house)
}

/** By its key, or by the code on its label in letters of any size. */
export async function findLogger(db: Database, keyOrCode: string, now: number): Promise<StoredLogger | undefined> {
  const byCode = statement(db, 'select key from loggers where code = ?').pluck()
  const row = rowOf(db, keyOrCode) ?? rowOf(db, (byCode.get(keyOrCode.toUpperCase()) as string | undefined) ?? '')
  return row && loggerOf(db, row, now)
}

/** As the statement below gives it: its truths as numbers, its house in three parts. */
interface LoggerRow
  extends Omit<StoredLogger, 'hasRadio' | 'hasSecret' | 'connected' | 'house' | 'probes' | 'missed' | 'missing'> {
  id: number
  hasRadio: number
  hasSecret: number
  connected: number | null
  houseKey: string | null
  houseName: string | null
  timeZone: string | null
}

const LOGGERS = `select l.id, l.key, l.name, l.code, l.has_radio as hasRadio, l.interval_s as intervalS,
  h.key as houseKey, h.name as houseName, h.time_zone as timeZone, l.secret_hash is not null as hasSecret,
  l.enrolled_at as enrolledAt, l.retired_at as retiredAt, s.heard_at as heardAt, s.connected,
  s.battery_v as batteryV, s.signal_dbm as signalDbm, s.firmware, s.clock_off_s as clockOffS,
  coalesce(s.messages, 0) as messages, coalesce(s.refused, 0) as refused
  from loggers l left join logger_states s on s.logger_id = l.id left join houses h on h.id = l.house_id`

const rowOf = (db: Database, key: string): LoggerRow | undefined =>
  key.startsWith(STATION_LOGGER_PREFIX)
    ? undefined
    : (statement(db, `${LOGGERS} where l.key = ?`).get(key) as LoggerRow | undefined)

function loggerOf(db: Database, row: LoggerRow, now: number): StoredLogger {
  const { id, houseKey, houseName, timeZone, ...rest } = row
  const probes = statement(db, 'select id, key from probes where logger_id = ? order by id').all(id) as {
    id: number
    key: string
  }[]
  const placed = probes.map((probe) => placeOf(db, probe.id, now))
  const hangs = placed.find((one) => one !== null)
  const known = houseKey === null ? null : { key: houseKey, name: houseName!, timeZone: timeZone! }
  return {
    ...rest,
    hasRadio: row.hasRadio === 1,
    hasSecret: row.hasSecret === 1,
    connected: row.connected === null ? null : row.connected === 1,
    house: hangs ? { key: hangs.house, name: hangs.houseName, timeZone: hangs.timeZone } : known,
    probes: probes.map((probe, i) => ({
      probe: probe.key,
      placed: placed[i] ? withoutZone(placed[i]) : null,
      last: lastOf(db, probe.id),
    })),
    ...countsOf(db, id),
  }
}

type PlaceRow = ProbePlace & { timeZone: string }
const withoutZone = ({ timeZone: _, ...place }: PlaceRow): ProbePlace => place

function placeOf(db: Database, probeId: number, now: number): PlaceRow | null {
  const find = statement(
    db,
    `select h.key as house, h.name as houseName, h.time_zone as timeZone, s.key || '/' || sp.key as spot,
      sp.name as spotName, pl.from_at as since from placements pl join spots sp on sp.id = pl.spot_id
      join spaces s on s.id = sp.space_id join houses h on h.id = s.house_id
      where pl.probe_id = ? and (pl.to_at is null or pl.to_at > ?) order by pl.from_at limit 1`,
  )
  return (find.get(probeId, now) as PlaceRow | undefined) ?? null
}

function lastOf(db: Database, probeId: number): LastReading | null {
  const row = statement(
    db,
    `select at, temp_c as tempC, rh_pct as rhPct, wood_mc_pct as woodMcPct, water_present as waterPresent
      from readings where probe_id = ? order by at desc limit 1`,
  ).get(probeId) as Record<'at' | 'tempC' | 'rhPct' | 'woodMcPct' | 'waterPresent', number | null> | undefined
  if (row === undefined) return null
  const value = (name: 'tempC' | 'rhPct' | 'woodMcPct') =>
    row[name] === null ? null : row[name] / STEPS_PER_UNIT[name]
  return {
    at: row.at!,
    tempC: value('tempC'),
    rhPct: value('rhPct'),
    woodMcPct: value('woodMcPct'),
    waterPresent: row.waterPresent === null ? null : row.waterPresent > 0,
  }
}

/** Only of the run heard last does the receipt ask again for what is missing. */
function countsOf(db: Database, loggerId: number): { missed: number; missing: number } {
  const runs = statement(
    db,
    'select through, beyond, missed from sequences where logger_id = ? order by heard_at desc, run',
  ).all(loggerId) as { through: number; beyond: string; missed: number }[]
  const [last] = runs
  return {
    missed: runs.reduce((sum, { missed }) => sum + missed, 0),
    missing: last === undefined ? 0 : stillMissing({ ...last, beyond: JSON.parse(last.beyond) as Arrived['beyond'] }),
  }
}
