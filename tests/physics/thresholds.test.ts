import { expect, test } from 'vitest'
import { decayMoisture, decayTemperature } from '../../server/physics/decay.ts'
import { SALTS, type Salt, saltRhPct } from '../../server/physics/salts.ts'

// Wood Handbook FPL-GTR-282 (2021), ch. 14: slow below 10 and above 35 °C, stops at 2 and 38 °C; serious above fiber
// saturation (30 % on average); 20 % is the conventional limit to stay below.
test.each([
  [1, 'stopped'],
  [2, 'stopped'],
  [5, 'slow'],
  [10, 'active'],
  [35, 'active'],
  [36, 'slow'],
  [38, 'stopped'],
])('decay at %d °C is %s', (tempC, expected) => {
  expect(decayTemperature(tempC)).toBe(expected)
})

test.each([
  [0, 'too dry'],
  [19.9, 'too dry'],
  [20, 'above the safe limit'],
  [29.9, 'above the safe limit'],
  [30, 'wet enough'],
])('wood at %d %% is %s for decay', (woodMcPct, expected) => {
  expect(decayMoisture(woodMcPct)).toBe(expected)
})

test('decay thresholds refuse impossible wood', () => {
  expect(() => decayMoisture(-1)).toThrow('woodMcPct must be between 0 and 250 %, got -1')
  expect(() => decayTemperature(101)).toThrow('tempC must be between -60 and 100 °C, got 101')
})

test('the salts keep their order from dry to humid at every temperature', () => {
  const order: Salt[] = ['LiCl', 'MgCl2', 'K2CO3', 'Mg(NO3)2', 'NaCl', 'KCl', 'K2SO4']
  expect(new Set(order)).toEqual(new Set(Object.keys(SALTS)))
  for (let tempC = 0; tempC <= 30; tempC += 5) {
    const rh = order.map((salt) => saltRhPct(salt, tempC))
    expect(rh).toEqual([...rh].sort((a, b) => a - b))
  }
})

test.each([
  ['NaCl', -0.1, 'between 0 and 50 °C'],
  ['NaCl', 50.1, 'between 0 and 50 °C'],
  ['K2CO3', 31, 'between 0 and 30 °C'],
] as const)('%s at %d °C is refused', (salt, tempC, message) => {
  expect(() => saltRhPct(salt, tempC)).toThrow(message)
})
