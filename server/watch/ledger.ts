/** Notices kept in memory, changed as the store would change them: for replaying, and for the tests of the engine. */
import type { Settled, SettledNotice } from './settle.ts'
import type { ChangeBody, NoticeChangeKind } from './types.ts'

export interface LedgerNotice extends SettledNotice {
  changes: { at: number; change: NoticeChangeKind; body: ChangeBody }[]
}

export function takeDown(notices: LedgerNotice[], { transitions, refreshed }: Settled): void {
  for (const { noticeId, watch, cause, at, change, body, kept } of transitions) {
    let notice = notices.find(({ id }) => id === noticeId)
    // What began and ended unseen comes as two changes of one notice.
    if (notice === undefined && change === 'cleared') notice = notices.at(-1)
    if (notice === undefined) {
      const opened = { id: notices.length + 1, watch, cause, openedAt: at, acknowledgedAt: null, snoozedUntil: null }
      const now = { urgency: body.urgency, sinceAt: body.sinceAt, updatedAt: at, clearedAt: null, body: kept }
      notices.push((notice = { ...opened, ...now, changes: [] }))
    }
    if (change === 'more urgent') notice.acknowledgedAt = notice.snoozedUntil = null
    notice.urgency = body.urgency
    notice.sinceAt = body.sinceAt
    notice.updatedAt = at
    notice.clearedAt = kept.overAt === null ? null : at
    notice.body = kept
    notice.changes.push({ at, change, body })
  }
  for (const { noticeId, sinceAt, kept } of refreshed) {
    Object.assign(notices.find(({ id }) => id === noticeId)!, { sinceAt, body: kept })
  }
}

/** When the owner was to be written to about what was not urgent. */
export const ownerToldIn = (notices: readonly LedgerNotice[]): number[] =>
  notices.flatMap(({ changes }) =>
    changes.flatMap(({ at, body }) => (body.tell.includes('owner') && body.urgency !== 'urgent' ? [at] : [])),
  )
