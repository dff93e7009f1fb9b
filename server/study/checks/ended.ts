/** What becomes of a probe when its check is finished, and how that is told. */
import { localDateText } from '../../series/localTime.ts'
import type { CheckableProbe, CheckRow } from '../../store/sensorChecks.ts'
import { type CheckedProbe, CheckRefused, type EndedProbe, type FinishAsked, type ProbeCorrection } from './types.ts'

/** @throws CheckRefused when a correction is asked for that is not there */
export function endedProbe(probe: CheckedProbe, known: readonly CheckableProbe[], asked: FinishAsked): EndedProbe {
  const { house } = known.find(({ path }) => path === probe.path)!
  const byVerdict = { fine: 'store', correct: 'store', reject: 'reject' } as const
  const act =
    asked.acts.find((one) => one.probe === probe.path)?.act ??
    (probe.verdict === null ? 'keep' : byVerdict[probe.verdict])
  if (act === 'store' && (probe.verdict === null || probe.verdict === 'reject')) {
    const why = probe.verdict === null ? 'has not settled' : 'cannot be put right by a correction'
    throw new CheckRefused('not now', `${probe.name} ${why}.`, 'Keep it as it is, reject it, or check it again.')
  }
  // A probe that was found right says so by a correction of nothing: from then on it counts as checked.
  const found: ProbeCorrection[] = probe.corrections.some(({ quantity }) => quantity === 'rhPct')
    ? probe.corrections
    : [...probe.corrections, { quantity: 'rhPct', offset: 0 }]
  return { ...probe, act, house, stored: act === 'store' ? found : [], hungAgain: null }
}

export function endWords({ path, act, stored }: EndedProbe): string {
  if (act === 'reject') return `${path} rejected`
  if (act === 'keep') return `${path} kept as it is`
  const added = stored.filter(({ offset }) => offset !== 0)
  const words = added.map(({ quantity, offset }) => `${offset} ${quantity === 'rhPct' ? '% RH' : 'K'}`)
  return words.length === 0 ? `${path} found right` : `${path} corrected by ${words.join(' and ')}`
}

export function whyOf(check: CheckRow, probe: EndedProbe, at: number): string {
  const day = localDateText(at, 'UTC')
  const over = check.kind === 'salt' ? `over ${check.salt}` : `side by side with ${check.probes.length - 1} others`
  const found = probe.stored.every(({ offset }) => offset === 0) ? ', found right' : ''
  return `Check ${check.id} ${over}, ${day}${found}`
}
