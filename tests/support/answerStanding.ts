/** A module for the standing thread: what it is asked says what it does. */
import type { Database } from '../../server/store/open.ts'

let answered = 0

export async function answer(args: unknown, db: Database): Promise<unknown> {
  const { what, ms = 0 } = args as { what: 'count' | 'pause' | 'exit' | 'range' | 'write' | 'probes'; ms?: number }
  if (what === 'pause') await new Promise((done) => setTimeout(done, ms))
  if (what === 'exit') process.exit(3)
  if (what === 'range') throw new RangeError('tempC must be between -45 and 60 °C, got 68.')
  if (what === 'write') db.raw.prepare('delete from probes').run()
  if (what === 'probes') return db.raw.prepare('select count(*) n from probes').get()
  answered += 1
  return answered
}
