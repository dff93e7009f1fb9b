/**
 * Tells whether anything a finding rests on has changed: readings and corrections (through the hour values made of them),
 * works, events, surveys, facts, the settings of firm and house, and the code.
 */
import { createHash } from 'node:crypto'
import { keptDigest } from '../store/hourly.ts'
import { findHouse, findProbesOfHouse } from '../store/houses.ts'
import type { Database } from '../store/open.ts'
import { readTree } from '../store/readHouse.ts'
import { readSettings } from '../store/settings.ts'

/** Raise it with every change of code or of a default that changes a finding; stored findings are then made anew. */
export const STUDY_VERSION = 6

export interface HouseFingerprint {
  houseId: number
  probeIds: number[]
  fingerprint: string
}

/** Hour values must be up to date; needs the writing connection, which keeps what the hours amount to. */
export async function fingerprintHouse(db: Database, key: string): Promise<HouseFingerprint | undefined> {
  const row = await findHouse(db, key)
  if (!row) return undefined
  const probeIds = (await findProbesOfHouse(db, row.id)).map(({ id }) => id)
  const { photos: _, ...tree } = readTree(db, row)
  const hash = createHash('sha256')
  hash.update(JSON.stringify([STUDY_VERSION, tree, await readSettings(db, row)]))
  for (const probeId of probeIds) hash.update(JSON.stringify([probeId, await keptDigest(db, probeId)]))
  return { houseId: row.id, probeIds, fingerprint: hash.digest('hex') }
}
