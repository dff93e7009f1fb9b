/** The weather stations of a house, and whether what reports by itself was heard lately. */

import { findStationProbes } from '../../store/houses.ts'
import type { HouseTree } from '../../store/houseTree.ts'
import type { Database } from '../../store/open.ts'
import { findEnds } from '../../store/readings.ts'

export interface PageStation {
  key: string
  name: string
  quantities: string[]
  lastAt: number | null
  /** A file that was brought in is never late. */
  stale: boolean
}

const HOUR_MS = 3_600_000

export async function pageStations(
  db: Database,
  { tree, houseId, asOf, staleHours }: { tree: HouseTree; houseId: number; asOf: number; staleHours: number },
): Promise<PageStation[]> {
  const probes = await findStationProbes(db, houseId)
  const ends = new Map((await findEnds(db, [...probes.values()])).map(({ probeId, to }) => [probeId, to - 1]))
  return (tree.stations ?? []).map(({ key, name, kind, quantities }) => {
    const lastAt = ends.get(probes.get(key) ?? -1) ?? null
    const stale = kind !== 'file' && (lastAt === null || asOf - lastAt > staleHours * HOUR_MS)
    return { key, name, quantities, lastAt, stale }
  })
}
