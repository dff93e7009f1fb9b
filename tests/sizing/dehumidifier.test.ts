import { expect, test } from 'vitest'
import { capacityLPerDay } from '../../server/physics/dehumidifier.ts'
import {
  humidityRatioFromGrainsPerLb,
  litersFromPints,
  m2FromSquareFeet,
  m3FromCubicFeet,
  pintsFromLiters,
} from '../../server/physics/units.ts'
import { codeFloorLPerDay, plainLoad, sealingFirst, sizeDehumidifier } from '../../server/sizing/dehumidifier.ts'

// Worked figures of trade practice for 4,500 ft³ and 30 grains/lb (calculated there, printed to two digits).
const TRADE_ROWS = [
  { changesPerH: 0.1, pints: 3.3 },
  { changesPerH: 0.5, pints: 17 },
  { changesPerH: 1, pints: 33 },
  { changesPerH: 3, pints: 100 },
]
const air = (changesPerH: number) => ({
  volumeM3: m3FromCubicFeet(4500),
  changesPerH,
  outdoorHumidityRatio: humidityRatioFromGrainsPerLb(110),
  heldHumidityRatio: humidityRatioFromGrainsPerLb(80),
  groundLPerDay: 0,
})

test.each(TRADE_ROWS)('air at $changesPerH changes an hour brings $pints pints a day', ({ changesPerH, pints }) => {
  const load = pintsFromLiters(plainLoad(air(changesPerH)).totalLPerDay)
  expect(Math.abs(load / pints - 1)).toBeLessThan(0.03) // two printed digits
})

test('the load is the sum of its paths, and dry outdoor air lightens it but never below zero', () => {
  const load = plainLoad({ ...air(0.5), groundLPerDay: 3, rainLPerDay: 1, leakLPerDay: 2, houseLPerDay: 0.5 })
  const sum = Object.values(load.byPath).reduce((a, b) => a + b, 0)
  expect(load.totalLPerDay).toBeCloseTo(sum, 9)
  const winter = plainLoad({ ...air(1), outdoorHumidityRatio: 0.002, groundLPerDay: 3 })
  expect(winter.byPath.outdoorAir).toBeLessThan(0)
  expect(winter.totalLPerDay).toBe(0)
})

test('the code floor is 70 pints a day for each 1,000 ft²', () => {
  expect(pintsFromLiters(codeFloorLPerDay(m2FromSquareFeet(1000)))).toBeCloseTo(70, 6)
  expect(pintsFromLiters(codeFloorLPerDay(m2FromSquareFeet(1610)))).toBeCloseTo(112.7, 6)
})

test('a unit of the rating asked for takes out the load with its margin, on every basis', () => {
  const sizing = sizeDehumidifier(12, { tempC: 22, rhPct: 55 }, 140)
  for (const [basis, ratedLPerDay] of Object.entries(sizing.ratedLPerDay)) {
    const does = capacityLPerDay({ ratedLPerDay, basis: basis as '65 °F' }, 22, 55)
    expect(does).toBeCloseTo(12 * 1.2, 6)
  }
  // The older label is the larger number for the same box.
  expect(sizing.ratedLPerDay['80 °F']).toBeGreaterThan(sizing.ratedLPerDay['65 °F'])
  expect(sizing.extrapolated).toBe(false)
  expect(sizeDehumidifier(12, { tempC: 14, rhPct: 55 }, 140).extrapolated).toBe(true)
})

// Trade practice: 30 pints a day at 1.6 L/kWh is 266 kWh a month, at 2.8 it is 152.
test.each([
  { ief: 1.6, kwh: 266 },
  { ief: 2.8, kwh: 152 },
])('30 pints a day at $ief L/kWh use about $kwh kWh a month', ({ ief, kwh }) => {
  const sizing = sizeDehumidifier(litersFromPints(30), { tempC: 22, rhPct: 55 }, 140, ief)
  expect(Math.abs(sizing.kwhPerMonth - kwh)).toBeLessThan(1)
})

test('sealing first says how many pints a day it saves', () => {
  const saved = sealingFirst(air(1), 0.3)
  expect(pintsFromLiters(saved.savesLPerDay)).toBeCloseTo(0.7 * pintsFromLiters(saved.withoutSealingLPerDay), 6)
  expect(saved.sentence).toBe('Sealing first saves 23 pints a day.')
  expect(sealingFirst(air(0.2), 0.3).savesLPerDay).toBe(0)
})

test.each([
  { changesPerH: -1, says: 'changesPerH must be between 0 and 100 1/h, got -1' },
  { changesPerH: Number.NaN, says: 'changesPerH must be between 0 and 100 1/h, got NaN' },
])('a load refuses $changesPerH air changes', ({ changesPerH, says }) => {
  expect(() => plainLoad(air(changesPerH))).toThrow(says)
})
