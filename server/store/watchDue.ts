/** Which houses the watch has to look at again because hours of theirs changed, and from when on. */
import type { Database } from './open.ts'
import { statement } from './unitsOfWork.ts'

/** Houses where the probe hangs or hung, or that it serves as a station; inside the transaction that rebuilt its hours. */
export function markWatchDue(db: Database, probeId: number, from: number): void {
  statement(
    db,
    `insert into watch_due (house_id, from_at, marks)
     select house_id, @from, 1 from (
       select s.house_id from placements pl join spots sp on sp.id = pl.spot_id join spaces s on s.id = sp.space_id
         where pl.probe_id = @probeId
       union select hs.house_id from house_stations hs join stations st on st.id = hs.station_id
         where st.probe_id = @probeId) where true
     on conflict (house_id) do update set from_at = min(from_at, excluded.from_at), marks = marks + 1`,
  ).run({ probeId, from } as never)
}

export interface WatchDue {
  from: number
  /** Handed back when the house was looked at: marks that came meanwhile are kept. */
  marks: number
}

export async function findWatchDue(db: Database): Promise<Map<number, WatchDue>> {
  const rows = statement(db, 'select house_id as houseId, from_at as "from", marks from watch_due').all() as ({
    houseId: number
  } & WatchDue)[]
  return new Map(rows.map(({ houseId, from, marks }) => [houseId, { from, marks }]))
}
