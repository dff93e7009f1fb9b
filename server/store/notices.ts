/** Notices of a house with their history, and what people do with them. Bodies are the watch's own (watch/types.ts). */
import type { Database } from './open.ts'
import type { NOTICE_CHANGES, Urgency } from './schema.ts'
import { inTransaction, statement } from './unitsOfWork.ts'

export interface NoticeRow {
  id: number
  houseId: number
  watch: string
  /** What within the house it is about: a path of a space, a spot or a station; empty for the house. One open of each. */
  cause: string
  urgency: Urgency
  /** When the readings say that it began, and when it was raised. */
  sinceAt: number
  openedAt: number
  updatedAt: number
  acknowledgedAt: number | null
  acknowledgedBy: string | null
  snoozedUntil: number | null
  escalatedAt: number | null
  clearedAt: number | null
  body: unknown
}

export interface NoticeChangeRow {
  id: number
  noticeId: number
  at: number
  change: (typeof NOTICE_CHANGES)[number]
  who: string
  body: unknown
}

const COLUMNS = `n.id, n.house_id as houseId, n.watch, n.cause, n.urgency, n.since_at as sinceAt, n.opened_at as openedAt,
  n.updated_at as updatedAt, n.acknowledged_at as acknowledgedAt, n.acknowledged_by as acknowledgedBy,
  n.snoozed_until as snoozedUntil, n.escalated_at as escalatedAt, n.cleared_at as clearedAt, n.body`
const CHANGES = 'id, notice_id as noticeId, at, change, who, body'

const toNotice = (row: unknown): NoticeRow => ({
  ...(row as NoticeRow),
  body: JSON.parse((row as { body: string }).body),
})
const toChange = (row: unknown): NoticeChangeRow => {
  const { body } = row as { body: string | null }
  return { ...(row as NoticeChangeRow), body: body === null ? null : JSON.parse(body) }
}

/** Open ones of one house, or of all. */
export async function findOpenNotices(db: Database, houseId?: number): Promise<NoticeRow[]> {
  const ofOne = houseId === undefined ? '' : 'and house_id = ?'
  // "+id" is sorted: by "id" itself SQLite would go along all notices there ever were to find the few that are open.
  return statement(db, `select ${COLUMNS} from notices n where cleared_at is null ${ofOne} order by +id`)
    .all(...(houseId === undefined ? [] : [houseId]))
    .map(toNotice)
}

/** Those a look at the hours from an instant on may touch: open, or over no earlier than that. */
export async function findNoticesSince(db: Database, houseId: number, from: number): Promise<NoticeRow[]> {
  return statement(
    db,
    `select ${COLUMNS} from notices n where house_id = cast(? as integer)
     and (cleared_at is null or coalesce(json_extract(body, '$.overAt'), cleared_at) >= ?) order by id`,
  )
    .all(houseId, from)
    .map(toNotice)
}

/** The latest of a house, open ones first; for an owner those that concern, or were told to, an owner. */
export async function listNotices(
  db: Database,
  houseId: number,
  most: number,
  reader: 'owner' | 'contractor' = 'contractor',
): Promise<NoticeRow[]> {
  return statement(
    db,
    `select ${COLUMNS} from notices n where house_id = cast(? as integer)
     and (? = 'contractor' or exists (select 1 from json_each(body, '$.audience') where value = 'owner')
       or exists (select 1 from json_each(body, '$.told') where value = 'owner'))
     order by cleared_at is not null, coalesce(cleared_at, opened_at) desc, id desc limit ?`,
  )
    .all(houseId, reader, most)
    .map(toNotice)
}

/** The notice, and the key of its house. */
export async function findNotice(db: Database, id: number): Promise<(NoticeRow & { houseKey: string }) | undefined> {
  const row = statement(
    db,
    `select ${COLUMNS}, h.key as houseKey from notices n join houses h on h.id = n.house_id where n.id = cast(? as integer)`,
  ).get(id)
  return row === undefined ? undefined : { ...toNotice(row), houseKey: (row as { houseKey: string }).houseKey }
}

/** Oldest first. */
export async function readNoticeChanges(db: Database, noticeIds: readonly number[]): Promise<NoticeChangeRow[]> {
  return statement(
    db,
    `select ${CHANGES} from notice_changes where notice_id in (select value from json_each(?)) order by id`,
  )
    .all(JSON.stringify(noticeIds))
    .map(toChange)
}

/**
 * When the owner of a house was to be written to since an instant about what was not urgent. That nobody answered is told
 * to the firm; the change repeats what was said before.
 */
export async function findOwnerTold(db: Database, houseId: number, since: number): Promise<number[]> {
  return statement(
    db,
    `select c.at from notice_changes c join notices n on n.id = c.notice_id
     where n.house_id = cast(? as integer) and c.at >= ? and c.change <> 'escalated' and json_extract(c.body, '$.urgency') <> 'urgent'
     and exists (select 1 from json_each(c.body, '$.tell') where value = 'owner') order by c.at`,
  )
    .pluck()
    .all(houseId, since) as number[]
}

/** False when it is over, or there is none. Twice is once. */
export async function acknowledgeNotice(
  db: Database,
  id: number,
  { who, now }: { who: string; now: number },
): Promise<boolean> {
  return inTransaction(db, () => {
    const open = openNotice(db, id)
    if (open === undefined) return false
    if (open.acknowledgedAt !== null) return true
    statement(db, 'update notices set acknowledged_at = ?, acknowledged_by = ? where id = ?').run(now, who, id)
    note(db, id, { at: now, change: 'acknowledged', who })
    return true
  })
}

/** Nothing is written about it until then, unless it becomes more urgent. False when it is over, or there is none. */
export async function snoozeNotice(
  db: Database,
  id: number,
  { until, who, now }: { until: number; who: string; now: number },
): Promise<boolean> {
  return inTransaction(db, () => {
    if (openNotice(db, id) === undefined) return false
    statement(db, 'update notices set snoozed_until = ? where id = ?').run(until, id)
    note(db, id, { at: now, change: 'snoozed', who, body: { until } })
    return true
  })
}

const openNotice = (db: Database, id: number) =>
  statement(
    db,
    `select acknowledged_at as acknowledgedAt from notices
     where id = cast(? as integer) and cleared_at is null`,
  ).get(id) as Pick<NoticeRow, 'acknowledgedAt'> | undefined

function note(
  db: Database,
  noticeId: number,
  { at, change, who, body }: { at: number; change: NoticeChangeRow['change']; who: string; body?: unknown },
): void {
  statement(db, 'insert into notice_changes (notice_id, at, change, who, body) values (?, ?, ?, ?, ?)').run(
    noticeId,
    at,
    change,
    who,
    body === undefined ? null : JSON.stringify(body),
  )
}
