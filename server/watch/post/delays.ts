/** How long a letter waits between attempts, and when nobody tries any more. */

const MINUTE_MS = 60_000
const DAY_MS = 24 * 60 * MINUTE_MS

/** The first are short, for servers that want to see a stranger twice before they believe them. */
const DELAYS_MIN = [1, 5, 15, 30]
/** An alarm must be there soon after a server that was away is back. */
const ALARM_DELAYS_MIN = [1, 2, 5]

/** RFC 5321 section 4.5.4.1: at least four to five days. */
const GIVE_UP_AFTER_MS = 5 * DAY_MS

/** @param attempts so far, the one that just failed among them */
export function delayMs(attempts: number, isAlarm: boolean): number {
  const minutes = isAlarm ? ALARM_DELAYS_MIN : DELAYS_MIN
  return minutes[Math.min(attempts, minutes.length) - 1]! * MINUTE_MS
}

/** However old it is, a letter that somebody sends again, or that waited for a first mail server, gets the short delays. */
export const tooOld = ({ createdAt, attempts }: { createdAt: number; attempts: number }, at: number): boolean =>
  attempts > DELAYS_MIN.length && at - createdAt > GIVE_UP_AFTER_MS
