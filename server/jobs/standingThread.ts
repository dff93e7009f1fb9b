/** What a thread that stays runs first: a connection that cannot write, and the module's `answer` for each question in turn. */
import { parentPort, workerData } from 'node:worker_threads'
import { openDatabase } from '../store/open.ts'
import type { FromStanding, StandingAnswer, ToStanding } from './workerMessages.ts'

const { moduleUrl, databasePath } = workerData as { moduleUrl: string; databasePath: string }
const db = openDatabase(databasePath, { readOnly: true })
const { answer } = (await import(moduleUrl)) as { answer: StandingAnswer }
const tell = (message: FromStanding) => parentPort!.postMessage(message)

parentPort!.on('message', async ({ id, args }: ToStanding) => {
  try {
    tell({ kind: 'result', id, result: await answer(args, db) })
  } catch (thrown) {
    const error = thrown instanceof Error ? thrown : new Error(String(thrown))
    tell({ kind: 'error', id, name: error.name, message: error.message, stack: error.stack })
  }
})
