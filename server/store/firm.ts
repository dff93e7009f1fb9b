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

/** @param settings by name, checked already; the others stay as they are */
export async function storeFirm(
  db: Database,
  { name, phone, email }: Firm,
  settings: Readonly<Record<string, number>> = {},
): Promise<void> {
  inTransaction(db, () => {
    const set = JSON.stringify(settings)
    const kept = `update firm set name = ?, phone = ?, email = ?, settings = iif(? = '{}', settings, json_patch(settings, ?))
      where id = (select min(id) from firm)`
    if (statement(db, kept).run(name, phone, email, set, set).changes > 0) return
    statement(db, 'insert into firm (name, phone, email, settings) values (?, ?, ?, ?)').run(name, phone, email, set)
  })
}
