import { expect, test } from 'vitest'
import { findingsOf } from '../../server/study/findings.ts'
import { scratchDatabase } from '../support/database.ts'
import { DAY, MINUTE, madeReadings, swing } from '../support/series.ts'
import { storeTestHouse, TEST_HOUSE } from '../support/studiedHouse.ts'

const START = Date.UTC(2024, 4, 1, 4)
const span = { from: START, to: START + 30 * DAY, everyMs: 30 * MINUTE, rhPct: swing(75, 6) }
const air = madeReadings({ ...span, tempC: swing(18, 2) })

const checksOf = async (readings: Parameters<typeof storeTestHouse>[2]) => {
  const db = scratchDatabase()
  await storeTestHouse(db, TEST_HOUSE, readings)
  const findings = await findingsOf(db, TEST_HOUSE.key, { now: 0 })
  return findings!.filter(({ question }) => question === 'sensor checks')
}

test('healthy loggers pass, with a word on what two of them cannot show', async () => {
  const [finding, ...more] = await checksOf({ 'l1/air': air, 'lo/air': air })
  expect(more).toEqual([])
  expect(finding!.sentence).toContain('no fault')
  expect(finding!.evidenceAgainst).toHaveLength(1)
})

test('a gap of six days and a stuck sensor are told with their local dates', async () => {
  const keep = [...air.at.keys()].filter((i) => air.at[i]! < START + 10 * DAY || air.at[i]! >= START + 16 * DAY)
  const pick = (column: Float64Array) => Float64Array.from(keep, (i) => column[i]!)
  const gappy = { at: pick(air.at), tempC: pick(air.tempC!), rhPct: pick(air.rhPct!) }
  const stuck = {
    ...air,
    tempC: air.tempC!.map((t, i) => (i >= 480 && i < 576 ? 17 : t)),
    rhPct: air.rhPct!.map((rh, i) => (i >= 480 && i < 576 ? 70 : rh)),
  }
  const findings = await checksOf({ 'l1/air': gappy, 'l2/air': stuck, 'lo/air': air })
  expect(findings.map(({ sentence }) => sentence.slice(0, sentence.indexOf(': ')))).toEqual([
    'Low corner, gap, 2024-05-10 23:00 to 2024-05-17 00:00',
    'Mid joist, stuck, 2024-05-11 00:00 to 2024-05-13 00:00',
  ])
})

test('a gap at every spot at once is one finding, and a spot that fell silent alone still has its own', async () => {
  const without = (from: number, to: number) => {
    const keep = [...air.at.keys()].filter((i) => air.at[i]! < START + from * DAY || air.at[i]! >= START + to * DAY)
    const pick = (column: Float64Array) => Float64Array.from(keep, (i) => column[i]!)
    return { at: pick(air.at), tempC: pick(air.tempC!), rhPct: pick(air.rhPct!) }
  }
  const all = without(10, 16)
  const [together, ...more] = await checksOf({ 'l1/air': all, 'l2/air': all, 'lo/air': without(10, 18) })
  expect(more).toEqual([])
  expect(together).toMatchObject({ subject: {}, numbers: { hours: { value: 6 * 24 + 1 } } })
  expect(together!.sentence).toMatch(/any of 3 spots .* 2024-05-10 23:00 to 2024-05-17 00:00: .*gateway or the power/)
  const apart = await checksOf({ 'l1/air': all, 'l2/air': air, 'lo/air': without(12, 18) })
  expect(apart.map(({ subject }) => subject.spot)).toEqual(['crawl/low', 'out/north'])
})
