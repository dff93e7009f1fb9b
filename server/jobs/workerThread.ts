/** The first thing a worker thread runs: it opens a connection that cannot write and hands over to the module asked for. */
import { parentPort, workerData } from 'node:worker_threads'
import { openDatabase } from '../store/open.ts'
import type { FromWorker, WorkerRun } from './workerMessages.ts'

const { moduleUrl, args, databasePath } = workerData as {
  moduleUrl: string
  args: unknown
  databasePath: string | null
}
const tell = (message: FromWorker) => parentPort!.postMessage(message)

let db = null
try {
  db = databasePath === null ? null : openDatabase(databasePath, { readOnly: true })
  const { run } = (await import(moduleUrl)) as { run: WorkerRun<unknown, unknown> }
  const result = await run(args, {
    db,
    progress: (done, total, message) => tell({ kind: 'progress', done, total, message }),
  })
  tell({ kind: 'result', result })
} catch (thrown) {
  const error = thrown instanceof Error ? thrown : new Error(String(thrown))
  tell({ kind: 'error', name: error.name, message: error.message, stack: error.stack })
} finally {
  db?.close()
}
