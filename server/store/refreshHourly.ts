/** Brings hour values up to date with their readings and corrections. */
import { findDueHours, rebuildNextHours } from './hourly.ts'
import type { Database } from './open.ts'
import { yieldToOthers } from './unitsOfWork.ts'

/**
 * Rebuilds what is due, two weeks at a time with a turn for others between; safe to stop and to repeat.
 *
 * @param probeIds only these; all probes when left out
 * @returns hours looked at
 */
export async function refreshHourly(
  db: Database,
  probeIds?: readonly number[],
  signal?: AbortSignal,
): Promise<{ hours: number }> {
  let hours = 0
  for (const { probeId } of await findDueHours(db, probeIds)) {
    for (let more = true; more && !signal?.aborted; ) {
      const step = await rebuildNextHours(db, probeId)
      more = step?.more ?? false
      if (step) hours += (step.to - step.from) / 3_600_000
      await yieldToOthers()
    }
  }
  return { hours }
}
