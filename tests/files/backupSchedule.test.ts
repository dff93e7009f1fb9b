import { expect, test } from 'vitest'
import { type BackupState, createBackupSchedule, retryAfter } from '../../server/files/backupSchedule.ts'

const HOUR = 3_600_000
const START = Date.UTC(2026, 2, 1)

/** A clock that stands until it is moved; what waits runs when it is due. */
function clock() {
  let at = START
  let waiting: { due: number; run: () => void } | null = null
  return {
    now: () => at,
    later(ms: number, run: () => void) {
      const mine = { due: at + ms, run }
      waiting = mine
      return () => {
        if (waiting === mine) waiting = null
      }
    },
    async to(end: number) {
      for (;;) {
        await settle()
        if (waiting === null || waiting.due > end) break
        at = Math.max(at, waiting.due)
        const { run } = waiting
        waiting = null
        run()
      }
      at = end
    },
  }
}
const settle = async () => {
  for (let i = 0; i < 20; i++) await Promise.resolve()
}

function scheduled(last: number | null, backUp: (at: number) => Promise<number>) {
  const time = clock()
  const tried: number[] = []
  const told: BackupState[] = []
  const schedule = createBackupSchedule({
    everyMs: 24 * HOUR,
    now: time.now,
    later: time.later,
    lastGoodAt: async () => last,
    async backUp() {
      tried.push((time.now() - START) / HOUR)
      return backUp(time.now())
    },
    onTried: (state) => void told.push(state),
  })
  schedule.start()
  return { time, tried, told, schedule }
}

test('the first is made at the start, the next ones when they are due', async () => {
  const { time, tried, schedule } = scheduled(null, async (at) => at)
  await time.to(START + 73 * HOUR)
  expect(tried).toEqual([0, 24, 48, 72])
  expect(schedule.state()).toEqual({ lastGoodAt: START + 72 * HOUR, trouble: null })
})

test('one that is not due is waited for, one that was missed is made at the start', async () => {
  const due = scheduled(START - 20 * HOUR, async (at) => at)
  await due.time.to(START + 3.9 * HOUR)
  expect(due.tried).toEqual([])
  await due.time.to(START + 5 * HOUR)
  expect(due.tried).toEqual([4])
  const missed = scheduled(START - 200 * HOUR, async (at) => at)
  await missed.time.to(START + HOUR)
  expect(missed.tried).toEqual([0])
})

test('after a failure it is tried again with growing delays, the trouble is told, and the last good one stays known', async () => {
  let works = false
  const { time, tried, told, schedule } = scheduled(START - 25 * HOUR, async (at) => {
    if (!works) throw new Error('The disk is away.')
    return at
  })
  await time.to(START + 1.1 * HOUR)
  expect(tried.map((h) => Math.round(h * 60))).toEqual([0, 5, 15, 35])
  expect(schedule.state()).toEqual({
    lastGoodAt: START - 25 * HOUR,
    trouble: { at: START + 35 * 60_000, sentence: 'The disk is away.' },
  })
  works = true
  await time.to(START + 3 * HOUR)
  expect(schedule.state().trouble).toBeNull()
  expect(tried).toHaveLength(5)
  expect(told.map(({ trouble }) => trouble !== null)).toEqual([true, true, true, true, false])
})

test('a folder that cannot be looked into is a trouble too, not the end', async () => {
  const time = clock()
  const schedule = createBackupSchedule({
    everyMs: HOUR,
    now: time.now,
    later: time.later,
    lastGoodAt: async () => {
      if (time.now() === START) throw new Error('The folder is away.')
      return null
    },
    backUp: async () => time.now(),
    onTried: () => {},
  })
  schedule.start()
  await time.to(START + 60_000)
  expect(schedule.state().trouble?.sentence).toBe('The folder is away.')
  await time.to(START + 6 * 60_000)
  expect(schedule.state()).toEqual({ lastGoodAt: START + 5 * 60_000, trouble: null })
})

test('one dated far ahead, by a clock that was wrong, does not put the next one off', async () => {
  const { time, tried } = scheduled(START + 9000 * HOUR, async (at) => at)
  await time.to(START + 25 * HOUR)
  expect(tried).toEqual([0, 24])
})

test('stopped, what is under way is broken off and waited for, and nothing follows', async () => {
  const time = clock()
  let ended = false
  const schedule = createBackupSchedule({
    everyMs: HOUR,
    now: time.now,
    later: time.later,
    lastGoodAt: async () => null,
    backUp: (signal) =>
      new Promise((_, reject) =>
        signal.addEventListener('abort', () => {
          ended = true
          reject(new Error('stopped'))
        }),
      ),
    onTried: () => {
      throw new Error('nothing was tried to its end')
    },
  })
  schedule.start()
  await time.to(START + 1)
  await schedule.stop()
  expect(ended).toBe(true)
  await time.to(START + 100 * HOUR)
  expect(schedule.state()).toEqual({ lastGoodAt: null, trouble: null })
})

test('the delays grow and end', () => {
  expect([1, 2, 3, 4, 5, 99].map((failures) => retryAfter(failures, 24 * HOUR) / 60_000)).toEqual([
    5, 10, 20, 40, 60, 60,
  ])
})
