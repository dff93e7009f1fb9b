/** Which backups are kept: the newest few, and behind them one a day for a week and one a week for a month. */

const DAY_MS = 86_400_000
const DAYS_KEPT = 7
const WEEKS_KEPT = 4
/** 1970-01-01 was a Thursday; weeks begin on Monday. */
const MONDAY_OFFSET_DAYS = 3

const dayOf = (at: number): number => Math.floor(at / DAY_MS)
const weekOf = (at: number): number => Math.floor((dayOf(at) + MONDAY_OFFSET_DAYS) / 7)

/**
 * Days and weeks are those of UTC; of each the newest is kept. What is from later than now is kept too: a clock that was
 * wrong must not throw anything away.
 *
 * @param times of the backups there are, UTC epoch ms
 * @param keep the newest so many stay in any case, at least one
 * @returns the times of those that go
 */
export function outdated(times: readonly number[], { now, keep }: { now: number; keep: number }): number[] {
  const past = times.filter((at) => at <= now).sort((a, b) => b - a)
  const kept = new Set(past.slice(0, Math.max(1, keep)))
  const newestOf = (group: (at: number) => number, most: number) => {
    const taken = new Set<number>()
    for (const at of past) {
      if (group(now) - group(at) >= most || taken.has(group(at))) continue
      taken.add(group(at))
      kept.add(at)
    }
  }
  newestOf(dayOf, DAYS_KEPT)
  newestOf(weekOf, WEEKS_KEPT)
  return past.filter((at) => !kept.has(at))
}
