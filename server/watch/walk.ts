/**
 * The way along a house's hours, kept at a few hours behind. Late and out-of-order readings change hours of the past; the
 * way is then taken up again from before them, so that what comes of it does not depend on when what arrived.
 */
import type { Condition, Ended } from './condition.ts'
import { RULES, stepHour, type Tracks, tracksFrom } from './fold.ts'
import type { Stretch, WatchedHouse } from './house.ts'
import { HOUR_MS } from './rules/rule.ts'

/** Longer than a reading reaches back by its marks (series/quality.ts), so that the usual look goes two of these at most. */
const KEPT_EVERY_MS = 96 * HOUR_MS
const KEPT = 3

export interface Walk {
  tracks: Tracks
  /** Kept at full spans, oldest first. */
  kept: Tracks[]
  /** What ended on the way. */
  ended: Ended[]
  /** Where it was taken up. */
  from: number
  /** Whether other tracks are kept than before. */
  changed: boolean
}

/**
 * @param due hours from here on changed; Infinity: none
 * @param begin first hour of the house's record
 */
export function takeUp(kept: readonly Tracks[], due: number, begin: number): Walk {
  const usable = kept.filter(({ at }) => at <= due)
  const last = usable.at(-1)
  const tracks = last === undefined ? tracksFrom(begin) : structuredClone(last)
  return { tracks, kept: usable, ended: [], from: tracks.at, changed: usable.length !== kept.length }
}

/** Goes along hours that are over; the stretch begins where the walk stands. */
export function goAlong(walk: Walk, house: WatchedHouse, stretch: Stretch): void {
  for (let i = 0; i < stretch.hours; i++) {
    walk.ended.push(...stepHour(walk.tracks, house, stretch, i))
    const { at } = walk.tracks
    if (at % KEPT_EVERY_MS !== 0 || walk.kept.some((one) => one.at >= at)) continue
    walk.kept = [...walk.kept, structuredClone(walk.tracks)].slice(-KEPT)
    walk.changed = true
  }
}

const FAST = new Set(RULES.filter(({ fast }) => fast).map(({ watch }) => watch))

/** @param underWay the hour under way, alone, and how many minutes of it readings speak for */
export function conditionsOf(
  { tracks }: Walk,
  house: WatchedHouse,
  underWay: { stretch: Stretch; minutes: number } | null,
): Condition[] {
  if (underWay === null) return Object.values(tracks.open)
  const ahead = structuredClone(tracks)
  stepHour(ahead, house, underWay.stretch, 0, Math.min(59, underWay.minutes))
  const fast = Object.entries(ahead.open).filter(([, { watch }]) => FAST.has(watch))
  return Object.values({ ...tracks.open, ...Object.fromEntries(fast) })
}
