/** A battery on its way out, told by its own history because every chemistry has its own voltage. */
import type { HourlyColumns } from './hourly.ts'
import type { Mark } from './marks.ts'
import { median, quantile } from './robust.ts'

/** Proposal, common practice without a source: below this share of its own good level, and not recovered. */
const DYING_SHARE = 0.88
const LAST_HOURS = 72

/** At most one mark: from the hour after which the battery never came back, to the last hour heard. */
export function batteryMarks({ at, batteryMinV }: Pick<HourlyColumns, 'at' | 'batteryMinV'>): Mark[] {
  const rows = Array.from(at.keys()).filter((i) => !Number.isNaN(batteryMinV[i]!))
  if (rows.length < 2 * LAST_HOURS) return []
  const goodV = quantile(batteryMinV, 0.95)
  const nowV = median(rows.slice(-LAST_HOURS).map((i) => batteryMinV[i]!))
  if (!(nowV < DYING_SHARE * goodV)) return []
  let first = rows.length - 1
  while (first > 0 && batteryMinV[rows[first - 1]!]! < DYING_SHARE * goodV) first--
  const last = rows[rows.length - 1]!
  const reason = `The battery fell from ${goodV.toFixed(2)} V to ${nowV.toFixed(2)} V: change it at the next visit.`
  return [
    { kind: 'battery dying', from: at[rows[first]!]!, to: at[last]! + 3_600_000, reason, numbers: { goodV, nowV } },
  ]
}
