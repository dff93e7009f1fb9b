/** Thresholds that the firm and a house set for themselves, as they were written; advice/thresholds.ts reads them. */
import type { HouseRow } from './houses.ts'
import type { Database } from './open.ts'
import { statement } from './unitsOfWork.ts'

export interface StoredSettings {
  firm: Record<string, unknown>
  house: Record<string, unknown>
}

export async function readSettings(db: Database, house: HouseRow): Promise<StoredSettings> {
  return { firm: await readFirmSettings(db), house: house.settings as Record<string, unknown> }
}

/** For what is not asked of one house. */
export async function readFirmSettings(db: Database): Promise<StoredSettings['firm']> {
  const firm = statement(db, 'select settings from firm order by id limit 1').pluck().get() as string | undefined
  return firm === undefined ? {} : (JSON.parse(firm) as Record<string, unknown>)
}
