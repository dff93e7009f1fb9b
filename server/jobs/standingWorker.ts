/**
 * A worker thread that stays, for questions that rest on something dear to make: it answers one after the other and keeps
 * what it made. Started with the first question; a thread that dies is started again with the next.
 */
import { createRequire } from 'node:module'
import { pathToFileURL } from 'node:url'
import { Worker } from 'node:worker_threads'
import { revived } from './inWorker.ts'
import type { FromStanding, ToStanding } from './workerMessages.ts'

export interface StandingWorker {
  /**
   * @param asker whoever asks again before an answer began drops the older question
   * @throws Superseded for a dropped question; what the module threw
   */
  ask<Result>(asker: string, args: unknown): Promise<Result>
  stop(): Promise<void>
}

/** A newer question of the same asker took this one's place. */
export class Superseded extends Error {
  override name = 'Superseded'
}

interface Waiting {
  id: number
  asker: string
  args: unknown
  resolve: (result: never) => void
  reject: (error: Error) => void
}

/** @param moduleUrl of a module that exports `answer`; its `.ts` ending is read as `.js` in the built program */
export function createStandingWorker(moduleUrl: string, databasePath: string): StandingWorker {
  let worker: Worker | null = null
  let asked = 0
  let running: Waiting | null = null
  let waiting: Waiting[] = []

  function start(): Worker {
    const data = { moduleUrl: FROM_SOURCES ? moduleUrl : moduleUrl.replace(/\.ts$/, '.js'), databasePath }
    const started = FROM_SOURCES
      ? new Worker(FROM_SOURCES_START, { eval: true, workerData: data, execArgv: [] })
      : new Worker(new URL('./standingThread.js', import.meta.url), { workerData: data })
    started.on('message', (message: FromStanding) => {
      if (running === null || message.id !== running.id) return
      const { resolve, reject } = running
      running = null
      if (message.kind === 'result') resolve(message.result as never)
      else reject(revived(message))
      next()
    })
    const gone = (error: Error) => {
      if (worker === started) worker = null
      running?.reject(error)
      running = null
      next()
    }
    started.on('error', gone)
    started.on('exit', (code) => {
      if (worker === started) gone(new Error(`The worker thread ended early (exit code ${code}).`))
    })
    return started
  }

  function next(): void {
    if (running !== null) return
    running = waiting.shift() ?? null
    if (running === null) return
    worker ??= start()
    const { id, args } = running
    worker.postMessage({ id, args } satisfies ToStanding)
  }

  return {
    ask(asker, args) {
      return new Promise((resolve, reject) => {
        for (const one of waiting)
          if (one.asker === asker) one.reject(new Superseded('A newer question took its place.'))
        waiting = waiting.filter((one) => one.asker !== asker)
        waiting.push({ id: ++asked, asker, args, resolve: resolve as (result: never) => void, reject })
        next()
      })
    },
    async stop() {
      const error = new Error('The service is stopping.')
      for (const one of waiting) one.reject(error)
      waiting = []
      const stopping = worker
      worker = null
      running?.reject(error)
      running = null
      await stopping?.terminate()
    },
  }
}

const FROM_SOURCES = import.meta.url.endsWith('.ts')

/** See inWorker.ts: the loader of TypeScript does not reach a thread by itself. */
const FROM_SOURCES_START = FROM_SOURCES
  ? `import(${JSON.stringify(new URL('dist/esm/api/index.mjs', pathToFileURL(createRequire(import.meta.url).resolve('tsx/package.json'))).href)})
     .then(({ register }) => { register(); return import(${JSON.stringify(new URL('./standingThread.ts', import.meta.url).href)}) })`
  : ''
