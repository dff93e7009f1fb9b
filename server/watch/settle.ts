/**
 * What becomes of the notices of a house: what holds now and what ended, held against the notices that are open. Whether
 * somebody is written to about a change is decided here, by urgency, budget, snoozing and the age of the readings.
 */
import type { Thresholds } from '../advice/defaults.ts'
import { bodyOf, type Condition, type Ended, keyOf, moreUrgent } from './condition.ts'
import type { Audience, KeptBody, Notice, Quiet, Transition, Urgency } from './types.ts'

type Limits = Pick<
  Thresholds,
  | 'updateFirstHours'
  | 'updateSecondHours'
  | 'updateEveryDays'
  | 'updateOwnerDays'
  | 'ownerLettersPerMonth'
  | 'oldReadingsHours'
  | 'forgottenDays'
>

export type SettledNotice = Pick<
  Notice,
  | 'id'
  | 'watch'
  | 'cause'
  | 'urgency'
  | 'sinceAt'
  | 'openedAt'
  | 'updatedAt'
  | 'acknowledgedAt'
  | 'snoozedUntil'
  | 'clearedAt'
  | 'body'
>

export interface Settling {
  now: number
  held: Limits
  conditions: readonly Condition[]
  /** In the hours that were gone along. */
  ended: readonly Ended[]
  /** Open ones, and those over no earlier than these hours. */
  notices: readonly SettledNotice[]
  /** When the owner was told of what was not urgent, in the last 30 days. */
  ownerToldAt: readonly number[]
}

export interface Settled {
  transitions: (Transition & { kept: KeptBody })[]
  /** What late readings, or fresher numbers, put right without a change to tell of. */
  refreshed: { noticeId: number; sinceAt: number; kept: KeptBody }[]
}

const HOUR_MS = 3_600_000
const DAY_MS = 24 * HOUR_MS
const MONTH_MS = 30 * DAY_MS

export function settle({ now, held, conditions, ended, notices, ownerToldAt }: Settling): Settled {
  const out: Settled = { transitions: [], refreshed: [] }
  const budget = createBudget(ownerToldAt, now, held)
  const open = new Map(notices.filter(({ clearedAt }) => clearedAt === null).map((one) => [keyOf(one), one]))
  const forgotten = ({ seenAt }: Condition) => now - seenAt > held.forgottenDays * DAY_MS
  const holding = new Map(conditions.filter((one) => !forgotten(one)).map((one) => [keyOf(one), one]))

  for (const one of ended) {
    const known = notices.filter((notice) => isOf(notice, one))
    if (known.length === 0) out.transitions.push(...tooLate(one, now))
    const over = known.length === 1 ? known[0]! : undefined
    if (over?.clearedAt == null || (over.sinceAt === one.since && over.body.overAt === one.until)) continue
    out.refreshed.push({ noticeId: over.id, sinceAt: one.since, kept: { ...over.body, overAt: one.until } })
  }
  for (const [key, notice] of open) {
    const condition = holding.get(key)
    const own = ended.findLast((one) => isOf(notice, one))
    if (condition === undefined) out.transitions.push(cleared(notice, own, conditions, now, budget))
    else if (own === undefined || condition.since <= own.until) follow(notice, condition, { now, held, budget }, out)
    else out.transitions.push(...pausedUnseen(notice, own, condition, now))
  }
  for (const [key, condition] of holding) {
    if (!open.has(key)) out.transitions.push(opened(condition, { now, held, budget }))
  }
  return out
}

/** They are about the same thing in the same time. */
const isOf = (notice: SettledNotice, one: Ended): boolean =>
  keyOf(notice) === keyOf(one) &&
  notice.sinceAt <= one.until &&
  (notice.clearedAt === null || (notice.body.overAt ?? notice.clearedAt) >= one.since)

/** Over, and there again before anybody saw that it was over: two notices, and those who were told know already. */
function pausedUnseen(notice: SettledNotice, own: Ended, condition: Condition, now: number): Settled['transitions'] {
  const { id, watch, cause, urgency, sinceAt, body } = notice
  const quiet = 'over before it was seen' as const
  const { told, ownerToldAt, overAt: _over, ...said } = body
  const over = own.until
  return [
    {
      noticeId: id,
      watch,
      cause,
      at: now,
      change: 'cleared',
      body: { ...said, urgency, sinceAt, tell: [], quiet, overAt: over },
      kept: { ...body, overAt: over },
    },
    {
      watch,
      cause,
      at: now,
      change: 'opened',
      body: { ...bodyOf(condition), urgency: condition.urgency, sinceAt: condition.since, tell: [], quiet },
      kept: { ...bodyOf(condition), told, ownerToldAt, overAt: null },
    },
  ]
}

/** Of letters to an owner that are not urgent. */
interface Budget {
  /** Those who may be written to; asking counts. */
  spend(audience: readonly Audience[], urgency: Urgency): Audience[]
}

function createBudget(toldAt: readonly number[], now: number, held: Limits): Budget {
  let left = held.ownerLettersPerMonth - toldAt.filter((at) => now - at < MONTH_MS).length
  return {
    spend(audience, urgency) {
      if (urgency === 'note') return []
      if (urgency === 'urgent' || !audience.includes('owner')) return [...audience]
      if (left <= 0) return audience.filter((one) => one !== 'owner')
      left--
      return [...audience]
    },
  }
}

interface Means {
  now: number
  held: Limits
  budget: Budget
}

/** It began and was over before anybody saw it: kept for the history, and no letter. */
function tooLate(one: Ended, now: number): Settled['transitions'] {
  const kept: KeptBody = { ...bodyOf(one), told: [], ownerToldAt: null, overAt: one.until }
  const { watch, cause, urgency, since } = one
  const body = { ...bodyOf(one), urgency, sinceAt: since, tell: [], quiet: 'over before it was seen' as const }
  return [
    { watch, cause, at: now, change: 'opened', body, kept },
    { watch, cause, at: now, change: 'cleared', body: { ...body, overAt: one.until }, kept },
  ]
}

const tooOld = (condition: Condition, { now, held }: Means): boolean =>
  now - condition.seenAt > held.oldReadingsHours * HOUR_MS

function opened(condition: Condition, means: Means): Settled['transitions'][number] {
  const old = tooOld(condition, means)
  const tell = old ? [] : means.budget.spend(condition.audience, condition.urgency)
  return change('opened', condition, { tell, quiet: old ? 'old readings' : null, before: null, now: means.now })
}

/** Silence is told to an owner once: there is nothing for them to do about it, and their page says it as long as it lasts. */
function ownerIsDue({ watch, urgency, body: { ownerToldAt } }: SettledNotice, { now, held }: Means): boolean {
  if (urgency === 'urgent' || ownerToldAt === null) return true
  return watch !== 'silent' && now - ownerToldAt >= held.updateOwnerDays * DAY_MS
}

function follow(notice: SettledNotice, condition: Condition, means: Means, out: Settled): void {
  const { now, held, budget } = means
  const snoozed = notice.snoozedUntil !== null && notice.snoozedUntil > now
  const { body: before, urgency } = notice
  const push = (kind: 'updated' | 'more urgent' | 'less urgent', tell: Audience[], quiet: Quiet | null) =>
    out.transitions.push(change(kind, condition, { tell, quiet, before: notice, now }))
  const old = tooOld(condition, means)
  if (moreUrgent(condition.urgency, urgency)) {
    return void push(
      'more urgent',
      old ? [] : budget.spend(condition.audience, condition.urgency),
      old ? 'old readings' : null,
    )
  }
  if (moreUrgent(urgency, condition.urgency)) return void push('less urgent', [], null)
  if (!snoozed && !old) {
    const untold = condition.audience.filter((audience) => !before.told.includes(audience))
    const late = budget.spend(untold, urgency)
    if (late.length > 0) return void push('updated', late, null)
  }
  if (condition.seenAt > notice.updatedAt && now >= nextUpdateAt(notice, held)) {
    if (snoozed) return void push('updated', [], 'snoozed')
    const audience = condition.audience.filter((one) => one !== 'owner' || ownerIsDue(notice, means))
    return void push('updated', budget.spend(audience, urgency), null)
  }
  const kept = { ...before, ...bodyOf(condition) }
  if (condition.since === notice.sinceAt && JSON.stringify(kept) === JSON.stringify(before)) return
  out.refreshed.push({ noticeId: notice.id, sinceAt: condition.since, kept })
}

/** Urgent: after a day, after three, then weekly. Else weekly, and every four weeks once somebody has acknowledged it. */
export function nextUpdateAt(
  {
    urgency,
    openedAt,
    updatedAt,
    acknowledgedAt,
  }: Pick<SettledNotice, 'urgency' | 'openedAt' | 'updatedAt' | 'acknowledgedAt'>,
  held: Limits,
): number {
  const every = (acknowledgedAt === null ? held.updateEveryDays : held.updateOwnerDays) * DAY_MS
  const [first, second] = [held.updateFirstHours * HOUR_MS, held.updateSecondHours * HOUR_MS]
  const begins = urgency === 'urgent' && acknowledgedAt === null ? [first, second] : []
  const base = begins.at(-1) ?? 0
  const passed = updatedAt - openedAt
  const early = begins.find((after) => after > passed)
  return openedAt + (early ?? base + (Math.floor(Math.max(0, passed - base) / every) + 1) * every)
}

function cleared(
  notice: SettledNotice,
  own: Ended | undefined,
  conditions: readonly Condition[],
  now: number,
  budget: Budget,
): Settled['transitions'][number] {
  const { id, watch, cause, urgency, sinceAt, body: before, snoozedUntil } = notice
  const forgotten = conditions.some((one) => keyOf(one) === keyOf(notice))
  const snoozed = snoozedUntil !== null && snoozedUntil > now
  const quiet: Quiet | null = forgotten ? 'no readings any more' : snoozed ? 'snoozed' : null
  const tell = quiet === null ? budget.spend(before.told, urgency) : []
  const overAt = own?.until ?? now
  const kept: KeptBody = { ...before, overAt }
  const { told: _told, ownerToldAt: _at, overAt: _over, ...said } = before
  const body = { ...said, urgency, sinceAt, tell, quiet, overAt }
  return { noticeId: id, watch, cause, at: now, change: 'cleared', body, kept }
}

function change(
  kind: 'opened' | 'updated' | 'more urgent' | 'less urgent',
  condition: Condition,
  { tell, quiet, before, now }: { tell: Audience[]; quiet: Quiet | null; before: SettledNotice | null; now: number },
): Settled['transitions'][number] {
  const { watch, cause, urgency } = condition
  const sinceAt = condition.since
  const told = [...new Set([...(before?.body.told ?? []), ...tell])]
  const kept: KeptBody = {
    ...bodyOf(condition),
    told,
    ownerToldAt: tell.includes('owner') ? now : (before?.body.ownerToldAt ?? null),
    overAt: null,
  }
  return {
    ...(before !== null && { noticeId: before.id }),
    watch,
    cause,
    at: now,
    change: kind,
    body: { ...bodyOf(condition), urgency, sinceAt, tell, quiet },
    kept,
  }
}
