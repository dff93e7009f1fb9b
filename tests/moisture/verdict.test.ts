import { expect, test } from 'vitest'
import { fromDraws, median, normalBelow, quantile } from '../../server/moisture/numbers.ts'
import { type Circumstances, gradeOf, verdictOf } from '../../server/moisture/verdict.ts'

// Standard normal distribution, published tables (four digits).
test.each([
  { z: 0, p: 0.5 },
  { z: 1, p: 0.8413 },
  { z: -1.645, p: 0.05 },
  { z: 2.5, p: 0.9938 },
])('the normal curve below $z is $p', ({ z, p }) => {
  expect(Math.abs(normalBelow(10 + 3 * z, 10, 3) - p)).toBeLessThan(6e-5)
})

test('quantiles of draws run straight between the ordered values', () => {
  expect(quantile([4, 1, 3, 2], 0.5)).toBe(2.5)
  expect(median([5])).toBe(5)
  expect(fromDraws([0, 10, 20])).toEqual({ low: 1, mid: 10, high: 19 })
})

test.each([
  { mid: -0.6, sd: 0.3, verdict: 'drier' },
  { mid: 0.6, sd: 0.3, verdict: 'wetter' },
  { mid: 0.02, sd: 0.12, verdict: 'no clear change' },
  { mid: -0.25, sd: 0.1, verdict: 'cannot tell' },
  { mid: 0, sd: 0.5, verdict: 'cannot tell' },
] as const)('an effect of $mid ± $sd g/kg is: $verdict', ({ mid, sd, verdict }) => {
  expect(verdictOf(mid, sd)).toBe(verdict)
})

const GOOD: Circumstances = {
  daysBefore: 90,
  daysAfter: 90,
  humidDaysBefore: 30,
  humidDaysAfter: 30,
  stormsBefore: 5,
  stormsAfter: 5,
  rainMatters: true,
  overlap: 0.8,
  drying: false,
  meetsTarget: false,
  daysPastDrying: 60,
}

test.each([
  { name: 'everything seen', change: {}, clear: true, grade: 'A' },
  { name: 'no humid days before', change: { humidDaysBefore: 0 }, clear: true, grade: 'B' },
  { name: 'two storms after a drain', change: { stormsAfter: 2 }, clear: true, grade: 'B' },
  { name: 'a month before', change: { daysBefore: 30 }, clear: true, grade: 'D' },
  { name: 'a month before, target met since', change: { daysBefore: 30, meetsTarget: true }, clear: true, grade: 'C' },
  { name: 'interval over zero', change: {}, clear: false, grade: 'D' },
  { name: 'no overlap of weather', change: { overlap: 0 }, clear: true, grade: 'D' },
] as const)('$name earns grade $grade', ({ change, clear, grade }) => {
  const graded = gradeOf(clear, { ...GOOD, ...change })
  expect(graded.grade).toBe(grade)
  if (grade !== 'A') expect(graded.lacks.length).toBeGreaterThan(0)
})
