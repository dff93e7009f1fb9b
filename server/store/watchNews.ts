/** What may ask for a look at each house, for all houses at once: hours that changed, findings, facts. */
import type { Database } from './open.ts'
import { statement } from './unitsOfWork.ts'

export interface WatchNews {
  houseId: number
  key: string
  /** Newest entry of its history, and when something was found last; 0: never. */
  entry: number
  foundAt: number
}

export async function findWatchNews(db: Database): Promise<WatchNews[]> {
  return statement(
    db,
    `select h.id as houseId, h.key, coalesce((select max(id) from history where house_id = h.id), 0) as entry,
       coalesce((select max(computed_at) from findings where house_id = h.id), 0) as foundAt from houses h order by h.id`,
  ).all() as WatchNews[]
}
