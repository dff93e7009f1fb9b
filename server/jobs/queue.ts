/**
 * One small queue in the database. What waits or runs outlives the program: a job whose holder shows no sign of life is
 * taken up again from its beginning, so handlers must be safe to repeat.
 */
import {
  addJob,
  cancelJob,
  findJob,
  finishJob,
  type Hold,
  hearJob,
  type Job,
  returnJob,
  takeJob,
} from '../store/jobs.ts'
import type { Database } from '../store/open.ts'

export interface JobContext {
  readonly job: Job
  /** Aborted when the job is canceled, taken over, or the program stops. */
  readonly signal: AbortSignal
  /** Somebody asked for this job to end: keep what is done and return. */
  canceled(): boolean
  /** Kept at most every 200 ms; the units of `done` and `total` belong to the kind. */
  progress(done: number, total: number | null, message: string): void
}

/** Returns the job's result (plain JSON). What it throws fails the job, the message of a `JobFailure` word for word. */
// biome-ignore lint/suspicious/noExplicitAny: each kind declares the arguments it takes
export type JobHandler<Args = any> = (args: Args, context: JobContext) => Promise<unknown>

/** An expected end without success; its message is a sentence for people: what, where, how to fix. */
export class JobFailure extends Error {
  override name = 'JobFailure'
}

export interface QueueOptions {
  kinds: Record<string, JobHandler>
  now: () => number
  /** Jobs at once; 1 keeps the writer free for readings. */
  atOnce?: number
  /** Hears of every failure that is not a `JobFailure`; the job is null when the queue itself failed. Default: the error output. */
  onUnexpected?: (error: unknown, job: Job | null) => void
  /** Tests shorten these. */
  heartbeatMs?: number
  pollMs?: number
}

export interface Queue {
  add(kind: string, args: unknown, houseId?: number | null): Promise<number>
  find(id: number): Promise<Job | null>
  cancel(id: number): Promise<boolean>
  /** Resolves when the job has ended, whatever its end. */
  ended(id: number): Promise<Job>
  start(): void
  /** Ends running handlers and gives their jobs back to be taken up again. */
  stop(): Promise<void>
}

const MOST_ATTEMPTS = 3
const HEARTBEAT_MS = 3000
const POLL_MS = 1000
const MISSED_BEATS = 5
const PROGRESS_EVERY_MS = 200

export function createQueue(db: Database, options: QueueOptions): Queue {
  const { kinds, now, atOnce = 1, onUnexpected = console.error, heartbeatMs = HEARTBEAT_MS, pollMs = POLL_MS } = options
  const running = new Map<Promise<void>, AbortController>()
  const mine = new Map<number, AbortController>()
  let timer: NodeJS.Timeout | null = null
  let started = false
  let taking = false
  let wakeAgain = false

  /** A look that fails (the database is locked, say) is told, and the next poll looks again. */
  const look = () => void takeWaiting().catch((error) => onUnexpected(error, null))

  async function takeWaiting(): Promise<void> {
    if (taking) {
      wakeAgain = true // asked for during a look that may already have passed by
      return
    }
    taking = true
    try {
      do {
        wakeAgain = false
        while (started && running.size < atOnce) {
          const job = await takeJob(db, Object.keys(kinds), now(), now() - MISSED_BEATS * heartbeatMs)
          if (job === null) break
          const abort = new AbortController()
          // An end that cannot be written leaves the job without signs of life, so it is taken up again.
          const ending = runOne(job, abort).catch((error) => onUnexpected(error, job))
          const run: Promise<void> = ending.finally(() => {
            running.delete(run)
            mine.delete(job.id)
            look()
          })
          running.set(run, abort)
          mine.set(job.id, abort)
        }
      } while (wakeAgain)
    } finally {
      taking = false
    }
  }

  async function runOne(job: Job, abort: AbortController): Promise<void> {
    const hold: Hold = { id: job.id, attempts: job.attempts }
    if (job.attempts > MOST_ATTEMPTS) {
      const message = `It was begun ${MOST_ATTEMPTS} times and the program stopped each time. Look at the program's log, then start it anew.`
      return finishJob(db, hold, { state: 'failed', message, result: null, at: now() })
    }
    let canceled = job.cancelRequested
    let latest: { done: number; total: number | null; message: string } | null = null
    const hear = async () => {
      const answer = await hearJob(db, hold, now(), latest)
      latest = null
      if (answer.cancelRequested) canceled = true
      if (canceled || !answer.held) abort.abort(canceled ? CANCELED : TAKEN_OVER)
    }
    const beat = setInterval(() => void hear().catch((error) => abort.abort(error)), heartbeatMs)
    let toldAt = Number.NEGATIVE_INFINITY
    const context: JobContext = {
      job,
      signal: abort.signal,
      canceled: () => canceled || abort.signal.reason === CANCELED,
      progress(done, total, message) {
        latest = { done, total, message }
        if (now() - toldAt < PROGRESS_EVERY_MS) return
        toldAt = now()
        void hear().catch((error) => abort.abort(error))
      },
    }
    try {
      const result = await kinds[job.kind]!(job.args, context)
      if (abort.signal.reason === STOPPING) return await returnJob(db, hold)
      if (latest !== null) await hearJob(db, hold, now(), latest)
      const state = context.canceled() ? 'canceled' : 'done'
      await finishJob(db, hold, { state, message: state === 'done' ? '' : 'Canceled.', result, at: now() })
    } catch (error) {
      if (abort.signal.reason === STOPPING) return await returnJob(db, hold)
      if (context.canceled() && abort.signal.aborted) {
        return await finishJob(db, hold, { state: 'canceled', message: 'Canceled.', result: null, at: now() })
      }
      if (!(error instanceof JobFailure)) onUnexpected(error, job)
      const message =
        error instanceof JobFailure
          ? error.message
          : `Something unexpected went wrong (${error instanceof Error ? error.message : String(error)}). It is in the program's log; try again.`
      await finishJob(db, hold, { state: 'failed', message, result: null, at: now() })
    } finally {
      clearInterval(beat)
    }
  }

  return {
    async add(kind, args, houseId = null) {
      if (kinds[kind] === undefined) throw new Error(`There is no kind of job called "${kind}".`)
      const id = await addJob(db, { kind, houseId, args, createdAt: now() })
      look()
      return id
    },
    find: (id) => findJob(db, id),
    async cancel(id) {
      const taken = await cancelJob(db, id, now())
      if (taken) mine.get(id)?.abort(CANCELED)
      return taken
    },
    async ended(id) {
      for (;;) {
        const job = await findJob(db, id)
        if (job === null) throw new Error(`There is no job ${id}.`)
        if (job.finishedAt !== null) return job
        await new Promise((resolve) => setTimeout(resolve, 20))
      }
    },
    start() {
      if (started) return
      started = true
      timer = setInterval(look, pollMs)
      look()
    },
    async stop() {
      started = false
      if (timer !== null) clearInterval(timer)
      for (const abort of running.values()) abort.abort(STOPPING)
      await Promise.allSettled(running.keys())
    },
  }
}

const CANCELED = new Error('canceled')
const STOPPING = new Error('the program is stopping')
const TAKEN_OVER = new Error('another program took this job up')
