/** How a check of probes side by side stands. */
import type { Thresholds } from '../../advice/defaults.ts'
import { HOUR_MS } from '../../series/hourly.ts'
import { SIDE_BY_SIDE_ADVISED_HOURS, SIDE_BY_SIDE_MIN_HOURS, sideBySideOffsets } from '../../series/sideBySide.ts'
import { recomputeHours } from '../../store/hourly.ts'
import type { Database } from '../../store/open.ts'
import type { CheckableProbe, CheckRow } from '../../store/sensorChecks.ts'
import { offset, type Read } from './reads.ts'
import type { CheckedProbe, CheckStanding } from './types.ts'

export async function sideBySideStanding(
  db: Database,
  check: Pick<CheckRow, 'startedAt'>,
  known: readonly CheckableProbe[],
  plain: readonly Read[],
  { now, limits }: { now: number; limits: Thresholds },
): Promise<CheckStanding> {
  const span = { from: check.startedAt, to: now }
  const asked = await Promise.all(
    known.map(async ({ id, path }) => ({ key: path, hours: await recomputeHours(db, id, span.from, span.to) })),
  )
  const answer = sideBySideOffsets(asked, span, limits)
  const passed = (now - check.startedAt) / HOUR_MS
  const hoursToAdvised = Math.max(0, SIDE_BY_SIDE_ADVISED_HOURS - passed)
  if (answer.verdict === 'cannot tell') {
    const left = SIDE_BY_SIDE_MIN_HOURS - answer.hours
    return {
      ready: false,
      hoursToGo: left > 0 ? left : null,
      hoursToAdvised,
      sentence: `${answer.reason} Needed: ${answer.needs}.`,
      probes: plain.map(({ probe }) => probe),
    }
  }
  const probes = plain.map(({ probe }, p): CheckedProbe => {
    const found = answer.offsets[p]!
    return {
      ...probe,
      verdict: found.verdict,
      reason: found.reason,
      rhPct: offset(found.rhOffsetPct, found.rhMarginPct),
      tempK: offset(found.tempOffsetK, found.tempMarginK),
      vaporPa: offset(found.vaporOffsetPa, found.vaporMarginPa),
      corrections: answer.corrections
        .filter(({ key }) => key === found.key)
        .map(({ quantity, offset: added }) => ({ quantity, offset: added })),
    }
  })
  return { ready: true, hoursToGo: 0, hoursToAdvised, sentence: answer.reason, probes }
}
