/** Storms whose rain of 24 hours passes the line of a big rain. */

const HOUR_MS = 3_600_000
const WINDOW_MS = 24 * HOUR_MS
/** A storm is over when its window has stayed below the line for a day. */
const APART_MS = 24 * HOUR_MS

/** @param hours with rain, ascending @returns the end of the hour in which each passed the line */
export function bigRains(hours: readonly { at: number; rainMm: number }[], lineMm: number): number[] {
  const found: number[] = []
  let first = 0
  let sum = 0
  let lastOver = Number.NEGATIVE_INFINITY
  for (const { at, rainMm } of hours) {
    sum += rainMm
    while (hours[first]!.at <= at - WINDOW_MS) sum -= hours[first++]!.rainMm
    if (sum < lineMm) continue
    if (at - lastOver > APART_MS) found.push(at + HOUR_MS)
    lastOver = at
  }
  return found
}
