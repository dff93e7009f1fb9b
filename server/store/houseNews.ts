/** What is new at each house since its findings were made: asked for all houses at once, without reading what was found. */
import type { Database } from './open.ts'
import { statement } from './unitsOfWork.ts'

export interface HouseNews {
  /** Its latest reading at each spot, by space key / spot key; UTC epoch ms. */
  heardAt: Map<string, number>
  /** Readings or corrections came in whose hour values are not built yet. */
  due: boolean
  /** When a fact of it was changed last. */
  changedAt: number
  /** Its latest work begins here. */
  lastWorkAt: number | null
}

const FAR = 9_000_000_000_000_000

/** By id of the house; of one alone where it is named. */
export async function findHouseNews(db: Database, houseId: number | null = null): Promise<Map<number, HouseNews>> {
  const houses = statement(
    db,
    `select h.id, coalesce((select max(at) from history where house_id = h.id), 0) as changedAt,
      (select max(from_at) from works where house_id = h.id) as lastWorkAt,
      exists (select 1 from hourly_due d where d.probe_id in (
        select pl.probe_id from placements pl join spots sp on sp.id = pl.spot_id join spaces s on s.id = sp.space_id
          where s.house_id = h.id
        union select st.probe_id from house_stations hs join stations st on st.id = hs.station_id
          where hs.house_id = h.id)) as due
      from houses h where :houseId is null or h.id = :houseId`,
  ).all({ houseId }) as { id: number; changedAt: number; lastWorkAt: number | null; due: number }[]
  const news = new Map(
    houses.map(({ id, changedAt, lastWorkAt, due }): [number, HouseNews] => [
      id,
      { heardAt: new Map(), due: due === 1, changedAt, lastWorkAt },
    ]),
  )
  const heard = statement(
    db,
    `select s.house_id as houseId, s.key || '/' || sp.key as spot, max((select max(r.at) from readings r
        where r.probe_id = pl.probe_id and r.at >= pl.from_at and r.at < coalesce(pl.to_at, ${FAR}))) as at
      from placements pl join spots sp on sp.id = pl.spot_id join spaces s on s.id = sp.space_id
      where :houseId is null or s.house_id = :houseId group by 1, 2`,
  ).all({ houseId }) as { houseId: number; spot: string; at: number | null }[]
  for (const { houseId, spot, at } of heard) if (at !== null) news.get(houseId)?.heardAt.set(spot, at)
  return news
}

/** Spots, by space key / spot key, where a logger hangs that reports by itself. */
export async function findRadioSpots(db: Database, houseId: number): Promise<Set<string>> {
  const spots = statement(
    db,
    `select distinct s.key || '/' || sp.key from placements pl join probes p on p.id = pl.probe_id
      join loggers l on l.id = p.logger_id join spots sp on sp.id = pl.spot_id join spaces s on s.id = sp.space_id
      where s.house_id = ? and pl.to_at is null and l.has_radio = 1`,
  ).pluck()
  return new Set(spots.all(houseId) as string[])
}
