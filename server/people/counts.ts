/** Counts who asks how often: so many at once, then so many a minute. */

export interface Allowance {
  /** Each kind is counted for itself. */
  kind: string
  /** So many at once. */
  atOnce: number
  /** And so many a minute after that. */
  perMinute: number
}

export interface Counts {
  /** @returns 0 when it may go on, else the seconds until it may */
  take(who: string, allowance: Allowance): number
  /** What was taken turned out not to count. */
  giveBack(who: string, allowance: Allowance): void
  size(): number
}

/** Beyond it, whoever asked longest ago is forgotten. An entry is about 200 bytes. */
const MOST_KEPT = 10_000
const ROUNDING = 1e-6

/** @param now milliseconds that only grow, whatever the clock on the wall does */
export function createCounts(now: () => number, mostKept = MOST_KEPT): Counts {
  /** What is left to each, as of its last request; the latest at the end. */
  const left = new Map<string, { count: number; at: number }>()
  return {
    take(who, { kind, atOnce, perMinute }) {
      const key = `${kind} ${who}`
      const at = now()
      const before = left.get(key) ?? { count: atOnce, at }
      const count = Math.min(atOnce, before.count + ((at - before.at) / 60_000) * perMinute)
      const goesOn = count >= 1 - ROUNDING
      left.delete(key)
      left.set(key, { count: goesOn ? count - 1 : count, at })
      const [oldest] = left.keys()
      if (left.size > mostKept) left.delete(oldest!)
      return goesOn ? 0 : Math.max(1, Math.ceil(((1 - count) / perMinute) * 60 - ROUNDING))
    },
    giveBack(who, { kind, atOnce }) {
      const entry = left.get(`${kind} ${who}`)
      if (entry) entry.count = Math.min(atOnce, entry.count + 1)
    },
    size: () => left.size,
  }
}
