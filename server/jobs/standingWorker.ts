/**
 * A worker thread that stays, for questions that rest on something dear to make: it keeps what it made. One quick and one
 * slow question are under way at a time, so that a quick one waits for no slow one whose module pauses now and then.
 * Started with the first question; a thread that dies is started again with the next.
 */
import { createRequire } from 'node:module'
import { pathToFileURL } from 'node:url'
import { Worker } from 'node:worker_threads'
import { revived } from './inWorker.ts'
import type { FromStanding, ToStanding } from './workerMessages.ts'

const LANES = ['quick', 'slow'] as const
export type Lane = (typeof LANES)[number]

export interface StandingWorker {
  /**
   * @param asker whoever asks again before an answer began drops the older question
   * @throws Superseded for a dropped question, Crowded when too many wait already; what the module threw
   */
  ask<Result>(asker: string, lane: Lane, args: unknown): Promise<Result>
  /** Whatever was asked is refused, and whatever is asked later too. */
  stop(): Promise<void>
}

/** A newer question of the same asker took this one's place. */
export class Superseded extends Error {
  override name = 'Superseded'
}

/** Too many questions wait already. */
export class Crowded extends Error {
  override name = 'Crowded'
}

interface Question {
  id: number
  asker: string
  lane: Lane
  args: unknown
  resolve: (result: never) => void
  reject: (error: Error) => void
}

/** The program ends. */
export class Stopping extends Error {
  override name = 'Stopping'
}

const MOST_WAITING = 32

/** @param moduleUrl of a module that exports `answer`; its `.ts` ending is read as `.js` in the built program */
export function createStandingWorker(moduleUrl: string, databasePath: string): StandingWorker {
  let worker: Worker | null = null
  let asked = 0
  let stopped = false
  let waiting: Question[] = []
  const underWay = new Map<number, Question>()

  function start(): Worker {
    const data = { moduleUrl: FROM_SOURCES ? moduleUrl : moduleUrl.replace(/\.ts$/, '.js'), databasePath }
    const started = FROM_SOURCES
      ? new Worker(FROM_SOURCES_START, { eval: true, workerData: data, execArgv: [] })
      : new Worker(new URL('./standingThread.js', import.meta.url), { workerData: data })
    started.on('message', (message: FromStanding) => {
      const question = underWay.get(message.id)
      if (question === undefined) return
      underWay.delete(message.id)
      if (message.kind === 'result') question.resolve(message.result as never)
      else question.reject(revived(message))
      next()
    })
    const gone = (error: Error) => {
      if (worker !== started) return
      worker = null
      refuse([...underWay.values()], error)
      underWay.clear()
      next()
    }
    started.on('error', gone)
    started.on('exit', (code) => gone(new Error(`The worker thread ended early (exit code ${code}).`)))
    return started
  }

  function next(): void {
    for (const lane of LANES) {
      const question = waiting.find((one) => one.lane === lane)
      if (question === undefined || [...underWay.values()].some((one) => one.lane === lane)) continue
      waiting = waiting.filter((one) => one !== question)
      underWay.set(question.id, question)
      worker ??= start()
      worker.postMessage({ id: question.id, args: question.args } satisfies ToStanding)
    }
  }

  return {
    ask(asker, lane, args) {
      return new Promise((resolve, reject) => {
        if (stopped) throw new Stopping(STOPPING)
        const older = waiting.filter((one) => one.asker === asker)
        waiting = waiting.filter((one) => one.asker !== asker)
        refuse(older, new Superseded('A newer question took its place.'))
        if (waiting.length >= MOST_WAITING) throw new Crowded(`${MOST_WAITING} questions wait already.`)
        waiting.push({ id: ++asked, asker, lane, args, resolve: resolve as (result: never) => void, reject })
        next()
      })
    },
    async stop() {
      stopped = true
      refuse([...waiting, ...underWay.values()], new Stopping(STOPPING))
      waiting = []
      underWay.clear()
      const stopping = worker
      worker = null
      await stopping?.terminate()
    },
  }
}

const STOPPING = 'The service is stopping.'

function refuse(questions: readonly Question[], error: Error): void {
  for (const { reject } of questions) reject(error)
}

const FROM_SOURCES = import.meta.url.endsWith('.ts')

/** See inWorker.ts: the loader of TypeScript does not reach a thread by itself. */
const FROM_SOURCES_START = FROM_SOURCES
  ? `import(${JSON.stringify(new URL('dist/esm/api/index.mjs', pathToFileURL(createRequire(import.meta.url).resolve('tsx/package.json'))).href)})
     .then(({ register }) => { register(); return import(${JSON.stringify(new URL('./standingThread.ts', import.meta.url).href)}) })`
  : ''
