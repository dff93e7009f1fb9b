import { expect, test } from 'vitest'
import { runInWorker } from '../../server/jobs/inWorker.ts'
import { addProbes, scratchDatabase } from '../support/database.ts'

const MODULE = new URL('../support/sumInWorker.ts', import.meta.url).href

test('typed arrays go in and out, and progress is told', async () => {
  const told: string[] = []
  const result = await runInWorker<{ sum: number; doubled: Float64Array }>(
    MODULE,
    { what: 'sum', values: Float64Array.of(1, 2, 3.5) },
    { onProgress: (done, total, message) => told.push(`${done}/${total} ${message}`) },
  )
  expect(result).toEqual({ sum: 6.5, doubled: Float64Array.of(2, 4, 7) })
  expect(told).toEqual(['1/2 half'])
})

test('it reads the database on a connection that cannot write', async () => {
  const db = scratchDatabase()
  addProbes(db, 3)
  expect(await runInWorker(MODULE, { what: 'count' }, { databasePath: db.path })).toBe(3)
  await expect(runInWorker(MODULE, { what: 'write' }, { databasePath: db.path })).rejects.toThrow(/readonly/)
  expect(db.raw.prepare('select count(*) n from probes').get()).toEqual({ n: 3 })
})

test('an error keeps its name and sentence', async () => {
  const failing = runInWorker(MODULE, { what: 'range' })
  await expect(failing).rejects.toBeInstanceOf(RangeError)
  await expect(failing).rejects.toThrow('tempC must be between -45 and 60 °C, got 68.')
})

test('a canceled run ends at once with the reason given', async () => {
  const abort = new AbortController()
  const hanging = runInWorker(MODULE, { what: 'hang' }, { signal: abort.signal })
  setTimeout(() => abort.abort(new Error('the job was canceled')), 300)
  await expect(hanging).rejects.toThrow('the job was canceled')
  await expect(runInWorker(MODULE, { what: 'hang' }, { signal: abort.signal })).rejects.toThrow('the job was canceled')
})

test('a thread that dies and a module that is not there are errors, not silence', async () => {
  await expect(runInWorker(MODULE, { what: 'exit' })).rejects.toThrow('ended early (exit code 3)')
  await expect(runInWorker(`${MODULE}.none.ts`, {})).rejects.toThrow(/none\.ts/)
})
