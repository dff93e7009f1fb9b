/** What the watch keeps between two looks at a house, and the one transaction that ends a look. */
import type { Database } from './open.ts'
import type { NOTICE_CHANGES, Urgency } from './schema.ts'
import { inTransaction, statement } from './unitsOfWork.ts'

export interface WatchStateRow {
  lookedAt: number
  version: number
  state: unknown
}

export async function readWatchState(db: Database, houseId: number): Promise<WatchStateRow | undefined> {
  const row = statement(
    db,
    'select looked_at as lookedAt, version, state from watch_states where house_id = cast(? as integer)',
  ).get(houseId) as (WatchStateRow & { state: string }) | undefined
  return row && { ...row, state: JSON.parse(row.state) }
}

/** Who looks on behalf of nobody. */
const THE_WATCH = 'the watch'

export interface StoredTransition {
  /** undefined: a new notice. */
  noticeId?: number
  watch: string
  cause: string
  at: number
  change: (typeof NOTICE_CHANGES)[number]
  /** As it reads in the history, and as it is kept with the notice; one that was over before it was seen opens closed. */
  body: { urgency: Urgency; sinceAt: number }
  kept: { overAt: number | null }
}

export interface Look {
  at: number
  version: number
  /** null: as it was. */
  state: unknown
  /** What the look answers for; null when nothing was due. */
  marks: number | null
  transitions: readonly StoredTransition[]
  /** Bodies of open notices that read otherwise now, without a change to tell of. */
  refreshed: readonly { noticeId: number; sinceAt: number; kept: unknown }[]
}

/** State, notices and their history at once: after a crash the look was made, or was not. */
export async function storeLook(db: Database, houseId: number, look: Look): Promise<void> {
  inTransaction(db, () => {
    const opened = new Map<string, number>()
    for (const transition of look.transitions) {
      const key = `${transition.watch}|${transition.cause}`
      const id = transition.noticeId ?? opened.get(key) ?? openNotice(db, houseId, transition)
      if (transition.change === 'cleared') opened.delete(key)
      else opened.set(key, id)
      changeNotice(db, id, transition)
    }
    for (const { noticeId, sinceAt, kept } of look.refreshed) {
      statement(db, 'update notices set since_at = ?, body = ? where id = ?').run(
        sinceAt,
        JSON.stringify(kept),
        noticeId,
      )
    }
    const stateText = look.state === null ? null : JSON.stringify(look.state)
    statement(
      db,
      `insert into watch_states (house_id, looked_at, version, state) values (@houseId, @at, @version, coalesce(@state, '{}'))
       on conflict (house_id) do update set looked_at = @at, version = @version, state = coalesce(@state, state)`,
    ).run({ houseId, at: look.at, version: look.version, state: stateText } as never)
    if (look.marks !== null) {
      statement(db, 'delete from watch_due where house_id = ? and marks = ?').run(houseId, look.marks)
    }
  })
}

function openNotice(db: Database, houseId: number, { watch, cause, at, body, kept }: StoredTransition): number {
  return statement(
    db,
    `insert into notices (house_id, watch, cause, urgency, since_at, opened_at, updated_at, cleared_at, body)
     values (?, ?, ?, ?, ?, ?, ?, ?, ?) returning id`,
  )
    .pluck()
    .get(
      houseId,
      watch,
      cause,
      body.urgency,
      body.sinceAt,
      at,
      at,
      kept.overAt === null ? null : at,
      JSON.stringify(kept),
    ) as number
}

/** Who acknowledged or snoozed it did not know that it would become more urgent: that is to be answered anew. */
function changeNotice(db: Database, id: number, { at, change, body, kept }: StoredTransition): void {
  if (change === 'more urgent') {
    statement(
      db,
      `update notices set acknowledged_at = null, acknowledged_by = null, snoozed_until = null, escalated_at = null
       where id = ?`,
    ).run(id)
  }
  statement(
    db,
    `update notices set urgency = @urgency, since_at = @sinceAt, updated_at = @at, body = @kept,
       cleared_at = iif(@over, @at, null) where id = @id`,
  ).run({
    id,
    at,
    urgency: body.urgency,
    sinceAt: body.sinceAt,
    over: kept.overAt === null ? 0 : 1,
    kept: JSON.stringify(kept),
  } as never)
  statement(db, 'insert into notice_changes (notice_id, at, change, who, body) values (?, ?, ?, ?, ?)').run(
    id,
    at,
    change,
    THE_WATCH,
    JSON.stringify(body),
  )
}
