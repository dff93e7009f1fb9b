import { expect, test } from 'vitest'
import { thresholds } from '../../server/advice/thresholds.ts'
import { coldSurfaceTempC, condensationOn, condensingHours } from '../../server/moisture/condensation.ts'
import { localDays } from '../../server/moisture/observed.ts'
import { column, realHouse, START, spotOf, ZONE } from './made.ts'

const limits = thresholds()
const HOURS = 24 * 10
const days = localDays({ startAt: START, hours: HOURS, timeZone: ZONE })
/** 20 °C at 80 % for the first part of the day, dry after: dew point 16.4 °C (ASHRAE psychrometric chart). */
const wetFor = (hoursPerDay: number) => spotOf(HOURS, 20, (h) => (h % 24 < hoursPerDay ? 80 : 30))

test('seven hours a day on three of seven days is the rule, six hours never', () => {
  const duct = { name: 'supply duct', tempC: 15 }
  const seven = condensationOn(wetFor(7), duct, days, limits)
  expect(seven.days.map((day) => day.rule)).toEqual(['cannot tell', 'cannot tell', ...Array(8).fill('yes')])
  expect(seven.totalHours).toBe(70)
  const six = condensationOn(wetFor(6), duct, days, limits)
  expect(six.days.slice(4).every((day) => day.rule === 'no')).toBe(true)
  expect(condensationOn(wetFor(7), { name: 'warm duct', tempC: 17 }, days, limits).totalHours).toBe(0)
})

test('days with gaps are unknown, and a yes can stand beside them', () => {
  const spot = wetFor(7)
  for (let d = 0; d < 7; d++) spot.vaporPressurePa.fill(Number.NaN, d * 24 + 12, d * 24 + 24)
  const found = condensationOn(spot, { name: 'duct', tempC: 15 }, days, limits)
  expect(found.days[2]!.rule).toBe('yes') // more than six wet hours were seen before the gap
  spot.vaporPressurePa.fill(Number.NaN, 0, 7 * 24)
  const unknown = condensationOn(spot, { name: 'duct', tempC: 15 }, days, limits)
  expect(unknown.days[6]!.rule).toBe('cannot tell')
  expect(unknown.missingHours).toBe(7 * 24)
})

test('the surface is measured, else entered, else computed; else it says what to do', () => {
  const spot = spotOf(HOURS, 24, 60)
  expect(coldSurfaceTempC({ ...spot, surfaceTempC: column(HOURS, 14) }, { name: 'a', tempC: 10 }).basis).toBe(
    'measured',
  )
  expect(coldSurfaceTempC(spot, { name: 'a', tempC: 10, insideTempC: 13 }).basis).toBe('entered')
  // 24 °C air, 13 °C inside, R 0.36 and a film of 0.12: 24 - 11 × 0.12 / 0.48 = 21.25 °C.
  const computed = coldSurfaceTempC(spot, { name: 'a', insideTempC: 13, insulationM2KPerW: 0.36 })
  expect(computed.tempC[0]).toBeCloseTo(21.25, 9)
  expect(() => coldSurfaceTempC(spot, { name: 'rim joist' })).toThrow('How cold "rim joist" gets is not known')
})

test('frost forms before dew would: -10 °C air at 92 % over water frosts a surface as cold as itself', () => {
  // Over ice that air is at 92 × 286.5 / 259.9 = 101 % (saturation over water and ice at -10 °C, WMO tables).
  expect(condensingHours(spotOf(1, -10, 92), column(1, -10))[0]).toBe(1)
  expect(condensingHours(spotOf(1, -10, 90), column(1, -10))[0]).toBe(0)
  expect(condensingHours(spotOf(1, 10, 92), column(1, 10))[0]).toBe(0)
})

test('the highest dew point of the hour decides where it is kept', () => {
  const spot = { ...spotOf(2, 20, 70), dewPointMaxC: Float64Array.of(16, Number.NaN) }
  expect([...condensingHours(spot, column(2, 15))]).toEqual([1, 0])
})

test('a real attic through 19 months: surfaces 2 K colder are wet or frosted in winter, not in summer', () => {
  const observed = realHouse('attic-r2-hourly.csv.gz', ['air'])
  const spot = observed.spots[0]!
  const all = localDays(observed)
  const found = condensationOn(
    { ...spot, surfaceTempC: spot.tempC.map((t) => t - 2) },
    { name: 'roof boards' },
    all,
    limits,
  )
  const hoursIn = (month: string) =>
    found.days.reduce(
      (sum, day) => sum + (new Date(day.at + 43_200_000).toISOString().startsWith(month) ? day.condensingHours : 0),
      0,
    )
  expect(hoursIn('2011-12')).toBeGreaterThan(500)
  expect(hoursIn('2011-07')).toBeLessThan(20)
  expect(found.missingHours).toBe(0)
})
