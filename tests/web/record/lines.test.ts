import type { Scale } from 'chart.js'
import { expect, test } from 'vitest'
import { fillAbove, fillBars, strokeLine } from '../../../web/record/lines.ts'

/** One unit is ten pixels; values rise. */
const x = { min: 0, max: 10, getPixelForValue: (value: number) => value * 10 } as Scale
const y = { min: 0, max: 10, getPixelForValue: (value: number) => 100 - value * 10 } as Scale

/** Writes down what is drawn, as a canvas would be told it. */
function noted() {
  const calls: string[] = []
  const note =
    (name: string) =>
    (...numbers: number[]) =>
      void calls.push(`${name} ${numbers.map(Math.round).join(' ')}`.trim())
  const ctx = {
    beginPath() {},
    closePath() {},
    stroke() {},
    fill() {},
    setLineDash() {},
    moveTo: note('move'),
    lineTo: note('line'),
    fillRect: note('bar'),
  } as unknown as CanvasRenderingContext2D
  return { axes: { ctx, x, y }, calls }
}
const points = (...values: number[]) => values.map((value, i) => ({ x: i, y: value }))

test('a line is lifted over a gap, and a value alone between two gaps is still seen', () => {
  const { axes, calls } = noted()
  strokeLine(axes, points(1, 2, Number.NaN, 4, Number.NaN, 6), { color: 'black', width: 1 })
  expect(calls).toEqual([
    'move 0 90',
    'line 0 90',
    'line 10 80',
    'move 30 60',
    'line 30 60',
    'move 50 40',
    'line 50 40',
  ])
})

test('only what lies above and is known on both sides is filled', () => {
  const { axes, calls } = noted()
  fillAbove(axes, points(5, 5, 5, 5), points(1, 1, 9, Number.NaN), 'blue', 1)
  expect(calls).toEqual(['move 0 50', 'line 10 50', 'line 10 90', 'line 0 90'])
})

test('a bar stands in the middle of its time, from zero, and unknown rain has none', () => {
  const { axes, calls } = noted()
  fillBars(axes, points(0, 3, Number.NaN, 2), 1, 'blue')
  expect(calls).toEqual(['bar 6 100 8 -30', 'bar 26 100 8 -20'])
})
