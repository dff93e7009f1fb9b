import { expect, test } from 'vitest'
import { instantOfLocalText, localDateText, localTimeText, zoneClock } from '../../server/series/localTime.ts'

const NEW_YORK = 'America/New_York'
const HOUR_MS = 3_600_000

// Clock changes of 2013 in New York as the weather service's own record shows them (03-10 has no hour 2; 11-03 has hour 1 twice).
test('the hour that spring skips does not exist, the hour that autumn repeats exists twice', () => {
  const clock = zoneClock(NEW_YORK)
  expect(clock.instantsOf(Date.UTC(2013, 2, 10, 2, 30)).kind).toBe('skipped')
  const twice = clock.instantsOf(Date.UTC(2013, 10, 3, 1, 30))
  expect(twice.kind).toBe('repeated')
  expect(twice.earlier).toBe(Date.UTC(2013, 10, 3, 5, 30))
  expect(twice.later - twice.earlier).toBe(HOUR_MS)
})

test.each([
  ['2013-03-10', 23],
  ['2013-11-03', 25],
  ['2013-07-01', 24],
])('the local day %s has %d hours', (text, hours) => {
  const start = instantOfLocalText(text, NEW_YORK)
  expect((zoneClock(NEW_YORK).nextDayStart(start) - start) / HOUR_MS).toBe(hours)
  expect(zoneClock(NEW_YORK).dayStart(start + 22.9 * HOUR_MS)).toBe(start)
})

test('local texts and instants lead back to each other, in zones east, west and off the hour', () => {
  for (const timeZone of [NEW_YORK, 'Europe/Helsinki', 'Asia/Kolkata', 'UTC', 'Australia/Lord_Howe']) {
    for (const text of ['2024-01-15T00:00', '2024-06-10T09:30', '2024-12-31T23:45']) {
      expect(localTimeText(instantOfLocalText(text, timeZone), timeZone)).toBe(text)
    }
    expect(localDateText(instantOfLocalText('2024-02-29', timeZone), timeZone)).toBe('2024-02-29')
  }
})

test.each(['2023-02-29', '10/06/2024', '2024-06-10T25:00', ''])('the date "%s" is refused', (text) => {
  expect(() => instantOfLocalText(text, NEW_YORK)).toThrow(RangeError)
})

test('an unknown time zone is refused with an example of a good one', () => {
  expect(() => zoneClock('Mars/Olympus')).toThrow('America/New_York')
})
