import { expect, test } from 'vitest'
import { gpmFromM3s, m2FromSquareFeet, metersFromFeet, mmFromInches } from '../../server/physics/units.ts'
import { sizeDrain } from '../../server/sizing/drains.ts'

const roof = (ft2: number, inPerHour: number, slope: number, manningN: number) =>
  sizeDrain({
    surfaces: [{ areaM2: m2FromSquareFeet(ft2), coefficient: 1 }],
    rainMmPerHour: mmFromInches(inPerHour),
    lengthM: metersFromFeet(100),
    fallM: metersFromFeet(100 * slope),
    manningN,
  })

// Worked example of trade practice: 1,500 ft² at 6 in/h is 93.5 gpm, which a 4 in corrugated pipe at 2 % (98 gpm full)
// does not carry once three quarters are counted; a 6 in does (205 gpm full at 1 %, 290 at 2 %).
test('the worked example of a roof that a 4 in corrugated pipe cannot take', () => {
  const drain = roof(1500, 6, 0.02, 0.016)
  expect(gpmFromM3s(drain.flowM3s)).toBeCloseTo(93.5, 1)
  expect(drain.diameterIn).toBe(6)
  expect(Math.abs(gpmFromM3s(drain.capacityM3s!) / (0.75 * 290) - 1)).toBeLessThan(0.01) // table rounded to 1 gpm
  expect(drain.cautions).toEqual([])
})

// 4 in smooth at 1 % carries 101 gpm full (Manning table of trade practice): three quarters are 75.8.
test.each([
  { ft2: 1000, inPerHour: 6, size: 4 },
  { ft2: 1300, inPerHour: 6, size: 6 },
])('$ft2 ft² at $inPerHour in/h need $size in smooth pipe at 1 %', ({ ft2, inPerHour, size }) => {
  expect(roof(ft2, inPerHour, 0.01, 0.011).diameterIn).toBe(size)
})

test('the fall for the smaller size is just enough for it', () => {
  const drain = roof(1300, 6, 0.01, 0.011)
  const steeper = roof(1300, 6, (drain.fallForSmallerM! * 1.0001) / metersFromFeet(100), 0.011)
  expect(steeper.diameterIn).toBe(4)
})

test('a run without fall carries nothing, a flat one silts up, a huge one is split', () => {
  expect(roof(1000, 4, 0, 0.011)).toMatchObject({ diameterIn: null, cautions: [expect.stringContaining('pump')] })
  expect(roof(1000, 4, 0.003, 0.011).cautions.join(' ')).toContain('Flatter than 0.5 %')
  expect(roof(1000, 4, 0.006, 0.016).cautions.join(' ')).toContain('Slower than 2 ft/s')
  expect(roof(60_000, 8, 0.01, 0.016)).toMatchObject({ diameterIn: null, cautions: [expect.stringContaining('split')] })
})

test('a run of no length is refused by name', () => {
  expect(() => sizeDrain({ surfaces: [], rainMmPerHour: 100, lengthM: 0, fallM: 1, manningN: 0.011 })).toThrow(
    'lengthM',
  )
})
