import { expect, test } from 'vitest'
import { robustLine } from '../../server/series/robustLine.ts'
import { normal, seeded } from '../support/series.ts'

test('rows on a line give it back, and a fifth of wild ones hardly tilts it', () => {
  const noise = normal(seeded(3))
  const xs = Array.from({ length: 100 }, (_, i) => i)
  const ys = xs.map((x) => 2 - 0.3 * x + 0.1 * noise() + (x % 5 === 0 ? 40 : 0))
  const { slope, intercept, scatter } = robustLine(xs, ys)
  expect(slope).toBeCloseTo(-0.3, 2)
  expect(Math.abs(intercept - 2)).toBeLessThan(0.2)
  expect(scatter).toBeLessThan(0.3)
})

test('too few rows say nothing', () => {
  expect(robustLine([1], [2]).slope).toBeNaN()
  expect(robustLine([1, 1], [2, 3]).slope).toBeNaN()
})
