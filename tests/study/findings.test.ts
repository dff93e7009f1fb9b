import { expect, test } from 'vitest'
import { dewPointC, rhPctFromVaporPressure, vaporPressurePa } from '../../server/physics/air.ts'
import type { HouseTree } from '../../server/store/houseTree.ts'
import { storeReadings } from '../../server/store/readings.ts'
import { type Finding, QUESTIONS } from '../../server/study/finding.ts'
import { findingsOf } from '../../server/study/findings.ts'
import { fingerprintHouse } from '../../server/study/fingerprint.ts'
import { wordedText } from '../../server/study/wording.ts'
import { scratchDatabase } from '../support/database.ts'
import { DAY, HOUR, normal, seeded } from '../support/series.ts'
import { probeOf, stepsOf, storeTestHouse, TEST_HOUSE } from '../support/studiedHouse.ts'

const START = Date.UTC(2023, 4, 1, 4) // 1 May 2023, 00:00 in New York
const DAYS = 500
const WORK: HouseTree['works'] = [{ key: 'drain', kind: 'yard drain', from: '2023-09-01' }]
const NOW = { now: Date.UTC(2025, 0, 1) }

/** Outdoor air with fronts and rain; the space, warm enough never to saturate, holds a given vapor excess. */
function year(excessPa: (at: number) => number, seed = 31) {
  const random = seeded(seed)
  const noise = normal(random)
  const at = Float64Array.from({ length: DAYS * 24 }, (_, i) => START + i * HOUR)
  let [front, own] = [0, 0]
  const outdoor = { at, tempC: at.slice(), rhPct: at.slice(), rainMm: at.slice() }
  const crawl = { at, tempC: at.slice(), rhPct: at.slice() }
  for (let i = 0; i < at.length; i++) {
    front = 0.99 * front + 0.45 * noise()
    own = 0.98 * own + 4 * noise()
    const season = -Math.cos((2 * Math.PI * (at[i]! / DAY - 20)) / 365.25)
    const tempC = 14 + 10 * season + 4 * Math.sin((2 * Math.PI * at[i]!) / DAY) + front
    outdoor.tempC[i] = tempC
    outdoor.rhPct[i] = Math.min(97, Math.max(35, 68 - 3 * (tempC - 14 - 10 * season - front) + 2 * noise()))
    outdoor.rainMm[i] = Math.floor(i / 24) % 6 === 0 ? 0.5 : 0
    crawl.tempC[i] = 20 + 5 * season + 0.2 * front + 0.05 * noise()
    const wanted = vaporPressurePa(tempC, outdoor.rhPct[i]!) + excessPa(at[i]!) + own
    crawl.rhPct[i] = Math.min(100, Math.max(5, rhPctFromVaporPressure(crawl.tempC[i]!, wanted)))
  }
  return { 'l1/air': crawl, 'l2/air': { ...crawl }, 'lo/air': outdoor }
}

const ofQuestion = (findings: Finding[] | undefined, question: string) =>
  findings!.filter((finding) => finding.question === question)

test('a house without readings cannot tell anything and says what is missing', async () => {
  const db = scratchDatabase()
  await storeTestHouse(db, TEST_HOUSE)
  const findings = await findingsOf(db, TEST_HOUSE.key, NOW)
  expect([...new Set(findings!.map(({ question }) => question))]).toEqual([...QUESTIONS])
  expect(new Set(findings!.map(({ certainty }) => certainty))).toEqual(new Set(['cannot tell']))
  for (const { missing } of findings!) expect(missing!.length).toBeGreaterThan(0)
  expect(await findingsOf(db, 'nobody', NOW)).toBeUndefined()
})

test("levels: known air gives its dew point, its excess with the sensors' doubt, and its hours over RH lines", async () => {
  const db = scratchDatabase()
  const at = Float64Array.from({ length: 60 * 24 }, (_, i) => START + i * HOUR)
  const level = (tempC: number, rhPct: number) => ({
    at,
    tempC: at.map((_, i) => tempC + (i % 2 === 0 ? 0.01 : -0.01)), // never quite the same, or it would be stuck
    rhPct: at.map((_, i) => rhPct + (i % 2 === 0 ? 0.01 : -0.01)),
  })
  const inside = level(18.33, 85) // 65 °F
  await storeTestHouse(db, TEST_HOUSE, { 'l1/air': inside, 'lo/air': level(18.33, 70) })
  const [low, mid] = ofQuestion(await findingsOf(db, TEST_HOUSE.key, NOW), 'moisture levels')
  const numbers = low!.numbers
  expect(numbers.meanDewPoint!.value).toBeCloseTo(dewPointC(vaporPressurePa(18.33, 85)), 2)
  expect(numbers.vaporExcess!.value).toBeCloseTo(vaporPressurePa(18.33, 85) - vaporPressurePa(18.33, 70), 0)
  // Trade notes: two sensors of ±2 % RH and ±0.5 °F leave about 75 Pa open at 65 °F.
  expect((numbers.vaporExcess!.high! - numbers.vaporExcess!.low!) / 2).toBeGreaterThan(68)
  expect((numbers.vaporExcess!.high! - numbers.vaporExcess!.low!) / 2).toBeLessThan(80)
  expect([numbers.hoursOver80!.value, numbers.hoursOver90!.value]).toEqual([60 * 24, 0])
  // Wood Handbook, as in the trade notes: 18.0 % at 85 % RH and 70 °F; a little more in cooler wood.
  expect(numbers.woodEstimate!.value).toBeGreaterThan(17.5)
  expect(numbers.woodEstimate!.value).toBeLessThan(18.7)
  expect(low!.certainty).toBe('shown')
  expect(wordedText(low!.sentence, low!, 'si')).toContain('water enters the air here')
  expect(wordedText(low!.sentence, low!, 'us')).toContain('60.4 °F')
  expect(wordedText(low!.sentence, low!, 'us')).not.toContain('{')
  expect(mid).toMatchObject({ certainty: 'cannot tell', subject: { spot: 'crawl/mid' } })
})

test('the same air as outdoors is no source of water', async () => {
  const db = scratchDatabase()
  await storeTestHouse(
    db,
    TEST_HOUSE,
    year(() => 0),
  )
  const [low] = ofQuestion(await findingsOf(db, TEST_HOUSE.key, NOW), 'moisture levels')
  expect(low!.certainty).not.toBe('shown')
  expect(low!.sentence).toContain('within what the sensors leave open')
})

test('a work that took out 150 Pa is drier on matched days, with the truth inside its interval', async () => {
  const db = scratchDatabase()
  const done = Date.UTC(2023, 8, 1, 4)
  await storeTestHouse(
    db,
    { ...TEST_HOUSE, works: WORK },
    year((at) => (at < done ? 300 : 150)),
  )
  const [finding] = ofQuestion(await findingsOf(db, TEST_HOUSE.key, NOW), 'matched days')
  expect(finding).toMatchObject({ certainty: 'likely', subject: { space: 'crawl', works: ['drain'], period: 'P1' } })
  expect(finding!.sentence).toContain('is drier since the yard drain')
  expect(finding!.numbers.change!.low).toBeLessThan(-150)
  expect(finding!.numbers.change!.high).toBeGreaterThan(-150)
  expect(finding!.numbers.pairs!.value).toBeGreaterThan(30)
})

test('a work that did nothing is not called drier or wetter', async () => {
  const db = scratchDatabase()
  await storeTestHouse(
    db,
    { ...TEST_HOUSE, works: WORK },
    year(() => 250),
  )
  const [finding] = ofQuestion(await findingsOf(db, TEST_HOUSE.key, NOW), 'matched days')
  expect(finding!.sentence).toMatch(/no clear change|cannot be told/)
  expect(finding!.numbers.change!.low).toBeLessThan(0)
  expect(finding!.numbers.change!.high).toBeGreaterThan(0)
})

test('without rain, or without outdoor air, the effect cannot be told and the missing thing is named', async () => {
  const readings = year(() => 250)
  const { rainMm: _, ...rainless } = readings['lo/air']
  for (const [outdoor, missing] of [
    [{ 'lo/air': rainless }, 'rain'],
    [{}, 'outdoor'],
  ] as const) {
    const db = scratchDatabase()
    await storeTestHouse(db, { ...TEST_HOUSE, works: WORK }, { 'l1/air': readings['l1/air'], ...outdoor })
    const [finding] = ofQuestion(await findingsOf(db, TEST_HOUSE.key, NOW), 'matched days')
    expect(finding).toMatchObject({ certainty: 'cannot tell', missing: [expect.stringContaining(missing)] })
  }
})

test('findings are kept until readings, corrections or works change', async () => {
  const db = scratchDatabase()
  const readings = year(() => 250)
  const stored = await storeTestHouse(db, TEST_HOUSE, readings)
  let made = 0
  const ask = () =>
    findingsOf(db, TEST_HOUSE.key, {
      ...NOW,
      study: async () => {
        made++
        return QUESTIONS.map(finding)
      },
    })
  const finding = (question: Finding['question']): Finding => ({
    question,
    subject: {},
    sentence: `answer ${made}`,
    numbers: {},
    evidenceFor: [],
    evidenceAgainst: [],
    certainty: 'likely',
    wouldChangeIt: '',
  })
  const first = await ask()
  expect(await ask()).toEqual(first)
  expect(made).toBe(1)

  const next = { at: Float64Array.of(START + DAYS * DAY), tempC: Float64Array.of(16), rhPct: Float64Array.of(70) }
  await storeReadings(db, stepsOf(probeOf(stored, 'l1/air'), next))
  await ask()
  expect(made).toBe(2)

  await storeTestHouse(db, { ...TEST_HOUSE, works: WORK })
  await ask()
  await ask()
  expect(made).toBe(3)

  const correction = { probe: 'l2/air', quantity: 'rhPct' as const, offset: 1, from: '2023-06-01', why: 'salt check' }
  await storeTestHouse(db, { ...TEST_HOUSE, works: WORK, corrections: [correction] })
  await ask()
  await ask()
  expect(made).toBe(4)

  db.raw.prepare('update houses set settings = ? where key = ?').run('{"woodWetPct":21}', TEST_HOUSE.key)
  await ask()
  await ask()
  expect(made).toBe(5)

  db.raw.prepare('insert into firm (id, settings) values (1, ?)').run('{"woodDampPct":15}')
  await ask()
  await ask()
  expect(made).toBe(6)

  // The same reading once more, and a photo, are nothing to a finding.
  await storeReadings(db, stepsOf(probeOf(stored, 'l1/air'), next))
  db.raw.prepare("insert into photos (house_id, hash, media_type) values (1, 'aa', 'image/png')").run()
  await ask()
  expect(made).toBe(6)
})

test('a battery value filled in later reaches the findings though no air value changed', async () => {
  const db = scratchDatabase()
  const stored = await storeTestHouse(db, TEST_HOUSE, { 'l1/air': year(() => 250)['l1/air'] })
  let made = 0
  const study = async () => {
    made++
    return []
  }
  await findingsOf(db, TEST_HOUSE.key, { ...NOW, study })
  const before = (await fingerprintHouse(db, TEST_HOUSE.key))!.fingerprint
  const battery = { at: Float64Array.of(START), batteryV: Float64Array.of(2.4) }
  await storeReadings(db, stepsOf(probeOf(stored, 'l1/air'), battery))
  await findingsOf(db, TEST_HOUSE.key, { ...NOW, study })
  expect((await fingerprintHouse(db, TEST_HOUSE.key))!.fingerprint).not.toBe(before)
  expect(made).toBe(2)
})
