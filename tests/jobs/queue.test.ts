import { expect, onTestFinished, test } from 'vitest'
import { createQueue, JobFailure, type JobHandler, type Queue, type QueueOptions } from '../../server/jobs/queue.ts'
import { findJobs } from '../../server/store/jobs.ts'
import { type Database, openDatabase } from '../../server/store/open.ts'
import { scratchDatabase } from '../support/database.ts'
import { followProgram, startProgram } from '../support/tsx.ts'

function queueOn(db: Database, kinds: Record<string, JobHandler>, more: Partial<QueueOptions> = {}): Queue {
  const queue = createQueue(db, { kinds, now: Date.now, heartbeatMs: 20, pollMs: 20, ...more })
  onTestFinished(() => queue.stop())
  return queue
}

/** Waits until a job says it is running. */
const untilRunning = async (queue: Queue, id: number) => {
  while ((await queue.find(id))?.state !== 'running') await new Promise((resolve) => setTimeout(resolve, 5))
}

const untilAborted: JobHandler = (_, { signal }) =>
  new Promise((_, reject) => signal.addEventListener('abort', () => reject(signal.reason)))

test('jobs run in the order they were added, and each keeps its progress and result', async () => {
  const order: number[] = []
  const queue = queueOn(scratchDatabase(), {
    double: async ({ n }: { n: number }, { progress }) => {
      order.push(n)
      progress(n, 10, `at ${n}`)
      return { twice: 2 * n }
    },
  })
  const ids = [
    await queue.add('double', { n: 1 }),
    await queue.add('double', { n: 2 }),
    await queue.add('double', { n: 3 }),
  ]
  queue.start()
  const jobs = await Promise.all(ids.map((id) => queue.ended(id)))
  expect(order).toEqual([1, 2, 3])
  expect(jobs.map((job) => [job.state, job.done, job.total, job.result, job.attempts])).toEqual([
    ['done', 1, 10, { twice: 2 }, 1],
    ['done', 2, 10, { twice: 4 }, 1],
    ['done', 3, 10, { twice: 6 }, 1],
  ])
})

test('an expected failure keeps its sentence; an unexpected one is told to the log and said to be one', async () => {
  const heard: unknown[] = []
  const kinds = {
    refused: async () => {
      throw new JobFailure('The file holds no readings. Export it again.')
    },
    bug: async () => {
      throw new TypeError('x is undefined')
    },
  }
  const queue = queueOn(scratchDatabase(), kinds, { onUnexpected: (error) => heard.push(error) })
  queue.start()
  const refused = await queue.ended(await queue.add('refused', {}))
  const bug = await queue.ended(await queue.add('bug', {}))
  expect([refused.state, refused.message]).toEqual(['failed', 'The file holds no readings. Export it again.'])
  expect(bug.state).toBe('failed')
  expect(bug.message).toContain('Something unexpected went wrong (x is undefined)')
  expect(heard).toHaveLength(1)
})

test('a waiting job is canceled at once, a running one is asked to stop, one that ended stays as it is', async () => {
  const queue = queueOn(scratchDatabase(), { wait: untilAborted, quick: async () => 'ok' })
  const first = await queue.add('wait', {})
  const second = await queue.add('wait', {})
  expect(await queue.cancel(second)).toBe(true)
  queue.start()
  await untilRunning(queue, first)
  expect(await queue.cancel(first)).toBe(true)
  expect((await queue.ended(first)).state).toBe('canceled')
  expect(await queue.ended(second)).toMatchObject({
    state: 'canceled',
    attempts: 0,
    message: 'Canceled before it began.',
  })
  const third = await queue.add('quick', {})
  expect((await queue.ended(third)).state).toBe('done')
  expect(await queue.cancel(third)).toBe(false)
})

test('a handler that keeps what it did and returns ends as canceled, with its result', async () => {
  const queue = queueOn(scratchDatabase(), {
    count: async (_, { canceled }) => {
      let done = 0
      while (!canceled()) {
        done++
        await new Promise((resolve) => setTimeout(resolve, 2))
      }
      return { kept: done }
    },
  })
  queue.start()
  const id = await queue.add('count', {})
  await untilRunning(queue, id)
  await queue.cancel(id)
  const job = await queue.ended(id)
  expect(job.state).toBe('canceled')
  expect((job.result as { kept: number }).kept).toBeGreaterThanOrEqual(0)
})

test('a cancel from another program reaches the handler with the next sign of life', async () => {
  const db = scratchDatabase()
  const queue = queueOn(db, { wait: untilAborted })
  const elsewhere = queueOn(db, {})
  queue.start()
  const id = await queue.add('wait', {})
  await untilRunning(queue, id)
  await elsewhere.cancel(id)
  expect((await queue.ended(id)).state).toBe('canceled')
})

test('stopping the program gives a running job back, and the next start ends it', async () => {
  const db = scratchDatabase()
  const first = queueOn(db, { work: untilAborted })
  first.start()
  const id = await first.add('work', {})
  await untilRunning(first, id)
  await first.stop()
  expect(await first.find(id)).toMatchObject({ state: 'waiting', attempts: 0 })
  const second = queueOn(db, { work: async () => 'ended' })
  second.start()
  expect(await second.ended(id)).toMatchObject({ state: 'done', result: 'ended', attempts: 1 })
})

test('a job whose program was killed is taken up again by the next one', async () => {
  const db = scratchDatabase()
  const queue = queueOn(db, { count: async () => 'counted' })
  const id = await queue.add('count', { to: 10 })
  const program = startProgram(new URL('../support/hangingQueue.ts', import.meta.url).href, [db.path])
  const ended = await followProgram(program, (line) => {
    if (line === 'begun') program.kill('SIGKILL')
  })
  expect(ended).toMatchObject({ signal: 'SIGKILL' })
  expect(await queue.find(id)).toMatchObject({ state: 'running', attempts: 1 })
  queue.start()
  expect(await queue.ended(id)).toMatchObject({ state: 'done', result: 'counted', attempts: 2 })
})

test('who lost a job to another program stops, and its late word does not count', async () => {
  const db = scratchDatabase()
  let release = () => {}
  const blocked = new Promise<void>((resolve) => (release = resolve))
  const signals: AbortSignal[] = []
  const slow = queueOn(db, {
    work: async (_, { signal }) => {
      signals.push(signal)
      await blocked
      return 'late'
    },
  })
  slow.start()
  const id = await slow.add('work', {})
  await untilRunning(slow, id)
  // As if the program had been asleep: its last sign of life is an hour old when the other one looks.
  const other = queueOn(db, { work: async () => 'taken' }, { now: () => Date.now() + 3_600_000 })
  other.start()
  expect(await other.ended(id)).toMatchObject({ state: 'done', result: 'taken', attempts: 2 })
  while (!signals[0]!.aborted) await new Promise((resolve) => setTimeout(resolve, 5))
  release()
  await slow.stop()
  expect(await other.find(id)).toMatchObject({ state: 'done', result: 'taken' })
})

test('an end that cannot be written is told, the program goes on, and the job is taken up again', async () => {
  const db = scratchDatabase()
  db.raw.pragma('busy_timeout = 10')
  const other = openDatabase(db.path)
  const heard: unknown[] = []
  let begun = 0
  const work = async () => {
    if (++begun === 1) other.raw.exec('begin immediate')
    return begun
  }
  const queue = queueOn(db, { work }, { onUnexpected: (error) => heard.push(error) })
  const id = await queue.add('work', {})
  queue.start()
  while (heard.length < 3) await new Promise((resolve) => setTimeout(resolve, 5))
  other.raw.exec('rollback')
  other.close()
  expect(await queue.ended(id)).toMatchObject({ state: 'done', result: 2, attempts: 2 })
  expect(String(heard[0])).toContain('kept the database locked')
})

test('a job that stops the program each time is not begun for ever', async () => {
  const db = scratchDatabase()
  const queue = queueOn(db, { work: async () => 'never' })
  const id = await queue.add('work', {})
  db.raw.prepare(`update jobs set state = 'running', attempts = 3, heard_at = 0 where id = ?`).run(id)
  queue.start()
  const job = await queue.ended(id)
  expect(job.state).toBe('failed')
  expect(job.message).toContain('begun 3 times and the program stopped each time')
})

test('kinds nobody here can do are left for another program, and unknown ones are not taken in', async () => {
  const db = scratchDatabase()
  const other = queueOn(db, { fit: async () => 1 })
  const id = await other.add('fit', {})
  const queue = queueOn(db, { import: async () => 2 })
  queue.start()
  await queue.ended(await queue.add('import', {}))
  expect((await queue.find(id))?.state).toBe('waiting')
  await expect(queue.add('nothing', {})).rejects.toThrow('no kind of job called "nothing"')
  expect((await findJobs(db, 10)).map((job) => job.kind)).toEqual(['import', 'fit'])
})

test('as many jobs run at once as were allowed, and no more', async () => {
  let running = 0
  let most = 0
  const work: JobHandler = async () => {
    most = Math.max(most, ++running)
    await new Promise((resolve) => setTimeout(resolve, 20))
    running--
  }
  const queue = queueOn(scratchDatabase(), { work }, { atOnce: 2 })
  const ids = await Promise.all(Array.from({ length: 6 }, () => queue.add('work', {})))
  queue.start()
  await Promise.all(ids.map((id) => queue.ended(id)))
  expect(most).toBe(2)
})
