import fc from 'fast-check'
import { expect, test } from 'vitest'
import { contains, fitted, leaderBoxes, placeLabels, textWidth, type Wanted } from '../../../web/drawing/labels.ts'
import { overlap } from '../../../web/drawing/shapes.ts'

const SHEET = { x: 0, y: 0, width: 300, height: 200 }
const box = fc.record({
  x: fc.integer({ min: -20, max: 300 }),
  y: fc.integer({ min: -20, max: 200 }),
  width: fc.integer({ min: 10, max: 90 }),
  height: fc.integer({ min: 10, max: 40 }),
})

test('labels keep clear of one another and of what is taken, on the sheet, whatever is asked', () => {
  const wishes = fc.array(fc.record({ must: fc.boolean(), boxes: fc.array(box, { maxLength: 5 }) }), { maxLength: 8 })
  fc.assert(
    fc.property(wishes, fc.array(box, { maxLength: 4 }), (asked, taken) => {
      const wanted: Wanted[] = asked.map(({ must, boxes }, i) => ({
        id: String(i),
        must,
        tries: boxes.map((one) => ({ box: one })),
      }))
      const found = [...placeLabels(wanted, taken, SHEET).values()].map((one) => one.box)
      for (const [i, one] of found.entries()) {
        expect(contains(SHEET, one)).toBe(true)
        expect(taken.some((other) => overlap(one, other))).toBe(false)
        expect(found.slice(i + 1).some((other) => overlap(one, other))).toBe(false)
      }
    }),
  )
})

test('whoever comes first gives way when there is a place for both', () => {
  const at = (x: number) => ({ box: { x, y: 10, width: 50, height: 20 } })
  const found = placeLabels(
    [
      { id: 'free', must: true, tries: [at(10), at(100)] },
      { id: 'bound', must: true, tries: [at(30)] },
    ],
    [],
    SHEET,
  )
  expect([found.get('free')!.box.x, found.get('bound')!.box.x]).toEqual([100, 30])
})

test('a leader crosses neither words nor what it must not cross', () => {
  const label = {
    box: { x: 10, y: 10, width: 50, height: 20 },
    leader: [
      { x: 62, y: 20 },
      { x: 200, y: 20 },
    ],
  }
  expect(
    placeLabels([{ id: 'a', must: false, tries: [label] }], [], SHEET, [{ x: 100, y: 0, width: 10, height: 60 }]).size,
  ).toBe(0)
  expect(
    placeLabels([{ id: 'a', must: false, tries: [label] }], [], SHEET, [{ x: 100, y: 40, width: 10, height: 60 }]).size,
  ).toBe(1)
  expect(leaderBoxes(label).every(({ y }) => Math.abs(y - 19) < 1)).toBe(true)
})

test('a text that is too long ends in an ellipsis within its room', () => {
  const long = 'A house with a very long name on a road whose name is longer still'
  const short = fitted(long, 200, 13)
  expect(short.endsWith('…')).toBe(true)
  expect(textWidth(short, 13)).toBeLessThanOrEqual(200)
  expect(fitted('Short', 200, 13)).toBe('Short')
})
