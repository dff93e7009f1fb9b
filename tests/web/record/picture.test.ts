import fc from 'fast-check'
import { expect, test } from 'vitest'
import type { BalanceContract } from '../../../server/http/contract/balance.ts'
import type { RecordAnswer } from '../../../server/http/contract/record.ts'
import {
  apart,
  bucketAt,
  type Departure,
  departuresOf,
  letterOf,
  pictureOf,
  rangeOf,
} from '../../../web/record/picture.ts'
import { DAY_MS } from '../../../web/record/span.ts'

const line = (spot: string, role: 'inside' | 'outdoor' | 'living', mean: (number | null)[]) => ({
  spot,
  letter: spot.at(-1)!.toUpperCase(),
  name: spot,
  role,
  basis: 'measured' as const,
  min: mean.map((value) => value && value - 1),
  mean,
  max: mean.map((value) => value && value + 1),
})

const RECORD: RecordAnswer = {
  show: 'tempC',
  from: 0,
  to: 4 * DAY_MS,
  recordFrom: 0,
  recordTo: 4 * DAY_MS,
  bucketMs: DAY_MS,
  at: [0, DAY_MS, 2 * DAY_MS, 3 * DAY_MS],
  lines: [
    line('crawl/a', 'inside', [10, null, 12, 14]),
    line('crawl/b', 'inside', [9, 9, 9, 9]),
    line('outdoor/x', 'outdoor', [1, 2, 3, 4]),
  ],
  rain: { bucketMs: DAY_MS, at: [0, DAY_MS, 2 * DAY_MS, 3 * DAY_MS], mm: [0, 25.4, null, 0] },
  leftOut: [
    { spot: 'crawl/a', from: -DAY_MS, to: DAY_MS, reason: 'visit' },
    { spot: 'crawl/b', from: 0, to: DAY_MS, reason: 'stuck' },
  ],
  thresholds: [{ value: 20, harm: 'decay', name: 'wet wood' }],
}
const PAGE = {
  works: [
    { key: 'w1', kind: 'downspout drain', words: 'the downspout drain', at: DAY_MS, to: null, date: '', note: null },
    { key: 'w2', kind: 'vents sealed', words: 'sealing the vents', at: 9 * DAY_MS, to: null, date: '', note: null },
  ],
  events: [],
}
const toF = (celsius: number) => celsius * 1.8 + 32
const CHOICE = {
  main: 'crawl/b',
  hidden: new Set<string>(),
  departures: [],
  convert: toF,
  convertRain: (mm: number) => mm / 25.4,
}

test('the spot that is asked about lies on top with its range; the others have none', () => {
  const { lines } = pictureOf(RECORD, PAGE, CHOICE)
  expect(lines.map(({ spot, style }) => [spot, style])).toEqual([
    ['outdoor/x', 'outdoor'],
    ['crawl/a', 'other'],
    ['crawl/b', 'main'],
  ])
  expect(lines[2]!.low[0]!.y).toBeCloseTo(toF(8))
  expect(lines[1]!.low).toEqual([])
})

test('values are in the unit of the person, a gap stays a gap, and unknown rain is not zero', () => {
  const { lines, rain, thresholds } = pictureOf(RECORD, PAGE, CHOICE)
  expect(lines[1]!.mean.map(({ y }) => y)).toEqual([50, Number.NaN, toF(12), toF(14)])
  expect(rain!.points.map(({ y }) => y)).toEqual([0, 1, Number.NaN, 0])
  expect(thresholds).toEqual([{ value: 68, text: 'wet wood: decay' }])
})

test('a work outside the span is not marked, and keeps its number when it is inside', () => {
  expect(pictureOf(RECORD, PAGE, CHOICE).works.map(({ number }) => number)).toEqual([1])
  expect(pictureOf({ ...RECORD, from: 8 * DAY_MS, to: 10 * DAY_MS }, PAGE, CHOICE).works.map((w) => w.number)).toEqual([
    2,
  ])
})

const departure = (kind: string, at: number, support: number): Departure => ({
  kind,
  at,
  support,
  size: '',
  reason: '',
})

test('departures are taken from a balance in order of time, and the picture has those of its span with their letters', () => {
  const late = departure('vents opened', 9 * DAY_MS, 20)
  const early = departure('leak began', DAY_MS, 9)
  const balance = { outcome: 'told', departures: [late, early] } as unknown as BalanceContract
  const departures = departuresOf(balance)
  expect(departures).toEqual([early, late])
  const marks = (record: RecordAnswer) =>
    pictureOf(record, PAGE, { ...CHOICE, departures }).departures.map(({ at, number, text }) => [
      at,
      letterOf(number),
      text,
    ])
  expect(marks(RECORD)).toEqual([[DAY_MS, 'a', 'leak began?']])
  expect(marks({ ...RECORD, from: 8 * DAY_MS, to: 10 * DAY_MS })).toEqual([[9 * DAY_MS, 'b', 'vents opened?']])
})

test('without a balance, and with one that cannot tell, no departure is marked', () => {
  expect(departuresOf(null)).toEqual([])
  expect(departuresOf({ outcome: 'cannot tell', reason: '', missing: [] })).toEqual([])
})

test('a hidden spot is gone; if it was asked about, the first one left takes its place', () => {
  const { lines } = pictureOf(RECORD, PAGE, { ...CHOICE, hidden: new Set(['crawl/b']) })
  expect(lines.map(({ spot, style }) => [spot, style])).toEqual([
    ['outdoor/x', 'outdoor'],
    ['crawl/a', 'main'],
  ])
})

test('hours left out belong to the spot asked about and end where the span ends', () => {
  expect(pictureOf(RECORD, PAGE, { ...CHOICE, main: 'crawl/a' }).leftOut).toEqual([{ from: 0, to: DAY_MS }])
})

test('the range holds every value and ends on whole steps', () => {
  const range = rangeOf(pictureOf(RECORD, PAGE, CHOICE).lines, 5)!
  expect(range.min).toBeLessThan(toF(1))
  expect(range.max).toBeGreaterThan(toF(14))
  expect(range.min % 5).toBe(0)
  expect(rangeOf([], 5)).toBeNull()
})

test('labels never cover one another while there is room, and stay where they were wanted when they can', () => {
  fc.assert(
    fc.property(fc.array(fc.double({ min: 0, max: 300, noNaN: true }), { maxLength: 10 }), (ends) => {
      const given = apart(ends, 16, { top: 0, bottom: 300 })
      const sorted = [...given].sort((a, b) => a - b)
      for (let i = 1; i < sorted.length; i++) expect(sorted[i]! - sorted[i - 1]!).toBeGreaterThanOrEqual(16 - 1e-9)
      for (const y of given) {
        expect(y).toBeGreaterThanOrEqual(0)
        expect(y).toBeLessThanOrEqual(300)
      }
    }),
  )
  expect(apart([100, 40], 16, { top: 0, bottom: 300 })).toEqual([100, 40])
})

test('an instant belongs to the bucket that holds it', () => {
  expect(bucketAt(RECORD, 0)).toBe(0)
  expect(bucketAt(RECORD, 2 * DAY_MS - 1)).toBe(1)
  expect(bucketAt(RECORD, 4 * DAY_MS)).toBe(-1)
})
