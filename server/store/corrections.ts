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
