/** One look at a house: reads what changed, goes along its hours, settles its notices and stores all of it at once. */
import { createHash } from 'node:crypto'
import { HOUR_MS } from '../series/hourly.ts'
import { findHeardLoggers, findHeardStations, latestEntry } from '../store/heard.ts'
import type { HouseRow } from '../store/houses.ts'
import { findNoticesSince, findOwnerTold } from '../store/notices.ts'
import type { Database } from '../store/open.ts'
import { yieldToOthers } from '../store/unitsOfWork.ts'
import type { WatchDue } from '../store/watchDue.ts'
import { readWatchState, storeLook } from '../store/watchStates.ts'
import { type Condition, keyOf } from './condition.ts'
import type { Tracks } from './fold.ts'
import { foundConditions } from './found.ts'
import { readFound } from './readFound.ts'
import { readStretch, readWatched, type WatchedRecord } from './readWatched.ts'
import { nextUpdateAt, type SettledNotice, settle } from './settle.ts'
import { type Heard, nextStillness, stillConditions } from './stillness.ts'
import type { Transition } from './types.ts'
import { conditionsOf, goAlong, takeUp, type Walk } from './walk.ts'

/** Raise it whenever tracks of before cannot be gone on with; every house is then gone along anew. */
const WATCH_VERSION = 2

const STRETCH_MS = 30 * 24 * HOUR_MS
const MONTH_MS = 30 * 24 * HOUR_MS

interface KeptState {
  /** Of the facts and thresholds that the tracks were made with. */
  of: string
  kept: Tracks[]
}

export interface LookMade {
  transitions: Transition[]
  /** When time alone asks for the next look. */
  nextAt: number
}

/** Hour values must be up to date. */
export async function lookAtHouse(
  db: Database,
  row: HouseRow,
  { now: clock, due }: { now: number; due: WatchDue | null },
): Promise<LookMade> {
  const record = await readWatched(db, row)
  const now = record.invented && record.end !== null ? Math.min(clock, record.end) : clock
  const of = stateOf(await latestEntry(db, row.id), record)
  const stored = await readWatchState(db, row.id)
  const state = stored?.version === WATCH_VERSION ? (stored.state as KeptState) : undefined
  const walk = takeUp(state?.of === of ? state.kept : [], due?.from ?? Number.POSITIVE_INFINITY, record.begin ?? now)
  const heard: Heard = {
    loggers: await findHeardLoggers(db, row.id),
    stations: await findHeardStations(db, row.id),
  }
  const { held } = record.house
  const conditions = unlike([
    ...(await alongHours(db, record, walk, now)),
    ...(record.invented ? [] : stillConditions(heard, now, held)),
    ...foundConditions(await readFound(db, row.id), record.foundIn, now, held),
  ])
  const notices = (await findNoticesSince(db, row.id, walk.from)) as unknown as SettledNotice[]
  const ownerToldAt = await findOwnerTold(db, row.id, now - MONTH_MS)
  const { transitions, refreshed } = settle({ now, held, conditions, ended: walk.ended, notices, ownerToldAt })
  const changed = walk.changed || state?.of !== of
  await storeLook(db, row.id, {
    at: now,
    version: WATCH_VERSION,
    state: changed ? ({ of, kept: walk.kept } satisfies KeptState) : null,
    marks: due?.marks ?? null,
    transitions,
    refreshed,
  })
  const open = notices.filter(({ clearedAt }) => clearedAt === null)
  const nextAt = Math.min(
    nextStillness(heard, now, held),
    record.end !== null && record.end > floorHour(now) ? floorHour(now) + HOUR_MS : Number.POSITIVE_INFINITY,
    ...open.flatMap((one) => [nextUpdateAt(one, held), one.snoozedUntil ?? 0]).filter((at) => at > now),
    ...(transitions.length > 0 ? [now + HOUR_MS] : []),
  )
  return { transitions, nextAt }
}

/** Tracks made with other facts or lines are of no use. */
const stateOf = (entry: number, { house, begin }: WatchedRecord): string =>
  createHash('sha256')
    .update(JSON.stringify([entry, house.held, begin]))
    .digest('hex')
    .slice(0, 16)

async function alongHours(db: Database, record: WatchedRecord, walk: Walk, now: number): Promise<Condition[]> {
  if (record.begin === null) return []
  const over = floorHour(now)
  while (walk.tracks.at < over) {
    const to = Math.min(over, walk.tracks.at + STRETCH_MS)
    goAlong(walk, record.house, await readStretch(db, record, walk.tracks.at, to))
    await yieldToOthers()
  }
  // Readings of the future cannot be looked at; those of the hour under way speak up to the latest one.
  const minutes = Math.floor((Math.min(now, record.end!) - over) / 60_000)
  if (minutes < 0 || walk.tracks.at > over) return conditionsOf(walk, record.house, null)
  const stretch = await readStretch(db, record, over, over + HOUR_MS)
  return conditionsOf(walk, record.house, { stretch, minutes })
}

const floorHour = (at: number): number => Math.floor(at / HOUR_MS) * HOUR_MS

/** A rule and a study can see the same: the first speaks. */
function unlike(conditions: readonly Condition[]): Condition[] {
  const byKey = new Map<string, Condition>()
  for (const condition of conditions) if (!byKey.has(keyOf(condition))) byKey.set(keyOf(condition), condition)
  return [...byKey.values()]
}
