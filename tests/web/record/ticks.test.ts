import { expect, test } from 'vitest'
import { DAY_MS, HOUR_MS } from '../../../web/record/span.ts'
import { timeTicks } from '../../../web/record/ticks.ts'

const NEW_YORK = 'America/New_York'

test('days are marked at local midnight on both sides of a clock change', () => {
  // Clocks were put forward on 2026-03-08 at 02:00 in New York.
  const from = Date.UTC(2026, 2, 6, 5)
  const ticks = timeTicks({ from, to: from + 5 * DAY_MS }, NEW_YORK, 6)
  expect(ticks.map(({ label }) => label)).toEqual(['Mar 6', 'Mar 7', 'Mar 8', 'Mar 9', 'Mar 10', 'Mar 11'])
  expect(ticks.map(({ at }) => new Date(at).getUTCHours())).toEqual([5, 5, 5, 4, 4, 4])
})

test('a year is marked by months, and the year is said where it begins', () => {
  const ticks = timeTicks({ from: Date.UTC(2025, 9, 15), to: Date.UTC(2026, 9, 15) }, NEW_YORK, 12)
  expect(ticks.map(({ label }) => label)).toEqual([
    'Nov 2025',
    'Dec',
    'Jan 2026',
    'Feb',
    'Mar',
    'Apr',
    'May',
    'Jun',
    'Jul',
    'Aug',
    'Sep',
    'Oct',
  ])
})

test('a day is marked by hours, and the day is said where it begins', () => {
  const from = Date.UTC(2026, 6, 1, 0)
  const labels = timeTicks({ from, to: from + 24 * HOUR_MS }, 'UTC', 8).map(({ label }) => label)
  expect(labels).toEqual(['Jul 1', '3:00 AM', '6:00 AM', '9:00 AM', '12:00 PM', '3:00 PM', '6:00 PM', '9:00 PM'])
})

test('there are never more ticks than there is room for, and always one in a span of the shortest kind', () => {
  for (const days of [0.25, 1, 3, 9, 40, 100, 400, 4000]) {
    for (const most of [3, 6, 12]) {
      const from = Date.UTC(2026, 0, 17, 13, 20)
      const ticks = timeTicks({ from, to: from + days * DAY_MS }, 'Asia/Kolkata', most)
      expect(ticks.length).toBeGreaterThan(0)
      if (days < 3000) expect(ticks.length).toBeLessThanOrEqual(most + 1)
    }
  }
})
