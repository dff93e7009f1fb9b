/**
 * One storm wets many houses: the firm hears of the first at once, and of the others together. What waits to be told is kept
 * for each of its people until it is; pure, the clerk keeps it beside the outbox.
 */
import type { Watch } from '../types.ts'

/** What one weather does to many houses. */
const OF_ONE_WEATHER: ReadonlySet<Watch> = new Set(['liquid water', 'rain response back', 'power lost', 'freezing'])

export const isOfWeather = (watch: Watch): boolean => OF_ONE_WEATHER.has(watch)

export interface Gathering {
  /** When the last letter of this kind went, about which house; null for several. */
  lastAt: number | null
  lastHouseId: number | null
  /** When the last one about several houses went. */
  groupedAt: number | null
  /** Changes of notices that wait to be told together, since the first of them. */
  waiting: number[]
  waitingSince: number | null
  /** Notices of which this person was told together with others. */
  told: number[]
}

export const NOTHING_GATHERED: Gathering = {
  lastAt: null,
  lastHouseId: null,
  groupedAt: null,
  waiting: [],
  waitingSince: null,
  told: [],
}

const MINUTE_MS = 60_000
const HOUR_MS = 60 * MINUTE_MS
/** Longer than this after the last letter it is another storm (proposal). */
const STORM_MS = 6 * HOUR_MS
/** Once a group was told, the houses that follow in the same storm can wait for each other (proposal). */
const NEXT_GROUP_MS = HOUR_MS
const MOST_TOLD = 1000

/** @returns whether it waits for the others; told at once otherwise */
export function gather(
  before: Gathering,
  { houseId, noticeId, changeId }: { houseId: number; noticeId: number; changeId: number },
  now: number,
): { waits: boolean; next: Gathering } {
  const inStorm = before.lastAt !== null && now - before.lastAt < STORM_MS && before.lastHouseId !== houseId
  if (before.waiting.length === 0 && !inStorm)
    return { waits: false, next: { ...before, lastAt: now, lastHouseId: houseId } }
  return {
    waits: true,
    next: {
      ...before,
      waiting: [...before.waiting, changeId],
      waitingSince: before.waitingSince ?? now,
      told: [...before.told.filter((id) => id !== noticeId), noticeId].slice(-MOST_TOLD),
    },
  }
}

export function isRipe({ waitingSince, groupedAt }: Gathering, now: number, gatherMs: number): boolean {
  if (waitingSince === null) return false
  const follows = groupedAt !== null && waitingSince - groupedAt < STORM_MS
  return now - waitingSince >= (follows ? Math.max(NEXT_GROUP_MS, gatherMs) : gatherMs)
}

/** @param houseId null: of several houses */
export const afterTelling = (before: Gathering, houseId: number | null, now: number): Gathering => ({
  ...before,
  lastAt: now,
  lastHouseId: houseId,
  groupedAt: houseId === null ? now : before.groupedAt,
  waiting: [],
  waitingSince: null,
})
