/** The time between works. Works too close to part are answered for together; install days belong to no period. */
import { zoneClock } from './localTime.ts'

const DAY_MS = 86_400_000
/** Works closer than this cannot be told apart (method: judgement, unmeasured). */
const JOINT_DAYS = 7
/** How long wood and ground go on drying after a work. Proposal of the trade notes: 8 weeks, no source. */
export const DRYING_DAYS = 56

export interface DatedWork {
  key: string
  from: number
  /** End of a trial that was undone; null while the work stays. */
  to: number | null
}

/** Half-open, from the start of one local day to the start of another. */
export interface Period {
  /** P0 is before the first work. */
  key: string
  from: number
  to: number
  /** Works that begin at its start, and trials that end there. */
  begins: string[]
  ends: string[]
  /** End of the drying part, not after `to`; null when nothing lasting was done at its start. */
  dryingTo: number | null
}

/**
 * @param works any order
 * @param span of the record; works outside it part nothing
 * @param dryingDays local days from the work on that count as drying
 */
export function periodsBetween(
  works: readonly DatedWork[],
  span: { from: number; to: number },
  timeZone: string,
  dryingDays = DRYING_DAYS,
): Period[] {
  if (!(span.to > span.from)) return []
  const clock = zoneClock(timeZone)
  const changes = works
    .flatMap(({ key, from, to }) => [
      { at: from, begins: key, lasting: to === null },
      ...(to === null ? [] : [{ at: to, ends: key, lasting: false }]),
    ])
    .filter(({ at }) => at > span.from && at < span.to)
    .sort((a, b) => a.at - b.at)

  const first = clock.dayStart(span.from)
  const periods: Period[] = [{ key: 'P0', from: first, to: span.to, begins: [], ends: [], dryingTo: null }]
  let lastAt = Number.NEGATIVE_INFINITY
  for (const change of changes) {
    const joint = change.at - lastAt < JOINT_DAYS * DAY_MS
    if (!joint) {
      periods[periods.length - 1]!.to = clock.dayStart(change.at)
      periods.push({ key: `P${periods.length}`, from: 0, to: span.to, begins: [], ends: [], dryingTo: null })
    }
    const period = periods[periods.length - 1]!
    period.from = Math.min(span.to, clock.nextDayStart(change.at))
    if ('begins' in change) period.begins.push(change.begins as string)
    if ('ends' in change) period.ends.push(change.ends as string)
    if (change.lasting) period.dryingTo = clock.dayStart(change.at + dryingDays * DAY_MS + DAY_MS / 2)
    lastAt = change.at
  }
  for (const period of periods) {
    period.from = Math.min(period.from, period.to)
    if (period.dryingTo !== null) period.dryingTo = Math.min(period.to, Math.max(period.from, period.dryingTo))
  }
  return periods
}
