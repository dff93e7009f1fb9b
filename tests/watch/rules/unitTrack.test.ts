import { expect, test } from 'vitest'
import { isInOtherUnit, unitTrack } from '../../../server/watch/rules/unitTrack.ts'

const OTHERS = 15
const FAHRENHEIT = 59 // 15 °C

const along = (tempsC: number[], others = OTHERS): boolean[] => {
  const track = unitTrack()
  return tempsC.map((tempC) => isInOtherUnit(track, tempC, others))
}

test('one step to what °F would say, and back, is the unit', () => {
  expect(along([15, 15, FAHRENHEIT, 60, 58, 15])).toEqual([false, false, true, true, true, false])
  expect(along([FAHRENHEIT])).toEqual([true])
  // The reverse: a logger of the others' 59 °C, told as 15.
  expect(along([59, 15], 59)).toEqual([false, true])
})

test('what drifts there over hours is believed', () => {
  // A cavity in a frosty night: the others stay at 15 °C, this one falls to what 15 °F would be.
  const falling = Array.from({ length: 15 }, (_, i) => 15 - 2 * i)
  expect(along(falling)).toEqual(falling.map(() => false))
})

test('far from the others and not the other unit, or without others, it is believed', () => {
  expect(along([15, 40])).toEqual([false, false])
  expect(along([15, FAHRENHEIT], Number.NaN)).toEqual([false, false])
  expect(along([15, Number.NaN, FAHRENHEIT])).toEqual([false, false, true])
})
