/** Remedies tried on a house: what is held back says so, and what is not known of them is said. */
import { expect, test } from 'vitest'
import { thresholds } from '../../server/advice/thresholds.ts'
import type { HouseTree } from '../../server/store/houseTree.ts'
import { refreshHourly } from '../../server/store/refreshHourly.ts'
import { answerWhatIf, type WhatIfAsked, type WhatIfTold } from '../../server/study/balance/balanceWhatIf.ts'
import { whatIfPage } from '../../server/study/balance/balanceWhatIfPage.ts'
import { readHouseRecord } from '../../server/study/houseRecord.ts'
import type { StudiedHouse } from '../../server/study/studiedHouse.ts'
import { BALANCE_HOUSE, storeBalanceHouse } from '../support/balanceHouse.ts'
import { scratchDatabase } from '../support/database.ts'

async function storedHouse(safety?: HouseTree['safety']): Promise<StudiedHouse> {
  const db = scratchDatabase()
  await storeBalanceHouse(db, { ...BALANCE_HOUSE, ...(safety && { safety }) })
  await refreshHourly(db)
  return (await readHouseRecord(db, BALANCE_HOUSE.key))!
}

function ask(house: StudiedHouse, asked: Partial<WhatIfAsked>): WhatIfTold {
  const answer = answerWhatIf(house, { remedies: [], year: null, ...asked }, thresholds())
  if (answer.outcome !== 'told') throw new Error(answer.reason)
  return answer
}

test('closing and fans are computed and held while flood zone, appliances and radon are not recorded; a cover is not', async () => {
  const house = await storedHouse()
  const kinds = ['vents sealed', 'encapsulation', 'vent fan', 'ground cover', 'downspout drain'] as const
  const answer = ask(house, { remedies: kinds.map((kind) => ({ kind })) })
  const [sealed, encapsulated, fan, ...others] = answer.remedies.map(({ held }) => held?.reason ?? null)
  for (const reason of [sealed, encapsulated]) {
    expect(reason).toMatch(/^Held: record this first\..*flood hazard zone.*fuel-burning appliance.*radon/)
  }
  expect(fan).toMatch(/fuel-burning appliance.*radon/)
  expect(fan).not.toContain('flood hazard zone')
  expect(others).toEqual([null, null])
  expect(answer.held!.reason.match(/flood hazard zone/g)).toHaveLength(1)
  expect(Number.isFinite(answer.humidityRatioGKg.change.mid)).toBe(true)
  expect(JSON.parse(JSON.stringify(answer))).toEqual(answer)
  const page = whatIfPage(house.tree, answer, 'us')
  expect(page.indexOf('Held: record this first')).toBeLessThan(page.indexOf('What if:'))
}, 30_000)

test('a part that closes the space is held like the whole, a flood zone stops, and what is recorded as "no" holds nothing', async () => {
  const remedies: WhatIfAsked['remedies'] = [{ kind: 'other', parts: ['vents sealed', 'ground cover'] }]
  const inFloodZone = ask(await storedHouse({ floodZone: 'yes', combustionAppliances: 'no', radonTest: 'no' }), {
    remedies,
  })
  expect(inFloodZone.remedies[0]!.held!.reason).toMatch(/^Held\. The house stands in a flood hazard zone/)
  const recorded = ask(await storedHouse({ floodZone: 'no', combustionAppliances: 'no', radonTest: 'yes' }), {
    remedies,
  })
  const { reason } = recorded.remedies[0]!.held!
  expect(reason).not.toMatch(/flood hazard zone|appliance/)
  expect(reason).toContain('its value is not recorded')
  const cleared = ask(
    await storedHouse({ floodZone: 'no', combustionAppliances: 'no', radonTest: 'yes', radonPciL: 1.4 }),
    { remedies },
  )
  expect(cleared.remedies[0]!.held).toBeNull()
}, 30_000)

test('a machine dries the air, leaves its assumptions in the open, and a remedy done already says so', async () => {
  const house = await storedHouse()
  const answer = ask(house, { remedies: [{ kind: 'dehumidifier' }, { kind: 'ground cover' }] })
  expect(answer.held).toBeNull()
  expect(answer.rhPct.change.high).toBeLessThan(0)
  expect(answer.assumptions.join(' ')).toMatch(/Not said of the dehumidifier: 33 L a day.*set at 52 % RH/)
  expect(answer.assumptions.join(' ')).toContain('ground cover is done already')
  expect(whatIfPage(house.tree, answer, 'si')).not.toMatch(/NaN|undefined|null|Held/)
}, 30_000)

test('a cold surface that is asked, or recorded with its temperature, is counted; without one that is said', async () => {
  const house = await storedHouse()
  const remedies: WhatIfAsked['remedies'] = [
    { kind: 'vents sealed' },
    { kind: 'dehumidifier', details: { ratedLPerDay: 33, litersPerKwh: 2 } },
  ]
  const none = ask(house, { remedies })
  expect(none.condensation).toMatchObject({ outcome: 'cannot tell', missing: [/a cold surface/] })
  expect(whatIfPage(house.tree, none, 'us')).toContain('Condensation cannot be told.')
  const asked = ask(house, { remedies, coldSurface: { name: 'water pipe', tempC: 12 } })
  if (asked.condensation.outcome !== 'told') throw new Error('hours were expected')
  expect(asked.condensation.hours.change.mid).toBeLessThan(0)
  const page = whatIfPage(house.tree, asked, 'us').replace(/\s+/g, ' ')
  expect(page).toMatch(/Condensation on water pipe, in the 180 days of the record: \d+ hours/)
  expect(page).toMatch(/It runs, in the 180 days of the record: \d+ hours .* gallons .* kWh .* None runs now\./)
  expect(page).not.toMatch(/NaN|undefined|null/)
  expect(asked.assumptions.join(' ')).not.toContain('Efficiency of the dehumidifier')
  const recorded = structuredClone(house)
  recorded.tree.spaces.find(({ key }) => key === 'crawl')!.spots[0]!.coldSurface = { name: 'rim joist', tempC: -5 }
  expect(ask(recorded, { remedies: [{ kind: 'ground cover' }] }).condensation).toMatchObject({ surface: 'rim joist' })
}, 60_000)

test('a typical year without rain takes the mean of the record and says so', async () => {
  const hours = 8760
  const tempC = Float64Array.from({ length: hours }, (_, h) => 15 - 10 * Math.cos((2 * Math.PI * h) / hours))
  const year = {
    name: 'made.epw',
    startAt: Date.UTC(2025, 0, 1),
    tempC,
    vaporPressurePa: tempC.map((t) => 600 + 50 * Math.max(0, t)),
    rainMm: null,
  }
  const answer = ask(await storedHouse(), { remedies: [{ kind: 'vents opened' }], year })
  expect(answer).toMatchObject({ weather: 'a typical year', yearName: 'made.epw' })
  expect(answer.assumptions.join(' ')).toContain('the mean rain of the record was used')
}, 30_000)
