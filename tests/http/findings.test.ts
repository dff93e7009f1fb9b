import { expect, onTestFinished, test } from 'vitest'
import { buildApp } from '../../server/http/app.ts'
import { createIntake } from '../../server/ingest/intake.ts'
import type { Finding } from '../../server/study/finding.ts'
import { createHouseFindings } from '../../server/study/houseFindings.ts'
import { scratchDatabase } from '../support/database.ts'
import { DAY, HOUR, madeReadings, swing } from '../support/series.ts'
import { storeTestHouse, TEST_HOUSE } from '../support/studiedHouse.ts'

const START = Date.UTC(2024, 4, 1, 4)
const NOW = START + 30 * DAY
const span = { from: START, to: NOW, everyMs: HOUR }
const READINGS = {
  'l1/air': madeReadings({ ...span, tempC: swing(18, 1), rhPct: swing(84, 3) }),
  'lo/air': madeReadings({ ...span, tempC: swing(18, 4), rhPct: swing(65, 8) }),
}
const HOUSE = { ...TEST_HOUSE, works: [{ key: 'drain', kind: 'yard drain' as const, from: '2024-05-12' }] }

async function appOn(now = () => NOW) {
  const db = scratchDatabase()
  await storeTestHouse(db, HOUSE, READINGS)
  const nothing = { find: async () => null, lines: async () => [], receiptCsv: async function* () {} }
  const app = await buildApp({
    door: { kind: 'open on this machine' },
    reach: async () => undefined,
    intake: createIntake(db, { now }),
    imports: nothing,
    findings: createHouseFindings(db, now),
    health: async () => [],
  })
  onTestFinished(() => app.close())
  return { app, db, get: (url: string) => app.inject({ method: 'GET', url }) }
}

test('findings come as SI numbers with placeholders, and worded when units are asked for', async () => {
  const { get } = await appOn()
  const plain = await get(`/api/houses/${HOUSE.key}/findings`)
  expect(plain.statusCode).toBe(200)
  const { house, findings } = plain.json()
  expect(house).toEqual({ key: HOUSE.key, name: HOUSE.name, invented: true, timeZone: HOUSE.timeZone })
  const levelOf = (all: Finding[]) =>
    all.find(({ question, subject }) => question === 'moisture levels' && subject.spot === 'crawl/low')
  expect(levelOf(findings)!.sentence).toContain('{meanDewPoint}')
  expect(levelOf(findings)!.numbers.meanDewPoint!.unit).toBe('°C')
  expect(findings.every((finding: object) => !('worded' in finding))).toBe(true)

  for (const [units, degrees] of [
    ['us', '°F'],
    ['si', '°C'],
  ] as const) {
    const worded = (await get(`/api/houses/${HOUSE.key}/findings?units=${units}`)).json().findings
    expect(worded).toHaveLength(findings.length)
    expect((levelOf(worded) as Finding & { worded: Finding }).worded.sentence).toContain(degrees)
    expect(JSON.stringify(worded.map((one: { worded: Finding }) => one.worded))).not.toMatch(/\{\w+\}/)
  }
})

test('those who ask together share one study', async () => {
  const { app, db } = await appOn()
  const ask = () => app.inject({ method: 'GET', url: `/api/houses/${HOUSE.key}/findings` })
  const [one, two] = await Promise.all([ask(), ask()])
  expect(one.json()).toEqual(two.json())
  expect(db.raw.prepare('select count(*) n from findings').get()).toEqual({ n: one.json().findings.length })
})

test('a logger that has fallen silent since the study is not dry', async () => {
  let now = NOW
  const { get } = await appOn(() => now)
  const spotLevel = async () => {
    const { findings } = (await get(`/api/houses/${HOUSE.key}/findings`)).json()
    return (findings as Finding[]).find(
      ({ question, subject }) => question === 'level' && subject.spot === 'crawl/low' && !subject.period,
    )!
  }
  expect((await spotLevel()).sentence).not.toContain('Silent')
  now = NOW + 2 * DAY
  const silent = await spotLevel()
  expect(silent.certainty).toBe('cannot tell')
  expect(silent.sentence).toContain('Silent')
  expect(silent.missing![0]).toContain('Low corner')
})

test.each([
  ['/api/houses/nobody/findings', 404, 'UNKNOWN_HOUSE', 'params/id'],
  ['/api/houses/No%20body/findings', 400, 'BAD_REQUEST', 'params/id'],
  [`/api/houses/${HOUSE.key}/findings?units=furlongs`, 400, 'BAD_REQUEST', 'querystring/units'],
  [`/api/houses/${HOUSE.key}/findings?unit=us`, 400, 'BAD_REQUEST', 'querystring'],
])('%s is answered %i with code, sentence and what to do', async (url, status, code, where) => {
  const { get } = await appOn()
  const answer = await get(url)
  expect(answer.statusCode).toBe(status)
  expect(answer.json()).toMatchObject({ code, where })
  expect(Object.keys(answer.json()).sort()).toEqual(['code', 'hint', 'message', 'where'])
})

test('a threshold that does not hold is named, not hidden behind a fault of the program', async () => {
  const { db, get } = await appOn()
  db.raw.prepare('update houses set settings = ?').run(JSON.stringify({ woodWetPct: 200 }))
  const answer = await get(`/api/houses/${HOUSE.key}/findings`)
  expect(answer.statusCode).toBe(409)
  expect(answer.json()).toMatchObject({ code: 'BAD_THRESHOLD', message: expect.stringContaining('woodWetPct') })
})
