/** A house with made readings in a real database, for tests of studies. */
import { QUANTITY_NAMES, type ReadingColumns } from '../../server/series/quantities.ts'
import type { HouseTree } from '../../server/store/houseTree.ts'
import type { Database } from '../../server/store/open.ts'
import { storeReadings } from '../../server/store/readings.ts'
import { STEPS_PER_UNIT, type StepBatch } from '../../server/store/steps.ts'
import { type StoredHouse, storeHouse } from '../../server/store/storeHouse.ts'

const AT = { replace: true, now: Date.UTC(2025, 0, 1), who: 'tester' }

export const TEST_HOUSE: HouseTree = {
  format: 'underjoist house 1',
  key: 'test-house',
  name: 'Invented house',
  invented: true,
  timeZone: 'America/New_York',
  latitude: 36,
  spaces: [
    {
      key: 'crawl',
      name: 'Crawl space',
      role: 'crawl space',
      kind: 'vented',
      spots: [
        { key: 'low', name: 'Low corner' },
        { key: 'mid', name: 'Mid joist' },
      ],
    },
    { key: 'out', name: 'Outdoors', role: 'outdoor', spots: [{ key: 'north', name: 'North wall' }] },
  ],
  loggers: [
    { key: 'l1', probes: [{ key: 'air', placements: [{ spot: 'crawl/low', from: '2023-01-01' }] }] },
    { key: 'l2', probes: [{ key: 'air', placements: [{ spot: 'crawl/mid', from: '2023-01-01' }] }] },
    { key: 'lo', probes: [{ key: 'air', placements: [{ spot: 'out/north', from: '2023-01-01' }] }] },
  ],
}

/** Stores the house and readings by "logger/probe". */
export async function storeTestHouse(
  db: Database,
  tree: HouseTree,
  readings: Record<string, ReadingColumns> = {},
): Promise<StoredHouse> {
  const stored = await storeHouse(db, tree, AT)
  for (const [path, columns] of Object.entries(readings)) {
    await storeReadings(db, stepsOf(probeOf(stored, path), columns))
  }
  return stored
}

export function probeOf(stored: StoredHouse, path: string): number {
  const probe = stored.probes.find(({ logger, probe: key }) => `${logger}/${key}` === path)
  if (!probe) throw new Error(`The test house has no probe ${path}.`)
  return probe.id
}

export function stepsOf(probeId: number, readings: ReadingColumns): StepBatch {
  const steps: StepBatch['steps'] = {}
  for (const name of QUANTITY_NAMES) {
    const column = readings[name]
    if (column) steps[name] = column.map((value) => Math.round(value * STEPS_PER_UNIT[name]))
  }
  return { probeId, at: readings.at, steps }
}
