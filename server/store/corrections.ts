/** Dated corrections of a probe, as they are applied when values are built. */
import type { Correction } from '../series/corrections.ts'
import type { Database } from './open.ts'
import { statement } from './unitsOfWork.ts'

/** In the order in which they were entered. */
export async function findCorrections(db: Database, probeId: number): Promise<Correction[]> {
  return correctionsOf(db, probeId)
}

/** The same at once, for a writer inside its own transaction. */
export const correctionsOf = (db: Database, probeId: number): Correction[] =>
  statement(
    db,
    'select quantity, "offset", from_at as "from", to_at as "to" from corrections where probe_id = ? order by id',
  ).all(probeId) as Correction[]

/** Probes that stand in the tree of a house: placed in it at some time, or carried by a logger of it that hangs nowhere. */
export const PROBES_IN_TREE = `select p.id from probes p join loggers l on l.id = p.logger_id
  where (l.house_id = cast(@houseId as integer) or p.id in (select probe_id from placements
    join spots on spots.id = placements.spot_id join spaces on spaces.id = spots.space_id
    where spaces.house_id = cast(@houseId as integer)))`

/** Those of every corrected probe in the tree of a house. */
export function correctionsByProbe(db: Database, houseId: number): Map<number, Correction[]> {
  const probes = statement(db, `${PROBES_IN_TREE} and p.id in (select probe_id from corrections)`)
  const ids = (probes.all({ houseId }) as { id: number }[]).map(({ id }) => id)
  return new Map(ids.map((id) => [id, correctionsOf(db, id)]))
}
