/** A thread that stays: it keeps what it made, is started again when it dies, and drops what nobody waits for. */
import { expect, onTestFinished, test } from 'vitest'
import { Crowded, createStandingWorker, Stopping, Superseded } from '../../server/jobs/standingWorker.ts'
import { addProbes, scratchDatabase } from '../support/database.ts'

const MODULE = new URL('../support/answerStanding.ts', import.meta.url).href

function standing() {
  const db = scratchDatabase()
  const worker = createStandingWorker(MODULE, db.path)
  onTestFinished(() => worker.stop())
  return { db, worker }
}

test('what the thread made stays there from one question to the next', async () => {
  const { worker } = standing()
  const asked = ['a', 'b', 'c'].map((asker) => worker.ask<number>(asker, 'slow', { what: 'count' }))
  expect(await Promise.all(asked)).toEqual([1, 2, 3])
})

test('it reads the database on a connection that cannot write, and errors keep their name', async () => {
  const { db, worker } = standing()
  addProbes(db, 3)
  expect(await worker.ask('a', 'slow', { what: 'probes' })).toEqual({ n: 3 })
  await expect(worker.ask('a', 'slow', { what: 'write' })).rejects.toThrow(/readonly/)
  await expect(worker.ask('a', 'slow', { what: 'range' })).rejects.toBeInstanceOf(RangeError)
  expect(await worker.ask('a', 'slow', { what: 'count' })).toBe(1)
})

test('a quick question is answered while a slow one pauses; slow ones wait for each other', async () => {
  const { worker } = standing()
  await worker.ask('a', 'quick', { what: 'count' })
  const order: string[] = []
  const told = (name: string, answer: Promise<unknown>) => answer.then(() => order.push(name))
  await Promise.all([
    told('slow', worker.ask('a', 'slow', { what: 'pause', ms: 300 })),
    told('second slow', worker.ask('b', 'slow', { what: 'count' })),
    told('quick', worker.ask('c', 'quick', { what: 'count' })),
  ])
  expect(order).toEqual(['quick', 'slow', 'second slow'])
})

test('a newer question of the same asker drops the older one that waits, in either lane, and nobody else', async () => {
  const { worker } = standing()
  const underWay = worker.ask('a', 'slow', { what: 'pause', ms: 200 })
  const other = worker.ask('b', 'slow', { what: 'count' })
  const older = worker.ask('a', 'slow', { what: 'count' })
  const dropped = expect(older).rejects.toBeInstanceOf(Superseded)
  const newer = worker.ask('a', 'quick', { what: 'count' })
  await dropped
  expect((await Promise.all([underWay, other, newer])).sort()).toEqual([1, 2, 3])
})

test('beyond 32 waiting questions the next is refused, and the others are answered', async () => {
  const { worker } = standing()
  const asked = Array.from({ length: 33 }, (_, i) => worker.ask<number>(`asker ${i}`, 'slow', { what: 'count' }))
  await expect(worker.ask('one too many', 'slow', { what: 'count' })).rejects.toBeInstanceOf(Crowded)
  expect(await Promise.all(asked)).toHaveLength(33)
})

test('a thread that dies fails what is under way, and a new one answers what waits', async () => {
  const { worker } = standing()
  await worker.ask('a', 'slow', { what: 'count' })
  const dying = worker.ask('a', 'slow', { what: 'exit' })
  const waiting = worker.ask('b', 'slow', { what: 'count' })
  await expect(dying).rejects.toThrow('ended early (exit code 3)')
  expect(await waiting).toBe(1)
})

test('stopping refuses what is under way, what waits and what comes after', async () => {
  const { worker } = standing()
  await worker.ask('a', 'slow', { what: 'count' })
  const asked = ['a', 'b'].map((asker) => worker.ask(asker, 'slow', { what: 'pause', ms: 60_000 }))
  const refused = asked.map((one) => expect(one).rejects.toBeInstanceOf(Stopping))
  await worker.stop()
  await Promise.all(refused)
  await expect(worker.ask('c', 'slow', { what: 'count' })).rejects.toBeInstanceOf(Stopping)
})
