/** Damp air of a closed space: its 24 h mean RH, with two lines so that it does not flicker. */
import { EVERYBODY, HOUR_MS, orNull, reset, rule } from './rule.ts'

interface Memory {
  /** RH of the last hours, newest last. */
  recent: (number | null)[]
  belowHours: number
  since: number | null
  sureAt: number | null
  meanPct: number | null
  highestPct: number | null
}

const start = (): Memory => ({
  recent: [],
  belowHours: 0,
  since: null,
  sureAt: null,
  meanPct: null,
  highestPct: null,
})

/** Of the hours kept; null while too few of them are known. */
export function meanOf(recent: readonly (number | null)[], hours: number, share: number): number | null {
  if (recent.length < hours) return null
  let [sum, known] = [0, 0]
  for (const value of recent) if (value !== null) [sum, known] = [sum + value, known + 1]
  return known >= share * hours ? sum / known : null
}

export const damp = rule<Memory>({
  watch: 'damp',
  scope: 'space',
  start,
  step(memory, hour, around, held) {
    if (!around.below || !around.closed) return reset(memory, start())
    memory.recent.push(orNull(hour.rhPct))
    if (memory.recent.length > held.closedHours) memory.recent.shift()
    const mean = meanOf(memory.recent, held.closedHours, held.completeDayShare)
    if (mean === null) {
      memory.belowHours = 0
      return
    }
    memory.meanPct = mean
    memory.belowHours = mean < held.closedOffRhPct ? memory.belowHours + 1 : 0
    if (mean > held.closedOnRhPct) {
      memory.since ??= hour.at + HOUR_MS
      memory.sureAt ??= hour.at + HOUR_MS
    } else if (memory.sureAt !== null && memory.belowHours >= held.closedHours) {
      reset(memory, { ...start(), recent: memory.recent })
    }
    if (memory.sureAt !== null) memory.highestPct = Math.max(memory.highestPct ?? mean, mean)
  },
  raised({ since, sureAt, meanPct, highestPct }, held) {
    if (since === null || sureAt === null || meanPct === null || highestPct === null) return null
    return {
      since,
      sureAt,
      urgency: 'soon',
      audience: EVERYBODY,
      weight: meanPct,
      numbers: { rhPct: meanPct, rhHighestPct: highestPct, lineRhPct: held.closedOnRhPct },
    }
  },
})
