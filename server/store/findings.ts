/** Findings kept until their inputs change: rows of one house and question carry the fingerprint they were made from. */
import type { Database } from './open.ts'
import { inTransaction, statement } from './unitsOfWork.ts'

export interface FindingRow {
  question: string
  fingerprint: string
  body: unknown
  computedAt: number
}

/** Findings of a house in their order, of all questions or of one. */
export async function readFindings(db: Database, houseId: number, question?: string): Promise<FindingRow[]> {
  const rows = statement(
    db,
    `select question, fingerprint, body, computed_at as computedAt from findings
     where house_id = ? and (? is null or question = ?) order by question, ordinal`,
  ).all(houseId, question ?? null, question ?? null) as (FindingRow & { body: string })[]
  return rows.map((row) => ({ ...row, body: JSON.parse(row.body) }))
}

/** Puts these in the place of everything stored for the house and question. */
export async function replaceFindings(
  db: Database,
  houseId: number,
  question: string,
  made: { fingerprint: string; computedAt: number; bodies: readonly unknown[] },
): Promise<void> {
  inTransaction(db, () => {
    statement(db, 'delete from findings where house_id = ? and question = ?').run(houseId, question)
    const insert = statement(
      db,
      'insert into findings (house_id, question, ordinal, fingerprint, body, computed_at) values (?, ?, ?, ?, ?, ?)',
    )
    for (const [ordinal, body] of made.bodies.entries()) {
      insert.run(houseId, question, ordinal, made.fingerprint, JSON.stringify(body), made.computedAt)
    }
  })
}
