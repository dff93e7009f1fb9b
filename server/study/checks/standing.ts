/** How a check stands now: what each probe reads, whether it has settled, and what follows from it. */
import type { Thresholds } from '../../advice/defaults.ts'
import type { Database } from '../../store/open.ts'
import type { CheckableProbe, CheckRow } from '../../store/sensorChecks.ts'
import { plainProbe } from './reads.ts'
import { saltStanding } from './saltStanding.ts'
import { sideBySideStanding } from './sideBySideStanding.ts'
import type { CheckStanding } from './types.ts'

export async function checkStanding(
  db: Database,
  check: Pick<CheckRow, 'kind' | 'salt' | 'startedAt' | 'probes'>,
  known: readonly CheckableProbe[],
  { now, limits }: { now: number; limits: Thresholds },
): Promise<CheckStanding> {
  const probes = check.probes.flatMap((path) => known.find((probe) => probe.path === path) ?? [])
  const plain = await Promise.all(probes.map((probe) => plainProbe(db, probe, check, now)))
  return check.kind === 'salt'
    ? saltStanding(db, check, plain, { now, limits })
    : sideBySideStanding(db, check, probes, plain, { now, limits })
}
