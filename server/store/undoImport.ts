/** Takes back what one import brought. */
import { findImport } from './imports.ts'
import type { Database } from './open.ts'
import { CHUNK_ROWS, inTransaction, statement, yieldToOthers } from './unitsOfWork.ts'
import { markHourlyDue } from './writeReadings.ts'

/**
 * Removes the readings that this import was the first to bring, with whatever other files filled into them since; values
 * that it filled into readings of others stay, for they cannot be told apart. In chunks: a reader may meet half of it, and
 * doing it again finishes it.
 * @param probeIds where to look
 * @returns how many readings were removed
 */
export async function undoImport(
  db: Database,
  importId: number,
  { probeIds, now, who }: { probeIds: readonly number[]; now: number; who: string },
): Promise<number> {
  const find = statement(
    db,
    'select at from readings where probe_id = ? and at > ? and import_id = ? order by at limit ?',
  ).pluck()
  const remove = statement(db, 'delete from readings where probe_id = ? and at >= ? and at <= ? and import_id = ?')
  let removed = 0
  for (const probeId of probeIds) {
    for (let after = -1; ; await yieldToOthers()) {
      const found = find.all(probeId, after, importId, CHUNK_ROWS) as number[]
      const [first, last] = [found[0], found.at(-1)]
      if (first === undefined || last === undefined) break
      inTransaction(db, () => {
        removed += remove.run(probeId, first, last, importId).changes
        markHourlyDue(db, probeId, first, last + 1)
      })
      after = last
    }
  }
  const known = await findImport(db, importId)
  inTransaction(db, () => {
    const note = `Undone: ${removed.toLocaleString('en-US')} readings that it had brought were removed.`
    statement(db, "update imports set state = 'undone', note = ?, finished_at = ? where id = ?").run(
      note,
      now,
      importId,
    )
    statement(db, 'insert into history (house_id, at, who, what, subject) values (?, ?, ?, ?, ?)').run(
      known?.houseId ?? null,
      now,
      who,
      `undid the import of ${known?.fileName ?? importId}`,
      note,
    )
  })
  return removed
}
