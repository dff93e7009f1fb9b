import fc from 'fast-check'
import { expect, test } from 'vitest'
import * as unit from '../../server/physics/dehumidifier.ts'

const rated = { ratedLPerDay: 33, basis: '65 °F' } as const

// NREL/TP-5500-52791 curve, ratios worked out independently of this code: of a rating at 80 °F, 60 % the raw factor
// falls to 0.54 at 60 °F, 0.42 at 55 °F and 0.30 at 50 °F.
test.each([
  [15.6, 0.54],
  [12.8, 0.42],
  [10, 0.3],
])('in a cool crawl space at %d °C the generic capacity factor is %d', (tempC, expected) => {
  expect(Math.abs(unit.capacityFactor(tempC, 60) - expected)).toBeLessThan(0.005)
})

test('a unit removes its rating in the air it was rated in, whatever the basis and curve', () => {
  for (const basis of Object.keys(unit.RATING_BASES_C) as unit.RatingBasis[]) {
    for (const curve of Object.keys(unit.DEHUMIDIFIER_CURVES) as unit.DehumidifierCurveName[]) {
      const found = unit.capacityLPerDay({ ratedLPerDay: 30, basis, curve }, unit.RATING_BASES_C[basis], 60)
      expect(found).toBeCloseTo(30, 9)
    }
  }
})

test('the same pints at 80 °F are a smaller unit than at 65 °F', () => {
  const honest = unit.capacityLPerDay(rated, 18, 60)
  const advertised = unit.capacityLPerDay({ ...rated, basis: '80 °F' }, 18, 60)
  expect(advertised).toBeLessThan(0.7 * honest)
})

test('the rating needed for a load removes that load', () => {
  const tempC = fc.double({ min: 5, max: 32, noNaN: true })
  const rhPct = fc.double({ min: 35, max: 95, noNaN: true })
  fc.assert(
    fc.property(tempC, rhPct, fc.double({ min: 1, max: 100, noNaN: true }), (t, rh, loadL) => {
      const ratedLPerDay = unit.ratingNeededLPerDay(loadL, '65 °F', t, rh)
      expect(unit.capacityLPerDay({ ratedLPerDay, basis: '65 °F' }, t, rh)).toBeCloseTo(loadL, 8)
    }),
  )
})

test('capacity rises with humidity and never falls below 5 % of the rating', () => {
  fc.assert(
    fc.property(fc.double({ min: 10, max: 32, noNaN: true }), fc.double({ min: 40, max: 85, noNaN: true }), (t, rh) => {
      expect(unit.capacityLPerDay(rated, t, rh + 5)).toBeGreaterThanOrEqual(unit.capacityLPerDay(rated, t, rh))
    }),
  )
  expect(unit.capacityFactor(0, 20)).toBeLessThan(0)
  expect(unit.capacityLPerDay(rated, 0, 20)).toBeCloseTo(0.05 * 33, 9)
})

test('where the curve was never measured it says so', () => {
  expect(unit.isCurveExtrapolated(25, 60)).toBe(false)
  expect([unit.isCurveExtrapolated(15, 60), unit.isCurveExtrapolated(25, 90)]).toEqual([true, true])
})

test('portable limits change just above 25 and 50 pints a day', () => {
  const liters = (pints: number) => pints * 0.473176473
  expect([25, 25.01, 50, 50.01].map((pints) => unit.minimumIefPortable(liters(pints)))).toEqual([1.3, 1.6, 1.6, 2.8])
})

test('heat to the space is the electricity and the heat of condensation', () => {
  expect(unit.heatReleasedKwh(10, 20)).toBeCloseTo(23.6, 9)
  expect([unit.partLoadFraction(0), unit.partLoadFraction(1)]).toEqual([0.9, 1])
})

const BAD_CALLS: readonly [string, () => unknown, string][] = [
  ['colder than -10 °C', () => unit.capacityFactor(-11, 60), 'tempC must be between -10 and 45 °C, got -11'],
  ['hotter than 45 °C', () => unit.energyFactorFactor(80, 60), 'tempC must be between -10 and 45 °C, got 80'],
  ['RH below 0', () => unit.capacityFactor(20, -1), 'rhPct must be between 0 and 105 %, got -1'],
  ['no rating', () => unit.capacityLPerDay({ ...rated, ratedLPerDay: 0 }, 20, 60), 'ratedLPerDay must be greater than'],
  ['no load', () => unit.ratingNeededLPerDay(0, '65 °F', 20, 60), 'loadLPerDay must be greater than 0'],
  ['no efficiency', () => unit.energyKwhPerDay(20, 0), 'iefLPerKwh must be greater than 0'],
  ['negative water', () => unit.energyKwhPerDay(-1, 2), 'waterLPerDay must be at least 0'],
  ['a share in per cent', () => unit.partLoadFraction(40), 'runShare must be between 0 and 1'],
  ['negative heat', () => unit.heatReleasedKwh(-1, 2), 'energyKwh must be at least 0'],
  ['no portable', () => unit.minimumIefPortable(0), 'ratedLPerDay must be greater than 0'],
  ['no case', () => unit.minimumIefWholeHome(0), 'caseVolumeM3 must be greater than 0'],
]

test.each(BAD_CALLS)('%s is refused with the argument and its range', (_name, call, message) => {
  expect(call).toThrow(RangeError)
  expect(call).toThrow(message)
})
