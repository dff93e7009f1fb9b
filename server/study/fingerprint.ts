/** Tells whether anything a finding rests on has changed, from sums over hour values and the house's own facts. */
import { createHash } from 'node:crypto'
import { digestHours } from '../store/hourly.ts'
import { findHouse, findProbesOfHouse } from '../store/houses.ts'
import type { Database } from '../store/open.ts'
import { readTree } from '../store/readHouse.ts'

/** Raise it with every change of code that changes a finding; stored findings are then made anew. */
export const STUDY_VERSION = 2

export interface HouseFingerprint {
  houseId: number
  probeIds: number[]
  fingerprint: string
}

/**
 * Readings and corrections enter through the hour values made of them, so hour values must be up to date.
 * About 8 ms a probe and year.
 */
export async function fingerprintHouse(db: Database, key: string): Promise<HouseFingerprint | undefined> {
  const row = await findHouse(db, key)
  if (!row) return undefined
  const probeIds = (await findProbesOfHouse(db, row.id)).map(({ id }) => id)
  const hash = createHash('sha256')
  hash.update(JSON.stringify([STUDY_VERSION, readTree(db, row), row.settings]))
  for (const probeId of probeIds) hash.update(JSON.stringify([probeId, await digestHours(db, probeId)]))
  return { houseId: row.id, probeIds, fingerprint: hash.digest('hex') }
}
