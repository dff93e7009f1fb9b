/** The balance of a house in a real database: known answers, kept until something changes, made and canceled as a job. */
import { expect, onTestFinished, test } from 'vitest'
import { createQueue } from '../../server/jobs/queue.ts'
import { litersFromPints, squareFeetFromM2 } from '../../server/physics/units.ts'
import type { Database } from '../../server/store/open.ts'
import { storeReadings } from '../../server/store/readings.ts'
import { balanceOf, keptBalance } from '../../server/study/balance/balance.ts'
import type { BalanceAnswer, BalanceTold } from '../../server/study/balance/balanceAnswer.ts'
import { BALANCE_KIND, balanceHandler, createBalances } from '../../server/study/balance/balanceJob.ts'
import { makeBalance } from '../../server/study/balance/balanceMaking.ts'
import { balancePage } from '../../server/study/balance/balancePage.ts'
import { findingsOf } from '../../server/study/findings.ts'
import { readHouseRecord } from '../../server/study/houseRecord.ts'
import { BALANCE_HOUSE, storeBalanceHouse } from '../support/balanceHouse.ts'
import { scratchDatabase } from '../support/database.ts'
import { probeOf, stepsOf } from '../support/studiedHouse.ts'

const KEY = BALANCE_HOUSE.key
const now = () => Date.UTC(2025, 0, 1)
const make = (db: Database) => async (key: string) => makeBalance((await readHouseRecord(db, key))!)
const UNKNOWN: BalanceAnswer = { outcome: 'cannot tell', reason: 'A test made this.', missing: ['nothing'] }

async function told(db: Database): Promise<BalanceTold> {
  const found = await balanceOf(db, KEY, { now, make: make(db) })
  if (found?.answer.outcome !== 'told') throw new Error('The house of the test must have a balance.')
  return found.answer
}

test('a cover that took most of the evaporation away is told, with both bases, need and grounds, as plain JSON', async () => {
  const db = scratchDatabase()
  await storeBalanceHouse(db)
  const answer = await told(db)
  expect(JSON.parse(JSON.stringify(answer))).toEqual(answer) // NaN and typed arrays would come back as something else

  expect(answer.effects).toMatchObject([{ works: ['cover'], verdict: 'drier' }])
  expect(answer.effects[0]!.soFar!.humidityRatioGKg.high).toBeLessThan(0)
  expect(answer.sources.map(({ basis, works }) => [basis, works])).toEqual([
    ['as it is', []],
    ['to hold the target', []],
    ['as it is', ['cover']],
    ['to hold the target', ['cover']],
  ])
  for (const { paths } of answer.sources) {
    for (const { dashed, dataShare, rank, standing, sharePct, ...path } of paths) {
      expect(dashed).toBe(dataShare < 0.5)
      expect(rank !== null).toBe(standing === 'told')
      if (sharePct.mid < 5) expect(standing).toBe('below what can be told')
      expect([...path.evidenceFor, ...path.evidenceAgainst].length).toBeGreaterThan(0)
      expect([path.wouldChangeIt, path.nextTest]).not.toContain('')
    }
    const ranked = paths.filter(({ rank }) => rank !== null).sort((a, b) => a.rank! - b.rank!)
    expect(ranked.map(({ entersLPerDay }) => entersLPerDay.mid)).toEqual(
      ranked.map(({ entersLPerDay }) => entersLPerDay.mid).sort((a, b) => b - a),
    )
  }
  const groundIn = (period: number) => answer.sources[period]!.paths.find(({ path }) => path === 'ground')!
  expect(groundIn(0)).toMatchObject({ rank: 1 })
  expect(groundIn(0).evidenceFor).toContain('The ground cover (2024-06-20) later left the air drier.')
  expect(groundIn(0).evidenceAgainst.join(' ')).not.toContain('covered') // the cover of 95 % came later on that very day
  expect(groundIn(2).evidenceAgainst).toContain('The ground is covered (95 %).')
  expect(answer.need).toMatchObject({ outcome: 'told' })
  // Model code, 2018 option as quoted in the trade notes: 70 pints a day for each 1,000 ft² of floor.
  expect(answer.need.codeFloorLPerDay).toBeCloseTo(litersFromPints((70 * squareFeetFromM2(130)) / 1000), 6)
  expect(answer.spots.map(({ spot, used }) => [spot, used])).toEqual([
    ['crawl/low', true],
    ['crawl/mid', true],
  ])
  expect(answer.wettestSpot).toBe('crawl/low')

  const house = (await readHouseRecord(db, KEY))!
  const page = balancePage(house, answer, 'us')
  expect(page).toContain('The ground cover (2024-06-20): drier. In the same weather the air holds')
  expect(page).toContain('As it is:')
  expect(page).toContain('If held at 55 % RH by a machine')
  expect(page).toMatch(/- Why [a-z -]+\? For: /)
  expect(page).toContain('Would change it: ')
  expect(page).toContain('70 pints a day per 1,000 ft²')
  expect(page).not.toMatch(/NaN|undefined|null|-0\.0/)
  expect(balancePage(house, answer, 'si')).toContain('g/kg')
}, 60_000)

test('a house without readings, or with few, has a typed "cannot tell" with what is missing', async () => {
  for (const [days, missing] of [
    [0, /temperature and RH/],
    [4, /6 more days/],
  ] as const) {
    const db = scratchDatabase()
    await storeBalanceHouse(db, { ...BALANCE_HOUSE, works: [] }, days)
    const { answer } = (await balanceOf(db, KEY, { now, make: make(db) }))!
    expect(answer).toMatchObject({ outcome: 'cannot tell', missing: [expect.stringMatching(missing)] })
    expect(balancePage((await readHouseRecord(db, KEY))!, answer, 'us')).toContain('The balance cannot be told yet.')
  }
  expect(
    await balanceOf(scratchDatabase(), 'nobody', { now, make: async () => ({ answer: UNKNOWN, effectDays: [] }) }),
  ).toBeUndefined()
})

test('it is kept until something it rests on changes, and making the findings leaves it alone', async () => {
  const db = scratchDatabase()
  const stored = await storeBalanceHouse(db, { ...BALANCE_HOUSE, works: [] }, 3)
  let made = 0
  const ask = () =>
    balanceOf(db, KEY, {
      now,
      make: async () => {
        made++
        return { answer: UNKNOWN, effectDays: [] }
      },
    })
  expect((await ask())!.answer).toEqual(UNKNOWN)
  await findingsOf(db, KEY, { now: now() })
  await ask()
  expect(made).toBe(1)
  const findingsMade = () => findingsOf(db, KEY, { now: now(), study: () => Promise.reject(new Error('made again')) })
  await expect(findingsMade()).resolves.toBeDefined()

  const next = { at: Float64Array.of(Date.UTC(2024, 3, 5)), tempC: Float64Array.of(16), rhPct: Float64Array.of(70) }
  await storeReadings(db, stepsOf(probeOf(stored, 'l1/air'), next))
  await ask()
  await ask()
  expect(made).toBe(2)
})

async function withQueue(make?: Parameters<typeof balanceHandler>[0]['make']) {
  const db = scratchDatabase()
  await storeBalanceHouse(db, BALANCE_HOUSE)
  const kinds = { [BALANCE_KIND]: balanceHandler({ db, now: Date.now, ...(make && { make }) }) }
  const unexpected: unknown[] = []
  const queue = createQueue(db, { kinds, now: Date.now, pollMs: 50, onUnexpected: (error) => unexpected.push(error) })
  queue.start()
  onTestFinished(() => queue.stop())
  const noDesk = { ask: () => Promise.reject(new Error('no what-if is asked here')) }
  return { db, queue, balances: createBalances(db, queue, noDesk), unexpected }
}

test('as a job it is made once in a worker, tells how far it is, and is then answered at once', async () => {
  const { queue, balances } = await withQueue()
  const [first, second] = await Promise.all([balances.ask(KEY), balances.ask(KEY)])
  expect(first).toMatchObject({ state: 'being made' })
  if (first?.state !== 'being made' || second?.state !== 'being made') throw new Error('It must be being made.')
  expect(second.job.id).toBe(first.job.id)
  const ended = await queue.ended(first.job.id)
  expect(ended).toMatchObject({ state: 'done', total: 1 })
  expect(ended.done).toBeGreaterThan(0.5)
  const ready = await balances.ask(KEY)
  expect(ready).toMatchObject({ state: 'ready', answer: { outcome: 'told' } })
  expect(await balances.cancel(KEY)).toBe(false)
}, 60_000)

test('a canceled job ends its worker and keeps nothing, and begins again only when asked to', async () => {
  const { db, queue, balances, unexpected } = await withQueue()
  const begun = await balances.ask(KEY)
  if (begun?.state !== 'being made') throw new Error('It must be being made.')
  while ((await queue.find(begun.job.id))!.done === 0) await new Promise((wait) => setTimeout(wait, 20))
  expect(await balances.cancel(KEY)).toBe(true)
  expect(await queue.ended(begun.job.id)).toMatchObject({ state: 'canceled' })
  expect((await keptBalance(db, KEY))!.kept).toBeNull()
  expect(await balances.ask(KEY)).toMatchObject({ state: 'stopped', job: { id: begun.job.id } })
  const again = await balances.ask(KEY, true)
  expect(again).toMatchObject({ state: 'being made' })
  expect(again?.state === 'being made' && again.job.id).not.toBe(begun.job.id)
  expect(unexpected).toEqual([])
}, 60_000)

test('a fault while it is made is told, not repeated at every look', async () => {
  const { queue, balances, unexpected } = await withQueue(() => Promise.reject(new Error('the ground is gone')))
  const begun = await balances.ask(KEY)
  if (begun?.state !== 'being made') throw new Error('It must be being made.')
  await queue.ended(begun.job.id)
  expect(await balances.ask(KEY)).toMatchObject({
    state: 'stopped',
    job: { state: 'failed', message: expect.stringContaining('the ground is gone') },
  })
  expect(unexpected).toHaveLength(1)
})
