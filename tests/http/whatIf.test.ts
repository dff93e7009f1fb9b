/** What-ifs through the whole service on the demo house and another one: each question is answered from the house as it is. */
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, test } from 'vitest'
import { thresholds } from '../../server/advice/thresholds.ts'
import { buildService, type ServiceParts } from '../../server/cli/runService.ts'
import { loadDemoHouse } from '../../server/ingest/folder/demoHouse.ts'
import { createIntake } from '../../server/ingest/intake.ts'
import { openDatabase } from '../../server/store/open.ts'
import { readHouse } from '../../server/store/readHouse.ts'
import { refreshHourly } from '../../server/store/refreshHourly.ts'
import { storeHouse } from '../../server/store/storeHouse.ts'
import { fittedHouse } from '../../server/study/balance/balanceMaking.ts'
import { answerMiddle, answerSteps, type WhatIfAsked } from '../../server/study/balance/balanceWhatIf.ts'
import { readHouseRecord } from '../../server/study/houseRecord.ts'
import { BALANCE_HOUSE, storeBalanceHouse } from '../support/balanceHouse.ts'
import { scratchDatabase } from '../support/database.ts'

const OTHER = BALANCE_HOUSE.key
const REMEDIES: WhatIfAsked['remedies'] = [
  { kind: 'vents sealed' },
  { kind: 'dehumidifier', details: { ratedLPerDay: 33, setRhPct: 50, litersPerKwh: 2 } },
]
const folder = mkdtempSync(join(tmpdir(), 'underjoist-'))
const databasePath = join(folder, 'underjoist.db')
let demo: string
let service: ServiceParts

beforeAll(async () => {
  const db = openDatabase(databasePath)
  const now = Date.now
  demo = (await loadDemoHouse({ db, intake: createIntake(db, { now }), now }, { who: 'a test' })).key
  await storeBalanceHouse(db)
  await refreshHourly(db)
  db.close()
  service = await buildService({ door: 'open on this machine', databasePath, now, log: false })
}, 60_000)
afterAll(async () => {
  await service.stop()
  rmSync(folder, { recursive: true })
})

async function ask(house: string, asked: object = {}) {
  const payload = { remedies: REMEDIES, ...asked }
  const answer = await service.app.inject({ method: 'POST', url: `/api/houses/${house}/whatif`, payload })
  return { status: answer.statusCode, body: answer.json() }
}

async function purely(key: string) {
  const house = (await readHouseRecord(service.db, key))!
  const fitted = fittedHouse(house)
  if ('outcome' in fitted) throw new Error(fitted.reason)
  const asked = { remedies: REMEDIES, year: null, pricePerKwh: 0.16 }
  const steps = answerSteps(house, fitted, asked, thresholds())
  let step = steps.next()
  while (!step.done) step = steps.next()
  return { interval: step.value, middle: answerMiddle(house, fitted, asked, thresholds()) }
}

test('two houses asked at once are answered as the pure calls answer, each from its own fit', async () => {
  const price = { pricePerKwh: 0.16 }
  const asked = [demo, OTHER].flatMap((key) => [
    ask(key, { ...price, part: 'middle', asker: `${key} one` }),
    ask(key, { ...price, asker: `${key} two` }),
  ])
  const answers = await Promise.all(asked)
  const [ofDemo, ofOther] = [await purely(demo), await purely(OTHER)]
  expect(answers.map(({ body }) => body)).toEqual([ofDemo.middle, ofDemo.interval, ofOther.middle, ofOther.interval])
  const { machine, costs } = ofOther.interval
  expect(costs.after!.mid).toBeCloseTo(machine.after!.kwh.mid * 0.16, 9)
}, 120_000)

test('a newer question of one page drops its older one that waits; another page keeps its own', async () => {
  const [first, older, other, newer] = await Promise.all([
    ask(OTHER, { asker: 'page one' }),
    ask(OTHER, { asker: 'page one' }),
    ask(OTHER, { asker: 'page two' }),
    ask(OTHER, { asker: 'page one', part: 'middle' }),
  ])
  expect([first, older, other, newer].map(({ status }) => status)).toEqual([200, 409, 200, 200])
  expect(older!.body.code).toBe('SUPERSEDED')
}, 60_000)

test('facts and settings that change are in the very next answer, and undone they are as before', async () => {
  const before = await ask(OTHER, { part: 'middle' })
  const tree = (await readHouse(service.db, OTHER))!
  const store = (changed: typeof tree) => storeHouse(service.db, changed, { replace: true, now: 0, who: 'a test' })
  await store({ ...tree, safety: { floodZone: 'yes', combustionAppliances: 'no', radonTest: 'no' } })
  const inZone = await ask(OTHER, { part: 'middle' })
  expect(inZone.body.held.reason).toMatch(/^Held\. The house stands in a flood hazard zone/)
  expect(before.body.held.reason).toMatch(/^Held: record this first/)
  await store({ ...tree, facts: { ...tree.facts, targetRhPct: 60 } })
  const target = (await ask(OTHER)).body.targetRhPct
  await store(tree)
  const back = await ask(OTHER)
  expect([target, back.body.targetRhPct]).toEqual([60, 55])
  expect((await ask(OTHER, { part: 'middle' })).body).toEqual(before.body)
}, 90_000)

test('a service that stops refuses the question that is under way with a sentence', async () => {
  const db = scratchDatabase()
  await storeBalanceHouse(db)
  await refreshHourly(db)
  const stopping = await buildService({
    door: 'open on this machine',
    databasePath: db.path,
    now: Date.now,
    log: false,
  })
  const url = `/api/houses/${OTHER}/whatif`
  const asked = stopping.app.inject({ method: 'POST', url, payload: { remedies: REMEDIES } })
  setTimeout(() => stopping.stop(), 600)
  const answer = await asked
  expect([answer.statusCode, answer.json()]).toMatchObject([503, { code: 'NOT_READY', message: /stopping/ }])
}, 30_000)
