/**
 * Writes that arrive together are committed together: a commit waits for the disk, and with one for each message of a
 * few hundred loggers that wait would be all there is. Each caller is answered when its own rows are on the disk.
 */
import { StoreError } from './errors.ts'
import type { Database } from './open.ts'
import { CHUNK_ROWS, inTransaction } from './unitsOfWork.ts'

/** What the writes of one transaction share. */
export interface Group {
  /**
   * Something that many of them change and that is written once, at the end of the transaction.
   *
   * @param make makes it for the first that asks
   * @param write writes what it has become
   */
  shared<T>(name: string, make: () => T, write: (value: T) => void): T
}

interface Waiting {
  rows: number
  write(group: Group): unknown
  resolve(answer: unknown): void
  reject(error: unknown): void
}

const waitingOf = new WeakMap<Database, Waiting[]>()

/**
 * Runs `write` in one transaction with the others that wait; what this resolves for is on the disk.
 *
 * @param rows that it will write, at most 1,000
 * @param write writes nothing before it throws a StoreError: the others of the group are then stored all the same
 * @throws StoreError of `write`, or of a full disk (then nothing of the group is stored)
 */
export function inSharedTransaction<T>(db: Database, rows: number, write: (group: Group) => T): Promise<T> {
  return new Promise((resolve, reject) => {
    const entry: Waiting = { rows, write, resolve: resolve as (answer: unknown) => void, reject }
    const waiting = waitingOf.get(db)
    if (waiting !== undefined) {
      waiting.push(entry)
      return
    }
    waitingOf.set(db, [entry])
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
    const answers = inTransaction(db, () => {
      const { shared, end } = createGroup()
      const all = group.map(({ write }) => answerOrRefusal(() => write({ shared })))
      end()
      return all
    })
    for (const [i, { resolve, reject }] of group.entries()) {
      const answer = answers[i]
      if (answer instanceof StoreError) reject(answer)
      else resolve(answer)
    }
  } catch (error) {
    for (const { reject } of group) reject(error)
  }
}

function createGroup(): Group & { end(): void } {
  const kept = new Map<string, { value: unknown; write: (value: never) => void }>()
  return {
    shared<T>(name: string, make: () => T, write: (value: T) => void): T {
      let one = kept.get(name)
      if (one === undefined) kept.set(name, (one = { value: make(), write }))
      return one.value as T
    },
    end() {
      for (const { value, write } of kept.values()) write(value as never)
    },
  }
}

function groupLength(waiting: readonly Waiting[]): number {
  let rows = 0
  const over = waiting.findIndex((entry) => (rows += entry.rows) > CHUNK_ROWS)
  return over < 0 ? waiting.length : Math.max(1, over)
}

function answerOrRefusal(write: () => unknown): unknown {
  try {
    return write()
  } catch (error) {
    if (error instanceof StoreError) return error
    throw error
  }
}
