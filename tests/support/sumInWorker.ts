/** Modules that worker threads are asked to run. */
import { setTimeout as sleep } from 'node:timers/promises'
import type { WorkerRun } from '../../server/jobs/workerMessages.ts'

interface Asked {
  what: 'sum' | 'count' | 'write' | 'range' | 'hang' | 'exit'
  values?: Float64Array
}

export const run: WorkerRun<Asked, unknown> = async ({ what, values }, { db, progress }) => {
  if (what === 'sum') {
    progress(1, 2, 'half')
    return { sum: values!.reduce((a, b) => a + b, 0), doubled: values!.map((v) => 2 * v) }
  }
  if (what === 'count') return db!.raw.prepare('select count(*) from probes').pluck().get()
  if (what === 'write') return db!.raw.exec('delete from probes')
  if (what === 'range') throw new RangeError('tempC must be between -45 and 60 °C, got 68.')
  if (what === 'exit') process.exit(3)
  return sleep(60_000)
}
