/** The queue's rows. A running job is held by whoever took its latest attempt; an older holder's word no longer counts. */

import type { Database } from './open.ts'
import type { JOB_STATES } from './schema.ts'
import { inTransaction, statement } from './unitsOfWork.ts'

export type JobState = (typeof JOB_STATES)[number]

export interface Job {
  id: number
  kind: string
  houseId: number | null
  args: unknown
  state: JobState
  done: number
  total: number | null
  /** What it is doing, or the sentence that says why it failed. */
  message: string
  cancelRequested: boolean
  attempts: number
  result: unknown
  createdAt: number
  startedAt: number | null
  heardAt: number | null
  finishedAt: number | null
}

/** Which attempt of which job: only the latest may write. */
export interface Hold {
  id: number
  attempts: number
}

export async function addJob(
  db: Database,
  job: { kind: string; houseId: number | null; args: unknown; createdAt: number },
): Promise<number> {
  return inTransaction(db, () =>
    Number(
      statement(db, `insert into jobs (kind, house_id, args, state, created_at) values (?, ?, ?, 'waiting', ?)`).run(
        job.kind,
        job.houseId,
        JSON.stringify(job.args),
        job.createdAt,
      ).lastInsertRowid,
    ),
  )
}

export async function findJob(db: Database, id: number): Promise<Job | null> {
  const row = statement(db, 'select * from jobs where id = ?').get(id)
  return row === undefined ? null : toJob(row)
}

/** Newest first. */
export async function findJobs(db: Database, limit: number): Promise<Job[]> {
  return statement(db, 'select * from jobs order by id desc limit cast(? as integer)').all(limit).map(toJob)
}

/**
 * Takes the oldest job that waits, or that runs without a sign of life since `silentSince`: its program was stopped.
 * One statement, so two programs on one database never take the same job.
 */
export async function takeJob(
  db: Database,
  kinds: readonly string[],
  at: number,
  silentSince: number,
): Promise<Job | null> {
  const row = inTransaction(db, () =>
    statement(
      db,
      `update jobs set state = 'running', attempts = attempts + 1, heard_at = ?, started_at = coalesce(started_at, ?)
       where id = (select id from jobs where kind in (select value from json_each(?))
                   and (state = 'waiting' or (state = 'running' and heard_at < ?)) order by id limit 1)
       returning *`,
    ).get(at, at, JSON.stringify(kinds), silentSince),
  )
  return row === undefined ? null : toJob(row)
}

/** A sign of life, with progress. Answers whether the job is still this holder's, and whether it should stop. */
export async function hearJob(
  db: Database,
  hold: Hold,
  at: number,
  progress: { done: number; total: number | null; message: string } | null,
): Promise<{ held: boolean; cancelRequested: boolean }> {
  return inTransaction(db, () => {
    const row = (
      progress === null
        ? statement(db, `update jobs set heard_at = ? where ${HELD} returning cancel_requested`).get(
            at,
            hold.id,
            hold.attempts,
          )
        : statement(
            db,
            `update jobs set heard_at = ?, done = ?, total = ?, message = ? where ${HELD} returning cancel_requested`,
          ).get(at, progress.done, progress.total, progress.message, hold.id, hold.attempts)
    ) as { cancel_requested: number } | undefined
    return { held: row !== undefined, cancelRequested: row?.cancel_requested === 1 }
  })
}

export async function finishJob(
  db: Database,
  hold: Hold,
  end: { state: 'done' | 'failed' | 'canceled'; message: string; result: unknown; at: number },
): Promise<void> {
  inTransaction(db, () =>
    statement(
      db,
      `update jobs set state = ?, message = ?, result = ?, heard_at = ?, finished_at = ? where ${HELD}`,
    ).run(end.state, end.message, JSON.stringify(end.result ?? null), end.at, end.at, hold.id, hold.attempts),
  )
}

/** Gives a job back when the program is asked to stop; that attempt does not count. */
export async function returnJob(db: Database, hold: Hold): Promise<void> {
  inTransaction(db, () =>
    statement(db, `update jobs set state = 'waiting', attempts = attempts - 1, heard_at = null where ${HELD}`).run(
      hold.id,
      hold.attempts,
    ),
  )
}

/** A waiting job is canceled at once; a running one is asked to stop. Returns false when it had ended already. */
export async function cancelJob(db: Database, id: number, at: number): Promise<boolean> {
  return inTransaction(db, () => {
    const waiting = statement(
      db,
      `update jobs set state = 'canceled', cancel_requested = 1, message = 'Canceled before it began.', finished_at = ?
       where id = ? and state = 'waiting'`,
    ).run(at, id).changes
    const running = statement(db, `update jobs set cancel_requested = 1 where id = ? and state = 'running'`).run(id)
    return waiting + running.changes > 0
  })
}

const HELD = `id = ? and attempts = ? and state = 'running'`

function toJob(row: unknown): Job {
  const r = row as Record<string, string | number | null>
  return {
    id: r.id as number,
    kind: r.kind as string,
    houseId: r.house_id as number | null,
    args: JSON.parse(r.args as string),
    state: r.state as JobState,
    done: r.done as number,
    total: r.total as number | null,
    message: r.message as string,
    cancelRequested: r.cancel_requested === 1,
    attempts: r.attempts as number,
    result: JSON.parse((r.result as string | null) ?? 'null'),
    createdAt: r.created_at as number,
    startedAt: r.started_at as number | null,
    heardAt: r.heard_at as number | null,
    finishedAt: r.finished_at as number | null,
  }
}

/** Jobs that wait or run. */
export const countOpenJobs = (db: Database): number =>
  statement(db, "select count(*) from jobs where state in ('waiting', 'running')").pluck().get() as number
