/** Small facts of this installation: some are made once and stay, others say how something went last. */
import type { Database } from './open.ts'
import { inTransaction, statement } from './unitsOfWork.ts'

/** The fact of this name; made and kept when it is asked for the first time. */
export async function keptServiceFact(db: Database, name: string, make: () => string): Promise<string> {
  return inTransaction(db, () => {
    statement(db, 'insert into service_facts (name, value) values (?, ?) on conflict do nothing').run(name, make())
    return statement(db, 'select value from service_facts where name = ?').pluck().get(name) as string
  })
}

/** Undefined when it was never noted. */
export async function readServiceFact(db: Database, name: string): Promise<string | undefined> {
  return statement(db, 'select value from service_facts where name = ?').pluck().get(name) as string | undefined
}

/** In place of what was noted before. */
export async function noteServiceFact(db: Database, name: string, value: string): Promise<void> {
  inTransaction(db, () => putServiceFact(db, name, value))
}

/** The same, for who is inside a transaction of its own. */
export function putServiceFact(db: Database, name: string, value: string): void {
  statement(
    db,
    `insert into service_facts (name, value) values (?, ?) on conflict (name) do update set value = excluded.value`,
  ).run(name, value)
}
