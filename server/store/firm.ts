/** What the firm is called and where its customers reach it. */
import type { Database } from './open.ts'
import { inTransaction, statement } from './unitsOfWork.ts'

export interface Firm {
  /** Empty until somebody entered it. */
  name: string
  phone: string | null
  email: string | null
}

export async function readFirm(db: Database): Promise<Firm> {
  const row = statement(db, 'select name, phone, email from firm order by id limit 1').get() as Firm | undefined
  return row ?? { name: '', phone: null, email: null }
}

export async function storeFirm(db: Database, { name, phone, email }: Firm): Promise<void> {
  inTransaction(db, () => {
    const kept = 'update firm set name = ?, phone = ?, email = ? where id = (select min(id) from firm)'
    if (statement(db, kept).run(name, phone, email).changes > 0) return
    statement(db, 'insert into firm (name, phone, email) values (?, ?, ?)').run(name, phone, email)
  })
}
