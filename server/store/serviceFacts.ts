/** Small facts of this installation that are made once and stay. */
import type { Database } from './open.ts'
import { inTransaction, statement } from './unitsOfWork.ts'

/** The fact of this name; made and kept when it is asked for the first time. */
export async function keptServiceFact(db: Database, name: string, make: () => string): Promise<string> {
  return inTransaction(db, () => {
    statement(db, 'insert into service_facts (name, value) values (?, ?) on conflict do nothing').run(name, make())
    return statement(db, 'select value from service_facts where name = ?').pluck().get(name) as string
  })
}
