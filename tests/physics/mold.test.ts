import fc from 'fast-check'
import { expect, test } from 'vitest'
import * as mold from '../../server/physics/mold.ts'
import { meetsThirtyDayCriterion, mrdDailyDose } from '../../server/physics/moldCriteria.ts'

const PINE = { material: mold.MOLD_CLASSES['very sensitive'], declineCoefficient: 1 }
const column = (hours: number, value: number) => new Float64Array(hours).fill(value)
const run = (tempC: Float64Array, rhPct: Float64Array, options: mold.MoldOptions = PINE, start = 0) =>
  mold.moldIndexInto(new Float64Array(tempC.length), tempC, rhPct, 1, options, start)

test('critical RH falls from 100 % at 0 °C to the minimum, and never rises with warmth', () => {
  expect(mold.criticalRhPct(0)).toBe(100)
  expect(mold.criticalRhPct(25)).toBe(80)
  expect(mold.criticalRhPct(25, 85)).toBe(85)
  for (let t = 0; t < 50; t += 0.25) {
    expect(mold.criticalRhPct(t + 0.25)).toBeLessThanOrEqual(mold.criticalRhPct(t) + 0.05) // the cubic has a ripple
  }
})

// At a constant climate the pine model reaches index 1 after tm weeks by its own definition: growth is 1 / (7 tm) a day.
test.each([
  [20, 90],
  [10, 95],
  [25, 97],
])('at %d °C and %d %% the index is 1 after the response time', (tempC, rhPct) => {
  const hours = Math.round(168 * mold.weeksToIndex1(tempC, rhPct))
  const index = run(column(hours, tempC), column(hours, rhPct), { material: mold.sapwood() }).at(-1)!
  expect(Math.abs(index - 1)).toBeLessThan(0.03)
})

test('spruce and a kiln-dried surface shift the response times as their terms say', () => {
  const pine = mold.weeksToIndex1(20, 90)
  expect(mold.weeksToIndex1(20, 90, mold.sapwood('spruce')) / pine).toBeCloseTo(Math.exp(0.14), 10)
  expect(mold.weeksToIndex1(20, 90, mold.sapwood('pine', 'kiln-dried')) / pine).toBeCloseTo(Math.exp(-0.33), 10)
  expect(mold.weeksToIndex3(20, 90, mold.sapwood('spruce')) / mold.weeksToIndex3(20, 90)).toBeCloseTo(
    Math.exp(0.06),
    10,
  )
})

test('the index stays between 0 and 6 and never passes the highest of its climate while growing', () => {
  const climate = fc.record({
    tempC: fc.double({ min: 1, max: 49, noNaN: true }),
    rhPct: fc.double({ min: 70, max: 100, noNaN: true }),
    name: fc.constantFrom<mold.MoldClass>('very sensitive', 'sensitive', 'medium resistant', 'resistant'),
  })
  fc.assert(
    fc.property(climate, ({ tempC, rhPct, name }) => {
      const material = mold.MOLD_CLASSES[name]
      const index = run(column(3000, tempC), column(3000, rhPct), { material })
      const highest = Math.max(0, mold.highestMoldIndex(tempC, rhPct, material))
      expect(index.at(-1)!).toBeLessThanOrEqual(Math.min(6, highest) + 0.02)
      expect(Math.min(...index)).toBeGreaterThanOrEqual(0)
    }),
    { numRuns: 40 },
  )
})

test('more sensitive classes grow faster in the same climate', () => {
  const names: mold.MoldClass[] = ['very sensitive', 'sensitive', 'medium resistant', 'resistant']
  const ends = names.map(
    (name) => run(column(4000, 20), column(4000, 95), { material: mold.MOLD_CLASSES[name] }).at(-1)!,
  )
  expect(ends).toEqual([...ends].sort((a, b) => b - a))
  expect(new Set(ends).size).toBe(4)
})

test('air below the critical RH, frost and heat grow nothing', () => {
  expect(run(column(500, 20), column(500, 79)).at(-1)).toBe(0)
  expect(run(column(500, -5), column(500, 100)).at(-1)).toBe(0)
  expect(run(column(500, 50), column(500, 95)).at(-1)).toBe(0)
})

test('a dry spell fades the index early and late, not from 6 to 24 h; a wet hour starts the count again', () => {
  const dry = run(column(30, 20), column(30, 50), PINE, 2)
  expect(dry[5]).toBeCloseTo(2 - 0.008, 9)
  expect(dry[23]).toBe(dry[5])
  expect(dry[29]).toBeCloseTo(2 - 0.008 - 0.004, 9)
  const wetHour = column(30, 50)
  wetHour[10] = 95
  const interrupted = run(column(30, 20), wetHour, PINE, 2)
  expect(interrupted[12]! - interrupted[10]!).toBeCloseTo(-2 * (0.032 / 24), 9)
})

test('steps of any length lose the same in a dry spell', () => {
  let state: mold.MoldState = { index: 2, unfavorableHours: 0 }
  for (const hours of [4, 5, 24, 15]) state = mold.stepMold(state, 20, 50, hours, PINE)
  expect(state.index).toBeCloseTo(run(column(48, 20), column(48, 50), PINE, 2).at(-1)!, 9)
})

test('missing hours hold the index and the dry spell; wild values count as missing', () => {
  const rhPct = column(12, 50)
  const tempC = column(12, 20)
  for (const hour of [3, 4]) rhPct[hour] = Number.NaN
  tempC[5] = 500
  const index = run(tempC, rhPct, PINE, 2)
  expect([index[3], index[4], index[5]]).toEqual([index[2], index[2], index[2]])
  const whole = run(column(9, 20), column(9, 50), PINE, 2)
  expect(index.at(-1)).toBeCloseTo(whole.at(-1)!, 12)
})

test('a whole series equals its steps', () => {
  const tempC = Float64Array.from({ length: 600 }, (_, i) => 15 + 8 * Math.sin(i / 40))
  const rhPct = Float64Array.from({ length: 600 }, (_, i) => 85 + 15 * Math.sin(i / 17))
  let state: mold.MoldState = { index: 0.5, unfavorableHours: 0 }
  for (let i = 0; i < 600; i++) state = mold.stepMold(state, tempC[i]!, rhPct[i]!, 1, PINE)
  expect(run(tempC, rhPct, PINE, 0.5).at(-1)).toBe(state.index)
  expect(state.index).toBeGreaterThan(0.5)
})

test('the index fades at a tenth of pine when nothing is said about the material', () => {
  const options = { material: mold.MOLD_CLASSES.sensitive }
  expect(run(column(6, 20), column(6, 50), options, 2).at(-1)).toBeCloseTo(2 - 0.0008, 9)
})

const state = { index: 1, unfavorableHours: 0 }
const BAD_CALLS: readonly [string, () => unknown, string][] = [
  ['critical RH in frost', () => mold.criticalRhPct(-1), 'tempC must be between 0 and 50 °C, got -1'],
  ['critical RH in heat', () => mold.criticalRhPct(51), 'tempC must be between 0 and 50 °C, got 51'],
  ['response time when dry', () => mold.weeksToIndex1(20, 74), 'rhPct must be between 75 and 100 %'],
  ['response time at 0 °C', () => mold.weeksToIndex3(0, 90), 'tempC must be between 0.1 and 50 °C'],
  ['an index above 6', () => mold.stepMold({ ...state, index: 7 }, 20, 90, 1, PINE), 'index must be between 0 and 6'],
  ['a step of two days', () => mold.stepMold(state, 20, 90, 48, PINE), 'stepHours must be between'],
  ['a missing hour', () => mold.stepMold(state, Number.NaN, 90, 1, PINE), 'tempC must be between -60 and 100 °C'],
  ['RH above 105', () => mold.stepMold(state, 20, 106, 1, PINE), 'rhPct must be between 0 and 105 %'],
  [
    'a decline above pine',
    () => mold.stepMold(state, 20, 90, 1, { ...PINE, declineCoefficient: 2 }),
    'declineCoefficient must be between 0 and 1',
  ],
  ['a start above 6', () => run(column(1, 20), column(1, 90), PINE, 7), 'startIndex must be between 0 and 6'],
  ['unequal columns', () => run(column(2, 20), column(1, 90)), '2 rows expected, got 1'],
  ['a highest index in frost', () => mold.highestMoldIndex(-1, 90), 'tempC must be between 0 and 50 °C'],
  ['a dose on a dry day', () => mrdDailyDose(20, 70), 'rhPct must be between 75 and 100 %'],
  ['a dose in frost', () => mrdDailyDose(0, 90), 'tempC must be between 0.1 and 30 °C'],
  ['a 30-day mean of nothing', () => meetsThirtyDayCriterion(20, Number.NaN), 'mean30dRhPct must be between 0'],
]

test.each(BAD_CALLS)('%s is refused with the argument and its range', (_name, call, message) => {
  expect(call).toThrow(RangeError)
  expect(call).toThrow(message)
})

test('the 30-day criterion forgives dampness in cold and heat, and nothing between', () => {
  expect(meetsThirtyDayCriterion(4.9, 95)).toBe(true)
  expect(meetsThirtyDayCriterion(40.1, 95)).toBe(true)
  expect(meetsThirtyDayCriterion(5, 80)).toBe(false)
  expect(meetsThirtyDayCriterion(20, 79.9)).toBe(true)
})
