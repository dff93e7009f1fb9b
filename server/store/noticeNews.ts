/** Changes of notices on their way into letters: each is taken up once, together with the letters it made. */
import { insertLetter, type NewLetter } from './letters.ts'
import type { Database } from './open.ts'
import type { NOTICE_CHANGES, Urgency } from './schema.ts'
import { putServiceFact } from './serviceFacts.ts'
import { inTransaction, statement } from './unitsOfWork.ts'

export interface NoticeNews {
  changeId: number
  noticeId: number
  at: number
  change: (typeof NOTICE_CHANGES)[number]
  /** As the watch wrote it; null for what people did. */
  body: unknown
  watch: string
  urgency: Urgency
  sinceAt: number
  house: { id: number; key: string; name: string; timeZone: string; invented: boolean }
}

const TAKEN_UP = 'letters took up changes to'

const NEWS = `select c.id as changeId, c.notice_id as noticeId, c.at, c.change, c.body, n.watch, n.urgency,
    n.since_at as sinceAt, h.id, h.key, h.name, h.time_zone as timeZone, h.invented
  from notice_changes c join notices n on n.id = c.notice_id join houses h on h.id = n.house_id`

/** Not yet taken up, oldest first. */
export async function findNoticeNews(db: Database, most: number): Promise<NoticeNews[]> {
  return statement(
    db,
    `${NEWS} where c.id > coalesce((select cast(value as integer) from service_facts where name = ?), 0)
     order by c.id limit cast(? as integer)`,
  )
    .all(TAKEN_UP, most)
    .map(toNews)
}

/** Changes that were taken up and wait to be told, oldest first; those of houses that are gone are left out. */
export async function findNoticeChanges(db: Database, changeIds: readonly number[]): Promise<NoticeNews[]> {
  return statement(db, `${NEWS} where c.id in (select value from json_each(?)) order by c.id`)
    .all(JSON.stringify(changeIds))
    .map(toNews)
}

function toNews(row: unknown): NoticeNews {
  const { id, key, name, timeZone, invented, body, ...rest } = row as Omit<NoticeNews, 'house' | 'body'> &
    Omit<NoticeNews['house'], 'invented'> & { body: string | null; invented: number }
  return {
    ...rest,
    body: body === null ? null : JSON.parse(body),
    house: { id, key, name, timeZone, invented: invented === 1 },
  }
}

/** All or nothing: a change without its letters would be lost, letters without it would be made twice. */
export async function takeUpNews(
  db: Database,
  upTo: number,
  letters: readonly NewLetter[],
  gathered: ReadonlyMap<number, unknown>,
): Promise<void> {
  inTransaction(db, () => {
    for (const letter of letters) insertLetter(db, letter)
    keepGathered(db, gathered)
    putServiceFact(db, TAKEN_UP, String(upTo))
  })
}

/** What was gathered is told, both or neither. */
export async function tellGathered(
  db: Database,
  letters: readonly NewLetter[],
  gathered: ReadonlyMap<number, unknown>,
): Promise<void> {
  inTransaction(db, () => {
    for (const letter of letters) insertLetter(db, letter)
    keepGathered(db, gathered)
  })
}

const GATHERED = 'letters gathered for '

/** What waits to be told together, by person. */
export async function readGathered(db: Database): Promise<Map<number, unknown>> {
  const rows = statement(
    db,
    'select name, value from service_facts where substr(name, 1, length(:start)) = :start',
  ).all({ start: GATHERED }) as { name: string; value: string }[]
  return new Map(rows.map(({ name, value }) => [Number(name.slice(GATHERED.length)), JSON.parse(value)]))
}

function keepGathered(db: Database, gathered: ReadonlyMap<number, unknown>): void {
  for (const [personId, value] of gathered) putServiceFact(db, GATHERED + personId, JSON.stringify(value))
}

/**
 * Marks notices that somebody was told of before `openedBefore` and that nobody has acknowledged, once each, as a change
 * that carries what was told last.
 * @returns how many
 */
export async function escalateUnanswered(
  db: Database,
  { openedBefore, at }: { openedBefore: number; at: number },
): Promise<number> {
  return inTransaction(db, () => {
    const due = statement(
      db,
      `select n.id, (select body from notice_changes c where c.notice_id = n.id and c.body is not null
         and json_array_length(c.body, '$.tell') > 0 order by c.id desc limit 1) as body
       from notices n where n.cleared_at is null and n.acknowledged_at is null and n.escalated_at is null
         and n.urgency <> 'note' and coalesce(n.snoozed_until, 0) < @at
         and (select max(at) from notice_changes c where c.notice_id = n.id
           and c.change in ('opened', 'more urgent')) < @openedBefore`,
    )
      .all({ openedBefore, at })
      .filter((row) => (row as { body: string | null }).body !== null) as { id: number; body: string }[]
    for (const { id, body } of due) {
      statement(db, 'update notices set escalated_at = ?, updated_at = ? where id = ?').run(at, at, id)
      statement(
        db,
        `insert into notice_changes (notice_id, at, change, who, body) values (?, ?, 'escalated', 'the service', ?)`,
      ).run(id, at, body)
    }
    return due.length
  })
}

/** Who was ever written to about which notice. */
export async function noticesWrittenTo(db: Database, personId: number, houseId: number): Promise<Set<number>> {
  return new Set(
    statement(
      db,
      `select distinct notice_id from letters where person_id = ? and house_id = ? and notice_id is not null
       and state <> 'not wanted'`,
    )
      .pluck()
      .all(personId, houseId) as number[],
  )
}
