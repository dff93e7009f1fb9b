/** Saturated salts against tables other than the polynomials they come from. */
import { expect, test } from 'vitest'
import { type Salt, saltRhPct } from '../../server/physics/salts.ts'

// A public table of Greenspan's values for conservators, to one decimal, seen. Sodium chloride at 20 °C is left out: its
// 75.7 there stands against 75.47 in Greenspan's table 2.
const TABLE: readonly [Salt, readonly (number | null)[]][] = [
  ['LiCl', [11.3, 11.3, 11.3, 11.3, 11.3]],
  ['MgCl2', [33.6, 33.5, 33.3, 33.1, 32.8]],
  ['NaCl', [75.7, 75.7, 75.6, null, 75.3]],
  ['KCl', [87.7, 86.8, 85.9, 85.1, 84.3]],
  ['K2SO4', [98.5, 98.2, 97.9, 97.6, 97.3]],
]

test('values from 5 to 25 °C agree with a public table to its last digit', () => {
  for (const [salt, row] of TABLE) {
    row.forEach((rhPct, i) => {
      if (rhPct !== null) expect(Math.abs(saltRhPct(salt, 5 + 5 * i) - rhPct)).toBeLessThanOrEqual(0.1)
    })
  }
})

test('and within 2 % with the two-constant form of a general handbook of chemistry and physics, seen', () => {
  // RH = A exp(B / T), T in kelvin; it claims 2 %.
  const HANDBOOK: Partial<Record<Salt, [a: number, b: number]>> = {
    LiCl: [14.53, -75],
    MgCl2: [29.26, 34],
    NaCl: [69.2, 25],
    KCl: [49.38, 159],
    K2SO4: [86.75, 34],
  }
  for (const [salt, [a, b]] of Object.entries(HANDBOOK) as [Salt, [number, number]][]) {
    for (const tempC of [10, 20, 25]) {
      expect(Math.abs(saltRhPct(salt, tempC) - a * Math.exp(b / (tempC + 273.15)))).toBeLessThanOrEqual(2)
    }
  }
})
