import { expect, test } from 'vitest'
import * as air from '../../server/physics/air.ts'
import * as columns from '../../server/physics/airColumns.ts'
import { wetBulbC } from '../../server/physics/wetBulb.ts'
import { seeded } from '../support/seeded.ts'

const ROWS = 20_000
const PRESSURE_PA = 98_000

const random = seeded(11)
const tempC = Float64Array.from({ length: ROWS }, () => -35 + 90 * random())
// From 10 %: the driest and coldest rows still have a dew point, so that every row compares two numbers.
const rhPct = Float64Array.from({ length: ROWS }, () => 10 + 95 * random())
const vaporPa = Float64Array.from(tempC, (t, i) => air.vaporPressurePa(t, rhPct[i]!))
const out = () => new Float64Array(ROWS)

function worst(found: Float64Array, scalar: (i: number) => number, relative: boolean): number {
  let largest = 0
  for (let i = 0; i < ROWS; i++) {
    const expected = scalar(i)
    const difference = Math.abs(found[i]! - expected) / (relative ? Math.abs(expected) : 1)
    if (!(difference <= largest)) largest = difference // a NaN is the worst of all
  }
  return largest
}

test('array forms equal the scalar forms', () => {
  const { saturationVaporPressurePaInto, vaporPressurePaInto, humidityRatioInto, vaporDensityGM3Into } = columns
  const saturation = saturationVaporPressurePaInto(out(), tempC)
  expect(worst(saturation, (i) => air.saturationVaporPressurePa(tempC[i]!), true)).toBeLessThan(1e-10)
  expect(worst(vaporPressurePaInto(out(), tempC, rhPct), (i) => vaporPa[i]!, true)).toBeLessThan(1e-10)
  const rh = columns.rhPctFromVaporPressureInto(out(), tempC, vaporPa)
  expect(worst(rh, (i) => rhPct[i]!, true)).toBeLessThan(1e-10)
  const ratio = humidityRatioInto(out(), vaporPa, PRESSURE_PA)
  expect(worst(ratio, (i) => air.humidityRatio(vaporPa[i]!, PRESSURE_PA), true)).toBeLessThan(1e-12)
  const density = vaporDensityGM3Into(out(), tempC, vaporPa)
  expect(worst(density, (i) => air.vaporDensityGM3(tempC[i]!, vaporPa[i]!), true)).toBeLessThan(1e-12)
  const dew = columns.dewPointCInto(out(), vaporPa)
  expect(worst(dew, (i) => air.dewPointC(vaporPa[i]!), false)).toBeLessThan(1e-8)
  const dewFromRh = columns.dewPointFromRhCInto(out(), tempC, rhPct)
  expect(worst(dewFromRh, (i) => air.dewPointFromRhC(tempC[i]!, rhPct[i]!), false)).toBeLessThan(1e-8)
  const bulb = columns.wetBulbCInto(out(), tempC, rhPct, PRESSURE_PA)
  expect(worst(bulb, (i) => wetBulbC(tempC[i]!, rhPct[i]!, PRESSURE_PA), false)).toBeLessThan(1e-6)
  const frosty = vaporPa.map((pa) => pa / 30)
  const frost = columns.frostPointCInto(out(), frosty)
  expect(worst(frost, (i) => air.frostPointC(frosty[i]!), false)).toBeLessThan(1e-8)
})

test('tables and Newton agree at both ends of the range', () => {
  const ends = Float64Array.of(-60, 100)
  const pressures = columns.saturationVaporPressurePaInto(new Float64Array(2), ends)
  expect(pressures[0]! / air.saturationVaporPressurePa(-60)).toBeCloseTo(1, 10)
  expect(pressures[1]! / air.saturationVaporPressurePa(100)).toBeCloseTo(1, 10)
  const dew = columns.dewPointCInto(new Float64Array(2), pressures)
  expect(dew[0]).toBeCloseTo(-60, 8)
  expect(dew[1]).toBeCloseTo(100, 8)
})

const BAD = Number.NaN
test('bad rows become NaN and leave their neighbors alone', () => {
  const t = Float64Array.of(20, BAD, -61, 101, 20, 20, 20, 20)
  const rh = Float64Array.of(50, 50, 50, 50, BAD, -1, 106, 60)
  const known = (column: Float64Array) => [...column].map((value) => !Number.isNaN(value))
  const onlyEnds = [true, false, false, false, false, false, false, true]
  const fresh = () => new Float64Array(t.length)
  expect(known(columns.vaporPressurePaInto(fresh(), t, rh))).toEqual(onlyEnds)
  expect(known(columns.dewPointFromRhCInto(fresh(), t, rh))).toEqual(onlyEnds)
  expect(known(columns.wetBulbCInto(fresh(), t, rh, 101_325))).toEqual(onlyEnds)
  const withTemp = [true, false, false, false, true, true, true, true]
  expect(known(columns.saturationVaporPressurePaInto(fresh(), t))).toEqual(withTemp)
})

test('pressures without a dew or frost point, and impossible vapor, become NaN', () => {
  const pa = Float64Array.of(1000, 0, -5, BAD, 102_000, Number.POSITIVE_INFINITY, 400)
  const known = (column: Float64Array) => [...column].map((value) => !Number.isNaN(value))
  const fresh = () => new Float64Array(pa.length)
  const twenty = fresh().fill(20)
  expect(known(columns.dewPointCInto(fresh(), pa))).toEqual([true, false, false, false, false, false, true])
  expect(known(columns.frostPointCInto(fresh(), pa))).toEqual([false, false, false, false, false, false, true])
  const ordinary = [true, true, false, false, false, false, true]
  expect(known(columns.rhPctFromVaporPressureInto(fresh(), twenty, pa))).toEqual(ordinary)
  expect(known(columns.humidityRatioInto(fresh(), pa, 101_325))).toEqual(ordinary)
  expect(known(columns.vaporDensityGM3Into(fresh(), twenty, pa))).toEqual(ordinary)
})

test('wet bulbs of temperatures that only the other functions know become NaN', () => {
  const bulbs = columns.wetBulbCInto(
    new Float64Array(3),
    Float64Array.of(-41, 61, 60),
    Float64Array.of(50, 50, 50),
    101_325,
  )
  expect([...bulbs].map((value) => !Number.isNaN(value))).toEqual([false, false, true])
})

test('a result may overwrite one of its inputs', () => {
  const inPlace = vaporPa.slice()
  columns.dewPointCInto(inPlace, inPlace)
  expect(inPlace).toEqual(columns.dewPointCInto(out(), vaporPa))
})

test('columns of unequal length and an impossible station pressure are refused', () => {
  const two = new Float64Array(2)
  expect(() => columns.dewPointCInto(new Float64Array(3), two)).toThrow('3 rows expected, got 2')
  expect(() => columns.humidityRatioInto(two, two, 1013)).toThrow('pressurePa must be between 30000 and 120000 Pa')
  expect(() => columns.wetBulbCInto(two, two, two, 130_000)).toThrow('pressurePa must be between 30000 and 120000 Pa')
})
