/** Notices of a house as people ask for them, and what they do with them. */
import { findHouse } from '../store/houses.ts'
import { acknowledgeNotice, findNotice, listNotices, readNoticeChanges, snoozeNotice } from '../store/notices.ts'
import type { Database } from '../store/open.ts'
import { concernsOwner } from './ownerNotices.ts'
import type { Audience, Notice, NoticeChange, NoticeWithChanges } from './types.ts'

const MOST_NOTICES = 200

export interface NoticeDesk {
  /** Open ones first, then the latest that are over; undefined when there is no such house. */
  list(houseKey: string, reader: Audience): Promise<NoticeWithChanges[] | undefined>
  acknowledge(id: number, reader: Audience, who: string): Promise<Acted>
  snooze(id: number, reader: Audience, until: number, who: string): Promise<Acted>
}

/** What does not concern the reader is not there. */
export type Acted = 'done' | 'over' | 'not there'

/** An owner is not shown what concerns the contractor alone. */
const concerns = ({ body }: Pick<Notice, 'body'>, reader: Audience): boolean =>
  reader === 'contractor' || concernsOwner(body)

export function createNoticeDesk(db: Database, now: () => number): NoticeDesk {
  async function actOn(id: number, reader: Audience, act: () => Promise<boolean>): Promise<Acted> {
    const row = await findNotice(db, id)
    if (row === undefined || !concerns(row as unknown as Notice, reader)) return 'not there'
    return (await act()) ? 'done' : 'over'
  }
  return {
    async list(houseKey, reader) {
      const house = await findHouse(db, houseKey)
      if (house === undefined) return undefined
      const notices = (await listNotices(db, house.id, MOST_NOTICES, reader)) as unknown as Notice[]
      const changes = (await readNoticeChanges(
        db,
        notices.map(({ id }) => id),
      )) as NoticeChange[]
      return notices.map((notice) => ({ ...notice, changes: changes.filter(({ noticeId }) => noticeId === notice.id) }))
    },
    acknowledge: (id, reader, who) => actOn(id, reader, () => acknowledgeNotice(db, id, { who, now: now() })),
    snooze: (id, reader, until, who) => actOn(id, reader, () => snoozeNotice(db, id, { until, who, now: now() })),
  }
}
