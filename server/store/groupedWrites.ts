/**
 * Batches that arrive together are committed together: a commit waits for the disk, and with one for each message of a
 * few hundred loggers that wait would be all there is. Each caller is answered when its own rows are on the disk.
 */
import { StoreError } from './errors.ts'
import type { Database } from './open.ts'
import type { StepBatch } from './steps.ts'
import { CHUNK_ROWS, inTransaction } from './unitsOfWork.ts'
import { type BatchOutcome, writeReadings } from './writeReadings.ts'

interface Waiting {
  batch: StepBatch
  resolve(outcome: BatchOutcome): void
  reject(error: unknown): void
}

const waitingOf = new WeakMap<Database, Waiting[]>()

/**
 * @param batch at most 1,000 rows
 * @throws StoreError on an unknown probe (the others of the group are stored all the same) or a full disk (none is)
 */
export function storeGrouped(db: Database, batch: StepBatch): Promise<BatchOutcome> {
  return new Promise((resolve, reject) => {
    const waiting = waitingOf.get(db)
    if (waiting !== undefined) {
      waiting.push({ batch, resolve, reject })
      return
    }
    waitingOf.set(db, [{ batch, resolve, reject }])
    setImmediate(() => commitNext(db))
  })
}

function commitNext(db: Database): void {
  const waiting = waitingOf.get(db)!
  const group = waiting.splice(0, groupLength(waiting))
  // What does not fit into this transaction gets the next one, after sockets and timers had their turn.
  if (waiting.length > 0) setImmediate(() => commitNext(db))
  else waitingOf.delete(db)
  try {
    const answers = inTransaction(db, () => group.map(({ batch }) => outcomeOrUnknown(db, batch)))
    for (const [i, { resolve, reject }] of group.entries()) {
      const answer = answers[i]!
      if (answer instanceof StoreError) reject(answer)
      else resolve(answer)
    }
  } catch (error) {
    for (const { reject } of group) reject(error)
  }
}

function groupLength(waiting: readonly Waiting[]): number {
  let rows = 0
  const over = waiting.findIndex(({ batch }) => (rows += batch.at.length) > CHUNK_ROWS)
  return over < 0 ? waiting.length : Math.max(1, over)
}

/** An unknown probe is found before anything of its batch is written, so the group can go on without it. */
function outcomeOrUnknown(db: Database, batch: StepBatch): BatchOutcome | StoreError {
  try {
    return writeReadings(db, batch, null)
  } catch (error) {
    if (error instanceof StoreError) return error
    throw error
  }
}
