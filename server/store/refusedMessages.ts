/** Messages that were not stored: counted by reason, the last of each kept until somebody has looked at it. */
import { desc, eq } from 'drizzle-orm'
import type { Database } from './open.ts'
import * as t from './schema.ts'
import { inTransaction } from './unitsOfWork.ts'

export type RefusedMessage = typeof t.refusedMessages.$inferSelect

/** Newest first. */
export async function listRefusedMessages(db: Database, most: number): Promise<RefusedMessage[]> {
  return db.orm
    .select()
    .from(t.refusedMessages)
    .orderBy(desc(t.refusedMessages.lastAt), desc(t.refusedMessages.id))
    .limit(most)
    .all()
}

/** @returns false when it is gone already */
export async function dropRefusedMessage(db: Database, id: number): Promise<boolean> {
  return inTransaction(db, () => db.orm.delete(t.refusedMessages).where(eq(t.refusedMessages.id, id)).run().changes > 0)
}
