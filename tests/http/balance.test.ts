/** The balance over HTTP: the job while it is made, the kept answer afterwards, and remedies tried on the house. */
import { expect, onTestFinished, test } from 'vitest'
import { thresholds } from '../../server/advice/thresholds.ts'
import { type AppDeps, buildApp } from '../../server/http/app.ts'
import { createQueue } from '../../server/jobs/queue.ts'
import { storeHouse } from '../../server/store/storeHouse.ts'
import { balanceOf } from '../../server/study/balance/balance.ts'
import { BALANCE_KIND, balanceHandler, createBalances } from '../../server/study/balance/balanceJob.ts'
import { makeBalance } from '../../server/study/balance/balanceMaking.ts'
import { answerWhatIf } from '../../server/study/balance/balanceWhatIf.ts'
import { createWhatIfDesk } from '../../server/study/balance/whatIfDesk.ts'
import { readHouseRecord } from '../../server/study/houseRecord.ts'
import { BALANCE_HOUSE, storeBalanceHouse } from '../support/balanceHouse.ts'
import { scratchDatabase } from '../support/database.ts'

const KEY = BALANCE_HOUSE.key
const URL = `/api/houses/${KEY}/balance`
const UNKNOWN = { outcome: 'cannot tell' as const, reason: 'A test made this.', missing: ['nothing'] }
const unused = { receive: () => Promise.reject(new Error('not asked here')) }

async function appOn(make?: Parameters<typeof balanceHandler>[0]['make'], days?: number) {
  const db = scratchDatabase()
  const { houseId } = await storeBalanceHouse(db, BALANCE_HOUSE, days)
  const kinds = { [BALANCE_KIND]: balanceHandler({ db, now: Date.now, ...(make && { make }) }) }
  const queue = createQueue(db, { kinds, now: Date.now, pollMs: 50, onUnexpected: () => {} })
  queue.start()
  const desk = createWhatIfDesk(db)
  const balances = createBalances(db, queue, desk)
  const deps = {
    door: { kind: 'open on this machine' },
    reach: async () => undefined,
    intake: unused,
    imports: {},
    findings: async () => undefined,
    health: async () => [],
    balances,
  }
  const app = await buildApp(deps as unknown as AppDeps)
  onTestFinished(async () => {
    await app.close()
    await queue.stop()
    await desk.stop()
  })
  return { app, db, queue, balances, houseId }
}

test('a balance that is not there yet is 202 with the job and its progress, then 200 with the answer, by key or number', async () => {
  let letGo = () => {}
  const gate = new Promise<void>((resolve) => {
    letGo = resolve
  })
  const { app, queue, houseId } = await appOn(async (_, __, { onProgress }) => {
    onProgress?.(0.4, 'fitting the house')
    await gate
    return { answer: UNKNOWN, effectDays: [] }
  }, 3)
  const first = await app.inject(URL)
  expect([first.statusCode, first.json().state]).toEqual([202, 'being made'])
  const id = first.json().job.id as number
  while ((await queue.find(id))!.done === 0) await new Promise((wait) => setTimeout(wait, 10))
  expect((await app.inject(URL)).json()).toEqual({
    state: 'being made',
    job: { id, state: 'running', done: 0.4, message: 'fitting the house' },
  })
  letGo()
  await queue.ended(id)
  for (const url of [URL, `/api/houses/${houseId}/balance`]) {
    const answer = await app.inject(url)
    expect([answer.statusCode, answer.json()]).toEqual([
      200,
      { state: 'ready', computedAt: expect.any(Number), balance: UNKNOWN },
    ])
  }
})

test('making it can be canceled; it is then told as stopped, until it is asked for anew', async () => {
  const { app, queue } = await appOn(
    (_, __, { signal }) => new Promise((_, reject) => signal!.addEventListener('abort', () => reject(signal!.reason))),
    3,
  )
  expect((await app.inject({ method: 'DELETE', url: URL })).json()).toEqual({ canceled: false })
  const { job } = (await app.inject(URL)).json()
  while ((await queue.find(job.id))!.state === 'waiting') await new Promise((wait) => setTimeout(wait, 10))
  expect((await app.inject({ method: 'DELETE', url: URL })).json()).toEqual({ canceled: true })
  await queue.ended(job.id)
  const stopped = await app.inject(URL)
  expect([stopped.statusCode, stopped.json()]).toMatchObject([200, { state: 'stopped', job: { state: 'canceled' } }])
  const again = await app.inject({ method: 'POST', url: URL })
  expect([again.statusCode, again.json().state]).toEqual([202, 'being made'])
})

test('nothing of a real balance or what-if is lost on the way out, and holds are told', async () => {
  const { app, db } = await appOn()
  const make = async () => makeBalance((await readHouseRecord(db, KEY))!)
  const { answer } = (await balanceOf(db, KEY, { now: Date.now, make }))!
  expect((await app.inject(URL)).json().balance).toEqual(answer)

  const house = (await readHouseRecord(db, KEY))!
  const remedies = [
    { kind: 'encapsulation' as const },
    { kind: 'dehumidifier' as const, details: { ratedLPerDay: 33 } },
  ]
  const coldSurface = { name: 'duct', insideTempC: 13, insulationM2KPerW: 0.5 }
  const tried = await app.inject({
    method: 'POST',
    url: `/api/houses/${KEY}/whatif`,
    payload: { remedies, coldSurface },
  })
  expect(tried.statusCode).toBe(200)
  expect(tried.json()).toEqual(answerWhatIf(house, { remedies, year: null, coldSurface }, thresholds()))
  expect(tried.json().remedies.map((one: { held: object | null }) => one.held !== null)).toEqual([true, false])
  expect(tried.json().held.reason).toContain('Held: record this first.')

  const ask = async (part: 'middle' | 'interval', setRhPct: number) => {
    const dehumidifier = { kind: 'dehumidifier', details: { ratedLPerDay: 33, setRhPct } }
    const answered = await app.inject({
      method: 'POST',
      url: `/api/houses/${KEY}/whatif`,
      payload: { remedies: [dehumidifier], part },
    })
    return [answered.statusCode, answered.json()]
  }
  const [, middle] = await ask('middle', 50)
  const [, interval] = await ask('interval', 50)
  expect(middle.outcome).toBe('middle')
  expect(middle.rhPct.after).toBeGreaterThan(interval.rhPct.after.low)
  expect(middle.rhPct.after).toBeLessThan(interval.rhPct.after.high)
  expect(middle.rhPct.change).toBeCloseTo(middle.rhPct.after - middle.rhPct.asIs, 9)

  // Of three asked at once the first is under way, the second has not begun when the third takes its place.
  const [first, second, third] = await Promise.all([ask('interval', 45), ask('interval', 50), ask('middle', 55)])
  expect([first[0], second[0], second[1].code, third[0]]).toEqual([200, 409, 'SUPERSEDED', 200])

  // The house changes: the fit that was kept no longer holds.
  await storeHouse(db, { ...BALANCE_HOUSE, works: [] }, { replace: true, now: 0, who: 'a test' })
  const [, after] = await ask('middle', 50)
  expect(after.vaporPressurePa.asIs).not.toBe(middle.vaporPressurePa.asIs)
}, 90_000)

test('too short a record is a typed answer of a what-if', async () => {
  const { app } = await appOn(undefined, 4)
  const payload = { remedies: [{ kind: 'ground cover', details: { coverShareAfter: 0.95 } }] }
  const tried = await app.inject({ method: 'POST', url: `/api/houses/${KEY}/whatif`, payload })
  expect([tried.statusCode, tried.json()]).toMatchObject([200, { outcome: 'cannot tell', missing: [/more days/] }])
}, 30_000)

test.each([
  ['no remedy', { remedies: [] }, 'body/remedies'],
  ['a kind it does not know', { remedies: [{ kind: 'roof garden' }] }, 'body/remedies/0/kind'],
  [
    'a size that cannot be',
    { remedies: [{ kind: 'dehumidifier', details: { ratedLPerDay: -1 } }] },
    'body/remedies/0/details/ratedLPerDay',
  ],
  [
    'a field without its unit',
    { remedies: [{ kind: 'dehumidifier', details: { rated: 33 } }] },
    'body/remedies/0/details',
  ],
  [
    'a cold surface of no temperature',
    { remedies: [{ kind: 'repair' }], coldSurface: { name: 'duct' } },
    'body/coldSurface',
  ],
])('a what-if with %s is refused, and the place is named', async (_, payload, where) => {
  const { app } = await appOn(undefined, 0)
  const answer = await app.inject({ method: 'POST', url: `/api/houses/${KEY}/whatif`, payload })
  expect([answer.statusCode, answer.json()]).toMatchObject([400, { code: 'BAD_REQUEST', where }])
})

test('a house that is not there says so on every address', async () => {
  const { app } = await appOn(undefined, 0)
  const payload = { remedies: [{ kind: 'ground cover' }] }
  for (const asked of [
    { method: 'GET', url: '/api/houses/nobody/balance' },
    { method: 'POST', url: '/api/houses/999/balance' },
    { method: 'DELETE', url: '/api/houses/nobody/balance' },
    { method: 'POST', url: '/api/houses/nobody/whatif', payload },
  ] as const) {
    const answer = await app.inject(asked)
    expect([answer.statusCode, answer.json()]).toMatchObject([404, { code: 'UNKNOWN_HOUSE', where: 'params/id' }])
  }
})
