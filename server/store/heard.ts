/** When the loggers and stations of a house that report by themselves were heard last, by their readings. */
import type { Database } from './open.ts'
import { statement } from './unitsOfWork.ts'

export interface HeardLoggerRow {
  logger: string
  loggerName: string
  intervalS: number | null
  /** space key / spot key of its first probe that hangs here. */
  path: string
  spotName: string
  spaceName: string
  heardAt: number | null
  /** Its latest readings hold the power of a machine. */
  meters: boolean
}

/** Those that hang in the house now and are in service. */
export async function findHeardLoggers(db: Database, houseId: number): Promise<HeardLoggerRow[]> {
  const rows = statement(
    db,
    `select l.key as logger, coalesce(l.name, l.key) as loggerName, l.interval_s as intervalS,
       s.key || '/' || sp.key as path, sp.name as spotName, s.name as spaceName, min(pl.id),
       max((select max(r.at) from readings r where r.probe_id = pl.probe_id and r.at >= pl.from_at)) as heardAt,
       max(exists (select 1 from (select power_w from readings r where r.probe_id = pl.probe_id order by at desc limit 50)
         where power_w is not null)) as meters
     from placements pl join probes p on p.id = pl.probe_id join loggers l on l.id = p.logger_id
       join spots sp on sp.id = pl.spot_id join spaces s on s.id = sp.space_id
     where s.house_id = cast(? as integer) and pl.to_at is null and l.has_radio = 1 and l.retired_at is null
     group by l.id order by l.key`,
  ).all(houseId) as (Omit<HeardLoggerRow, 'meters'> & { meters: number })[]
  return rows.map((row) => ({ ...row, meters: row.meters === 1 }))
}

/** Stations of the house that report or are fetched by themselves. */
export async function findHeardStations(
  db: Database,
  houseId: number,
): Promise<{ key: string; name: string; heardAt: number | null }[]> {
  return statement(
    db,
    `select st.key, st.name, (select max(r.at) from readings r where r.probe_id = st.probe_id) as heardAt
     from stations st join house_stations hs on hs.station_id = st.id
     where hs.house_id = cast(? as integer) and (st.kind = 'mqtt'
       or (st.kind = 'https' and coalesce(json_extract(st.config, '$.everyMin'), 60) is not null)) order by st.key`,
  ).all(houseId) as { key: string; name: string; heardAt: number | null }[]
}

export interface PlacementRow {
  probeId: number
  path: string
  from: number
  to: number | null
}

/** Every placement of the house by the instants it held, and its stations' probes. */
export async function findPlacements(
  db: Database,
  houseId: number,
): Promise<{ placements: PlacementRow[]; stations: number[] }> {
  const placements = statement(
    db,
    `select pl.probe_id as probeId, s.key || '/' || sp.key as path, pl.from_at as "from", pl.to_at as "to"
     from placements pl join spots sp on sp.id = pl.spot_id join spaces s on s.id = sp.space_id
     where s.house_id = cast(? as integer) order by pl.from_at, pl.id`,
  ).all(houseId) as PlacementRow[]
  const stations = statement(
    db,
    `select st.probe_id from stations st join house_stations hs on hs.station_id = st.id
     where hs.house_id = cast(? as integer) order by st.id`,
  )
    .pluck()
    .all(houseId) as number[]
  return { placements, stations }
}

/** Water readings of a probe, ascending. */
export async function readWater(
  db: Database,
  probeId: number,
  from: number,
  to: number,
): Promise<{ at: number; present: boolean }[]> {
  const rows = statement(
    db,
    `select at, water_present as present from readings where probe_id = ? and at >= ? and at < ?
     and water_present is not null order by at`,
  ).all(probeId, from, to) as { at: number; present: number }[]
  return rows.map(({ at, present }) => ({ at, present: present === 1 }))
}

/** Number of the latest entry of the house's history; 0: none. */
export async function latestEntry(db: Database, houseId: number): Promise<number> {
  return statement(db, 'select coalesce(max(id), 0) from history where house_id = cast(? as integer)')
    .pluck()
    .get(houseId) as number
}
