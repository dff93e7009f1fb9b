import { expect, test } from 'vitest'
import { randomHouseSpec, WORK_KINDS } from '../../demo-data/generator/randomHouse.ts'
import { simulateHouse } from '../../demo-data/generator/simulateHouse.ts'
import { trueDehumidifierNeed, trueEffects, trueSources } from '../../demo-data/generator/truth.ts'
import { wallClock } from '../../demo-data/generator/wallTime.ts'

test('a work that changes nothing has no effect at all', () => {
  const spec = randomHouseSpec(4, 'nothing')
  const [effect] = trueEffects(spec, 4)
  expect(effect?.change.humidityRatioGKg).toBe(0)
  expect(effect?.verdict).toBe('no clear change')
})

test('covering bare ground dries the space, and the ground brings in less', () => {
  const spec = randomHouseSpec(2, 'ground_cover')
  const run = simulateHouse(spec, 2, { noReadings: true })
  const [effect] = trueEffects(spec, 2, run)
  expect(effect?.verdict).toBe('drier')
  const [before, after] = trueSources(spec, run)
  expect(after!.entriesKgPerDay.ground).toBeLessThan(0.6 * before!.entriesKgPerDay.ground)
})

test('runs with and without a work share the weather and all readings before the work', () => {
  const spec = randomHouseSpec(5, 'vents_sealed')
  const workMs = wallClock(spec.timeZone).instantOf(spec.works[0]!.from)
  const done = simulateHouse(spec, 5)
  const left = simulateHouse(spec, 5, { withoutWorks: ['vents-sealed'] })
  expect(left.weather).toEqual(done.weather)
  const { at, rhPct } = done.readings['mid-joist']!
  const before = at.findIndex((t) => t >= workMs)
  expect(before).toBeGreaterThan(1000)
  expect(left.readings['mid-joist']!.rhPct.subarray(0, before)).toEqual(rhPct.subarray(0, before))
  expect(left.readings['mid-joist']!.rhPct.subarray(before)).not.toEqual(rhPct.subarray(before))
})

test('holding a lower RH takes more water out', () => {
  const spec = randomHouseSpec(6, 'vents_sealed')
  const at50 = trueDehumidifierNeed(spec, 6, 50)
  const at60 = trueDehumidifierNeed(spec, 6, 60)
  expect(at50).toBeGreaterThan(at60)
  expect(at60).toBeGreaterThanOrEqual(0)
})

test('shares of what came in add up to one', () => {
  const spec = randomHouseSpec(8, 'drains')
  for (const { entryShares } of trueSources(spec, simulateHouse(spec, 8, { noReadings: true }))) {
    expect(Object.values(entryShares).reduce((a, b) => a + b, 0)).toBeCloseTo(1, 9)
  }
})

test('an unknown work is refused by name', () => {
  const spec = randomHouseSpec(1, 'drains')
  expect(() => simulateHouse(spec, 1, { withoutWorks: ['moat'] })).toThrow('no work called moat')
})

test.each(WORK_KINDS)('random houses of kind %s repeat with their seed and differ between seeds', (kind) => {
  expect(randomHouseSpec(11, kind)).toEqual(randomHouseSpec(11, kind))
  expect(randomHouseSpec(11, kind)).not.toEqual(randomHouseSpec(12, kind))
  const spec = randomHouseSpec(11, kind)
  for (const { from } of spec.works) {
    expect(from > spec.from && from < spec.to).toBe(true)
  }
})
