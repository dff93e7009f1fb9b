/** Notices of a house as people ask for them, and what they do with them. */
import { findHouse } from '../store/houses.ts'
import { acknowledgeNotice, findNotice, listNotices, readNoticeChanges, snoozeNotice } from '../store/notices.ts'
import type { Database } from '../store/open.ts'
import type { Audience, Notice, NoticeChange, NoticeWithChanges } from './types.ts'

const MOST_NOTICES = 200

export interface NoticeDesk {
  /** Open ones first, then the latest that are over; undefined when there is no such house. */
  list(houseKey: string, reader: Audience): Promise<NoticeWithChanges[] | undefined>
  /** False when it is over, or none that concerns the reader. */
  acknowledge(id: number, reader: Audience, who: string): Promise<boolean>
  snooze(id: number, reader: Audience, until: number, who: string): Promise<boolean>
}

/** An owner is not shown what concerns the contractor alone. */
const concerns = ({ body }: Pick<Notice, 'body'>, reader: Audience): boolean =>
  reader === 'contractor' || body.audience.includes('owner') || body.told.includes('owner')

export function createNoticeDesk(db: Database, now: () => number): NoticeDesk {
  async function isFor(id: number, reader: Audience): Promise<boolean> {
    const row = await findNotice(db, id)
    return row !== undefined && concerns(row as unknown as Notice, reader)
  }
  return {
    async list(houseKey, reader) {
      const house = await findHouse(db, houseKey)
      if (house === undefined) return undefined
      const notices = ((await listNotices(db, house.id, MOST_NOTICES)) as unknown as Notice[]).filter((notice) =>
        concerns(notice, reader),
      )
      const changes = (await readNoticeChanges(
        db,
        notices.map(({ id }) => id),
      )) as NoticeChange[]
      return notices.map((notice) => ({ ...notice, changes: changes.filter(({ noticeId }) => noticeId === notice.id) }))
    },
    acknowledge: async (id, reader, who) => (await isFor(id, reader)) && acknowledgeNotice(db, id, { who, now: now() }),
    snooze: async (id, reader, until, who) =>
      (await isFor(id, reader)) && snoozeNotice(db, id, { until, who, now: now() }),
  }
}
