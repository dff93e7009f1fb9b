/** Which houses there are, and which probes belong to one. */
import { eq } from 'drizzle-orm'
import type { Database } from './open.ts'
import * as t from './schema.ts'

export type HouseRow = typeof t.houses.$inferSelect

export interface HouseSummary {
  id: number
  key: string
  name: string
  place: string
  timeZone: string
  invented: boolean
  spots: number
  works: number
}

/** Every house, by name. */
export async function listHouses(db: Database): Promise<HouseSummary[]> {
  return db.raw
    .prepare(
      `select h.id, h.key, h.name, h.place, h.time_zone as timeZone, h.invented,
        (select count(*) from spots join spaces on spaces.id = spots.space_id where spaces.house_id = h.id) as spots,
        (select count(*) from works where works.house_id = h.id) as works
      from houses h order by h.name, h.key`,
    )
    .all()
    .map((row) => ({ ...(row as HouseSummary), invented: Boolean((row as { invented: number }).invented) }))
}

/** The house row of a key, or undefined. */
export async function findHouse(db: Database, key: string): Promise<HouseRow | undefined> {
  return houseRow(db, key)
}

/** The same, for who is inside a transaction of its own. */
export const houseRow = (db: Database, key: string): HouseRow | undefined =>
  db.orm.select().from(t.houses).where(eq(t.houses.key, key)).get()

/** Where a probe of a stored house is, by the paths of its tree. */
export interface ProbeId {
  logger: string
  probe: string
  id: number
}

/** Probes placed in a house, or serving it as stations. */
export async function findProbesOfHouse(db: Database, houseId: number): Promise<ProbeId[]> {
  return db.raw
    .prepare(
      `select distinct l.key as logger, p.key as probe, p.id from probes p join loggers l on l.id = p.logger_id
      where p.id in (select probe_id from placements join spots on spots.id = placements.spot_id
        join spaces on spaces.id = spots.space_id where spaces.house_id = cast(@houseId as integer))
      or p.id in (select probe_id from stations join house_stations on house_stations.station_id = stations.id
        where house_stations.house_id = cast(@houseId as integer))
      order by l.key, p.key`,
    )
    .all({ houseId }) as ProbeId[]
}

/** Probe of each station that serves a house, by station key. */
export async function findStationProbes(db: Database, houseId: number): Promise<Map<string, number>> {
  const rows = db.raw
    .prepare(
      `select s.key, s.probe_id as probeId from stations s join house_stations hs on hs.station_id = s.id
      where hs.house_id = cast(? as integer)`,
    )
    .all(houseId) as { key: string; probeId: number }[]
  return new Map(rows.map(({ key, probeId }) => [key, probeId]))
}

/** Keys of the stations each house uses, by id of the house. */
export async function findStationsByHouse(db: Database): Promise<Map<number, string[]>> {
  const rows = db.raw
    .prepare(
      `select hs.house_id as houseId, json_group_array(s.key) as keys from house_stations hs
      join stations s on s.id = hs.station_id group by 1`,
    )
    .all() as { houseId: number; keys: string }[]
  return new Map(rows.map(({ houseId, keys }) => [houseId, JSON.parse(keys) as string[]]))
}

/** Keys of all loggers that ever were, of every house and station. */
export async function findLoggerKeys(db: Database): Promise<Set<string>> {
  return new Set(db.raw.prepare('select key from loggers').pluck().all() as string[])
}
