/** Rows that the schedule of regular letters turns on. */
import type { Database } from './open.ts'
import { statement } from './unitsOfWork.ts'

/** First reading of loggers that report by themselves at any place under the house; null: none yet. */
export async function findFirstHeard(db: Database, houseId: number): Promise<number | null> {
  return statement(
    db,
    `select min((select min(r.at) from readings r where r.probe_id = pl.probe_id and r.at >= pl.from_at
       and r.at < coalesce(pl.to_at, 9e15)))
     from placements pl join probes p on p.id = pl.probe_id join loggers l on l.id = p.logger_id
       join spots sp on sp.id = pl.spot_id join spaces s on s.id = sp.space_id
     where s.house_id = cast(? as integer) and s.role in ('crawl space', 'basement') and l.has_radio = 1`,
  )
    .pluck()
    .get(houseId) as number | null
}

/** Hours with rain, ascending; the first of the probes that knows an hour is believed. */
export async function readRain(
  db: Database,
  probeIds: readonly number[],
  from: number,
  to: number,
): Promise<{ at: number; rainMm: number }[]> {
  const known = new Map<number, number>()
  for (const probeId of probeIds) {
    const rows = statement(
      db,
      'select at, rain_mm as rainMm from hourly where probe_id = ? and at >= ? and at < ? and rain_mm > 0 order by at',
    ).all(probeId, from, to) as { at: number; rainMm: number }[]
    for (const { at, rainMm } of rows) if (!known.has(at)) known.set(at, rainMm)
  }
  return [...known].map(([at, rainMm]) => ({ at, rainMm })).sort((a, b) => a.at - b.at)
}

/** Letters to one person about a house whose key begins so, and when they were written. */
export async function findLettersByKey(
  db: Database,
  { personId, houseId, keyStart }: { personId: number; houseId: number; keyStart: string },
): Promise<{ onceKey: string; kind: string; createdAt: number }[]> {
  return statement(
    db,
    `select once_key as onceKey, kind, created_at as createdAt from letters
     where person_id = :personId and house_id = :houseId and substr(once_key, 1, length(:keyStart)) = :keyStart
     order by id`,
  ).all({ personId, houseId, keyStart }) as { onceKey: string; kind: string; createdAt: number }[]
}
