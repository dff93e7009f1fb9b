/** Findings kept until their inputs change: rows of one house and question carry the fingerprint they were made from. */
import type { Database } from './open.ts'
import { inTransaction, statement } from './unitsOfWork.ts'

export interface FindingRow {
  question: string
  fingerprint: string
  body: unknown
  computedAt: number
}

/** Made on their own, in seconds or minutes, with a fingerprint of their own: what is done to all findings leaves them alone. */
const APART = "'moisture balance', 'moisture balance by day', 'risk by day'"

/** Findings of a house in their order, of one question, or of all that are made together. */
export async function readFindings(db: Database, houseId: number, question?: string): Promise<FindingRow[]> {
  const rows = statement(
    db,
    `select question, fingerprint, body, computed_at as computedAt from findings
     where house_id = ? and iif(? is null, question not in (${APART}), question = ?) order by question, ordinal`,
  ).all(houseId, question ?? null, question ?? null) as (FindingRow & { body: string })[]
  return rows.map((row) => ({ ...row, body: JSON.parse(row.body) }))
}

/** The first finding of a question alone; with `part`, only that part of its body (a path such as $.departures) is read. */
export async function readFirstFinding(
  db: Database,
  houseId: number,
  question: string,
  part = '$',
): Promise<{ body: unknown; computedAt: number } | undefined> {
  const row = statement(
    db,
    `select iif(? = '$', body, json_extract(body, ?)) as body, computed_at as computedAt from findings
     where house_id = ? and question = ? order by ordinal limit 1`,
  ).get(part, part, houseId, question) as { body: string | null; computedAt: number } | undefined
  return row && { ...row, body: row.body === null ? null : JSON.parse(row.body) }
}

/** Puts these in the place of everything made together for the house, in one piece: no reader meets half of a study. */
export async function replaceAllFindings(
  db: Database,
  houseId: number,
  made: { fingerprint: string; computedAt: number; rows: readonly { question: string; body: unknown }[] },
): Promise<void> {
  inTransaction(db, () => {
    statement(db, `delete from findings where house_id = ? and question not in (${APART})`).run(houseId)
    const insert = statement(
      db,
      'insert into findings (house_id, question, ordinal, fingerprint, body, computed_at) values (?, ?, ?, ?, ?, ?)',
    )
    for (const [ordinal, { question, body }] of made.rows.entries()) {
      insert.run(houseId, question, ordinal, made.fingerprint, JSON.stringify(body), made.computedAt)
    }
  })
}

/** Puts one body in the place of what is stored for the house and question. */
export async function replaceFinding(
  db: Database,
  houseId: number,
  question: string,
  made: { fingerprint: string; computedAt: number; body: unknown },
): Promise<void> {
  inTransaction(db, () => {
    statement(db, 'delete from findings where house_id = ? and question = ?').run(houseId, question)
    statement(
      db,
      'insert into findings (house_id, question, ordinal, fingerprint, body, computed_at) values (?, ?, 0, ?, ?, ?)',
    ).run(houseId, question, made.fingerprint, JSON.stringify(made.body), made.computedAt)
  })
}
