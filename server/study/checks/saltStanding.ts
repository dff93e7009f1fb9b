/** How a check over a salt stands. */
import type { Thresholds } from '../../advice/defaults.ts'
import { HOUR_MS } from '../../series/hourly.ts'
import { type CheckSalt, judgeSalts, type SaltPoint, saltReading } from '../../series/saltCheck.ts'
import type { Database } from '../../store/open.ts'
import { type CheckRow, findChecksOfProbe } from '../../store/sensorChecks.ts'
import { offset, type Read } from './reads.ts'
import type { CheckedProbe, CheckStanding, FinishedCheck } from './types.ts'

export async function saltStanding(
  db: Database,
  check: Pick<CheckRow, 'salt' | 'startedAt'>,
  plain: readonly Read[],
  { now, limits }: { now: number; limits: Thresholds },
): Promise<CheckStanding> {
  const salt = check.salt as CheckSalt
  const waits: number[] = []
  const probes: CheckedProbe[] = []
  for (const { probe, readings } of plain) {
    const found = saltReading(readings, salt, { from: check.startedAt, to: now }, limits)
    if (!found.settled) {
      waits.push(found.hoursToGo)
      probes.push({ ...probe, reason: found.reason })
      continue
    }
    const { point } = found
    const earlier = await earlierPoint(db, probe.path, point, limits)
    const judged = judgeSalts(earlier ? [earlier, point] : [point], limits)
    probes.push({
      ...probe,
      verdict: judged.verdict,
      reason: judged.reason,
      rhPct: offset(judged.offsetPct, judged.marginPct),
      expectedRhPct: point.expectedPct,
      slope: judged.slope,
      corrections: judged.correctionPct === null ? [] : [{ quantity: 'rhPct', offset: judged.correctionPct }],
      point,
    })
  }
  const ready = waits.length < plain.length
  const hoursToGo = waits.length === 0 ? 0 : Math.max(...waits)
  const sentence =
    waits.length === 0
      ? 'Every probe has settled.'
      : ready
        ? `${plain.length - waits.length} of ${plain.length} probes have settled.`
        : 'The box is still settling.'
  return { ready, hoursToGo, hoursToAdvised: hoursToGo, sentence, probes }
}

/** What an earlier check over another salt found, with what was stored of it taken off. */
async function earlierPoint(
  db: Database,
  path: string,
  point: SaltPoint,
  { saltPairDays }: Thresholds,
): Promise<SaltPoint | undefined> {
  for (const { kind, salt, result, endedAt } of await findChecksOfProbe(db, path)) {
    if (kind !== 'salt' || salt === point.salt || point.to - endedAt! > saltPairDays * 24 * HOUR_MS) continue
    const probe = (result as FinishedCheck).probes.find((one) => one.path === path)
    if (!probe?.point) continue
    const added = probe.stored.reduce((sum, one) => sum + (one.quantity === 'rhPct' ? one.offset : 0), 0)
    return {
      ...probe.point,
      readPct: probe.point.readPct + added,
      offsetPct: probe.point.offsetPct + added,
    }
  }
  return undefined
}
