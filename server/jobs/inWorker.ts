/** Runs an analysis in a worker thread, so that a fit of a minute never keeps a reading waiting. */
import { createRequire } from 'node:module'
import { pathToFileURL } from 'node:url'
import { Worker } from 'node:worker_threads'
import type { FromWorker } from './workerMessages.ts'

export interface InWorkerOptions {
  databasePath?: string
  signal?: AbortSignal
  onProgress?: (done: number, total: number | null, message: string) => void
}

/**
 * @param moduleUrl of a module that exports `run` (WorkerRun), such as `new URL('./fit.ts', import.meta.url).href`;
 *   in the built program its `.ts` ending is read as `.js`
 * @param args anything that can be cloned; typed arrays too
 * @throws what `run` threw (name and message kept), or the signal's reason
 */
export function runInWorker<Result>(moduleUrl: string, args: unknown, options: InWorkerOptions = {}): Promise<Result> {
  const { signal } = options
  if (signal?.aborted) return Promise.reject(signal.reason)
  return new Promise((resolve, reject) => {
    const data = {
      moduleUrl: FROM_SOURCES ? moduleUrl : moduleUrl.replace(/\.ts$/, '.js'),
      args,
      databasePath: options.databasePath ?? null,
    }
    const worker = FROM_SOURCES
      ? new Worker(FROM_SOURCES_START, { eval: true, workerData: data, execArgv: [] })
      : new Worker(new URL('./workerThread.js', import.meta.url), { workerData: data })
    const stop = () => settle(() => reject(signal?.reason))
    signal?.addEventListener('abort', stop, { once: true })
    function settle(how: () => void): void {
      signal?.removeEventListener('abort', stop)
      worker.removeAllListeners()
      // Wait for the thread to be gone: its connection must not outlive what the caller does next.
      void worker.terminate().then(how, how)
    }
    worker.on('message', (message: FromWorker) => {
      if (message.kind === 'progress') options.onProgress?.(message.done, message.total, message.message)
      else if (message.kind === 'result') settle(() => resolve(message.result as Result))
      else settle(() => reject(revived(message)))
    })
    worker.on('error', (error) => settle(() => reject(error)))
    worker.on('exit', (code) => settle(() => reject(new Error(`The worker thread ended early (exit code ${code}).`))))
  })
}

/** An error of a thread, with its name: its class stayed there. */
export function revived(from: Omit<Extract<FromWorker, { kind: 'error' }>, 'kind'>): Error {
  const error = from.name === 'RangeError' ? new RangeError(from.message) : new Error(from.message)
  error.name = from.name
  if (from.stack !== undefined) error.stack = from.stack
  return error
}

const FROM_SOURCES = import.meta.url.endsWith('.ts')

/**
 * Node cannot read TypeScript by itself, and `--import tsx` does not reach a thread: the loader is registered there
 * first. Its file is named in full, because `resolve` answers with the form for `require`, which cannot do this.
 */
const FROM_SOURCES_START = FROM_SOURCES
  ? `import(${JSON.stringify(new URL('dist/esm/api/index.mjs', pathToFileURL(createRequire(import.meta.url).resolve('tsx/package.json'))).href)})
     .then(({ register }) => { register(); return import(${JSON.stringify(new URL('./workerThread.ts', import.meta.url).href)}) })`
  : ''
