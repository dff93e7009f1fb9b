import fc from 'fast-check'
import { expect, test } from 'vitest'
import {
  chosenSpan,
  DAY_MS,
  lengthOf,
  nameOf,
  panned,
  SPAN_CHOICES,
  spanAfterKey,
  within,
  zoomed,
} from '../../../web/record/span.ts'

const RECORD = { from: 1_700_000_000_000, to: 1_700_000_000_000 + 400 * DAY_MS }
const inRecord = fc
  .tuple(fc.double({ min: -1, max: 2, noNaN: true }), fc.double({ min: 0.001, max: 1.5, noNaN: true }))
  .map(([start, length]) => {
    const from = RECORD.from + start * lengthOf(RECORD)
    return within({ from, to: from + length * lengthOf(RECORD) }, RECORD)
  })

test('whatever is done to a span, it stays in the record and is never empty', () => {
  const keys = fc.constantFrom('ArrowLeft', 'ArrowRight', 'PageUp', 'PageDown', 'Home', 'End', '+', '-')
  fc.assert(
    fc.property(inRecord, fc.array(keys, { maxLength: 30 }), (start, pressed) => {
      let span = start
      for (const key of pressed) {
        span = spanAfterKey(key, span, RECORD)!
        expect(span.from).toBeGreaterThanOrEqual(RECORD.from)
        expect(span.to).toBeLessThanOrEqual(RECORD.to + 1e-3)
        expect(lengthOf(span)).toBeGreaterThan(0)
      }
    }),
  )
})

test('looking closer keeps the instant under the finger where it is', () => {
  const span = { from: RECORD.from + 100 * DAY_MS, to: RECORD.from + 200 * DAY_MS }
  const at = span.from + 30 * DAY_MS
  const closer = zoomed(span, 0.5, at, RECORD)
  expect((at - closer.from) / lengthOf(closer)).toBeCloseTo(0.3, 9)
  expect(lengthOf(closer)).toBeCloseTo(50 * DAY_MS, 3)
})

test('a chosen length ends where the span at hand ends, and is known again by its name', () => {
  const present = { from: RECORD.to - 60 * DAY_MS, to: RECORD.to - 30 * DAY_MS }
  for (const { name, days } of SPAN_CHOICES) {
    const chosen = chosenSpan(name, present, RECORD)
    expect(nameOf(chosen, RECORD)).toBe(name)
    if (days !== null && days < 300) expect(chosen.to).toBe(present.to)
  }
})

test('a record shorter than a day is shown whole', () => {
  const short = { from: RECORD.from, to: RECORD.from + 3 * 3_600_000 }
  expect(within({ from: short.from - DAY_MS, to: short.to }, short)).toEqual(short)
  expect(panned(short, 1, short)).toEqual(short)
})

test('a key that is not for the chart is left to the page', () => {
  expect(spanAfterKey('Tab', RECORD, RECORD)).toBeNull()
})
