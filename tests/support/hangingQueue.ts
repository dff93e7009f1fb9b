/** A program of its own that takes a job and never ends it: to be killed in the middle. Argument: path of the database. */
import { createQueue } from '../../server/jobs/queue.ts'
import { openDatabase } from '../../server/store/open.ts'

const db = openDatabase(process.argv[2]!)
const hang = async (_: unknown, { progress }: { progress: (d: number, t: number, m: string) => void }) => {
  progress(1, 10, 'begun')
  process.stdout.write('begun\n')
  await new Promise(() => {})
}
createQueue(db, { kinds: { count: hang }, now: Date.now, heartbeatMs: 50 }).start()
setInterval(() => {}, 1000) // a job that waits for nothing would let the program end
