import { expect, test } from 'vitest'
import { dewPointC, gPerKg, saturationPa, vaporPressurePaOf } from '../../demo-data/generator/air.ts'
import { woodMoistureAt, woodRh, woodRhSlope } from '../../demo-data/generator/wood.ts'

// ASHRAE Handbook - Fundamentals (2017), ch. 1, table 3; rows above 0 °C, where the table is over liquid water.
// 0.1 %: Buck's curve is a fit, good to a few hundredths of a per cent in this range.
test.each([
  { tempC: 5, expectedPa: 872.6 },
  { tempC: 25, expectedPa: 3169.7 },
  { tempC: 50, expectedPa: 12351.3 },
])('the generator agrees with the table of saturation pressure at $tempC °C', ({ tempC, expectedPa }) => {
  expect(Math.abs(saturationPa(tempC) / expectedPa - 1)).toBeLessThan(0.001)
})

test('dew point gives the temperature of saturation back', () => {
  for (let tempC = -20; tempC <= 40; tempC += 2.5) expect(dewPointC(saturationPa(tempC))).toBeCloseTo(tempC, 6)
})

test('humidity ratio gives the vapor pressure back', () => {
  for (const pa of [100, 900, 2500]) expect(vaporPressurePaOf(gPerKg(pa))).toBeCloseTo(pa, 6)
})

// Equilibrium moisture at 70 °F after the equation of the federal wood handbook, as the trade's table gives it. The
// generator uses another curve on purpose; 1.7 points is its worst row, 90 % RH.
test.each([
  { rhPct: 50, woodMcPct: 9.2 },
  { rhPct: 65, woodMcPct: 12 },
  { rhPct: 80, woodMcPct: 16 },
  { rhPct: 90, woodMcPct: 20.5 },
])('wood at $rhPct % RH holds about $woodMcPct %', ({ rhPct, woodMcPct }) => {
  expect(Math.abs(100 * woodMoistureAt(rhPct / 100, 21.1) - woodMcPct)).toBeLessThan(1.7)
})

test('RH inside wood is the inverse of its moisture, and its slope is the derivative', () => {
  for (const rh of [0.2, 0.5, 0.8, 0.95]) {
    const moisture = woodMoistureAt(rh, 18)
    expect(woodRh(moisture, 18)).toBeCloseTo(rh, 10)
    const numeric = (woodRh(moisture + 1e-6, 18) - woodRh(moisture - 1e-6, 18)) / 2e-6
    expect(woodRhSlope(moisture, rh) / numeric).toBeCloseTo(1, 5)
  }
})
