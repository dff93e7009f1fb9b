/** Probes that can be checked, and what checks said of each. */
import type { Database } from '../../store/open.ts'
import { type CheckRow, findCheckableProbes } from '../../store/sensorChecks.ts'
import { type FinishedCheck, type ListedProbe, probeName } from './types.ts'

/** Checks looked at: all that run, and the latest. */
export const MOST_LISTED = 40

/** @param checks newest first */
export async function listProbes(db: Database, checks: readonly CheckRow[], at: number): Promise<ListedProbe[]> {
  const inCheck = new Map(
    checks.filter(({ state }) => state === 'running').flatMap(({ id, probes }) => probes.map((path) => [path, id])),
  )
  const done = checks.filter(({ state }) => state === 'done')
  return (await findCheckableProbes(db, at)).map(({ id: _, ...probe }): ListedProbe => {
    const last = done.find((check) => check.probes.includes(probe.path))
    const act = (last?.result as FinishedCheck | undefined)?.probes.find(({ path }) => path === probe.path)?.act
    return {
      ...probe,
      name: probeName(probe),
      inCheck: inCheck.get(probe.path) ?? null,
      rejectedAt: act === 'reject' ? last!.endedAt : null,
      checkedAt: act === undefined ? null : last!.endedAt,
    }
  })
}
