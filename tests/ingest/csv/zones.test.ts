// Changes of the clock as the time zone database has them: US 2024-03-10 and 2024-11-03 at 2:00, Adelaide half hours.
import { expect, test } from 'vitest'
import { createLocalClock, fixedOffsetMs, offsetName } from '../../../server/ingest/csv/zones.ts'
import { readText, utc } from './support/source.ts'

const day = (date: string) => Date.parse(`${date}T00:00:00Z`) / 86_400_000
const HOUR = 3_600_000

test('ordinary, skipped and repeated hours', () => {
  const clock = createLocalClock('America/New_York')
  expect(clock.utc(day('2024-07-01'), 12 * HOUR, Number.NaN, HOUR)).toBe(utc('2024-07-01T16:00:00Z'))
  expect(clock.utc(day('2024-03-10'), 1.5 * HOUR, Number.NaN, HOUR)).toBe(utc('2024-03-10T06:30:00Z'))
  expect(clock.utc(day('2024-03-10'), 2.5 * HOUR, Number.NaN, HOUR)).toBeNaN()
  expect(clock.utc(day('2024-03-10'), 3 * HOUR, Number.NaN, HOUR)).toBe(utc('2024-03-10T07:00:00Z'))
  expect(clock.utc(day('2024-11-03'), HOUR, utc('2024-11-03T04:00:00Z'), HOUR)).toBe(utc('2024-11-03T05:00:00Z'))
  expect(clock.utc(day('2024-11-03'), HOUR, utc('2024-11-03T05:00:00Z'), HOUR)).toBe(utc('2024-11-03T06:00:00Z'))
  expect(clock.utc(day('2024-11-03'), 24 * HOUR, Number.NaN, HOUR)).toBe(utc('2024-11-04T05:00:00Z'))
  expect(clock.counts).toEqual({ repeatedFirst: 1, repeatedSecond: 1, missing: 1 })
})

test('a half-hour zone south of the equator', () => {
  const clock = createLocalClock('Australia/Adelaide')
  expect(clock.utc(day('2024-01-01'), 12 * HOUR, Number.NaN, 0)).toBe(utc('2024-01-01T01:30:00Z'))
  expect(clock.utc(day('2024-06-01'), 12 * HOUR, Number.NaN, 0)).toBe(utc('2024-06-01T02:30:00Z'))
})

test('every hour of two years comes back from local time', () => {
  const zone = 'America/New_York'
  const clock = createLocalClock(zone)
  const format = new Intl.DateTimeFormat('sv-SE', { timeZone: zone, dateStyle: 'short', timeStyle: 'medium' })
  let previous = Number.NaN
  for (let at = utc('2023-01-01T05:00:00Z'); at < utc('2025-01-01T05:00:00Z'); at += HOUR) {
    const [date, time] = format.format(at).split(' ') as [string, string]
    const [hour, minute] = time.split(':').map(Number) as [number, number]
    const back = clock.utc(day(date), hour * HOUR + minute * 60_000, previous, HOUR)
    expect(back).toBe(at)
    previous = back
  }
})

test.each([
  ['UTC', 0],
  ['+02:00', 2 * HOUR],
  ['-5', -5 * HOUR],
  ['GMT-03:30', -3.5 * HOUR],
  ['Europe/Rome', null],
])('fixed offset of %s', (zone, expected) => {
  expect(fixedOffsetMs(zone)).toBe(expected)
})

test('offsets are written with sign and two digits', () => {
  expect([offsetName(-5 * HOUR), offsetName(5.5 * HOUR), offsetName(0)]).toEqual(['-05:00', '+05:30', '+00:00'])
})

const rowsOf = (times: string[]) => `time,temp (C)\n${times.map((time, i) => `${time},${10 + i / 10}`).join('\n')}\n`
const AUTUMN = [
  '2024-11-03 00:00',
  '2024-11-03 00:30',
  '2024-11-03 01:00',
  '2024-11-03 01:30',
  '2024-11-03 01:00',
  '2024-11-03 01:30',
  '2024-11-03 02:00',
  '2024-11-03 02:30',
]

test('the repeated hour is told apart by row order, oldest or newest first', async () => {
  const forward = (await readText(rowsOf(AUTUMN))).probes.get('probe')!
  const steps = forward.slice(1).map((row, i) => row.at - forward[i]!.at)
  expect(new Set(steps)).toEqual(new Set([1_800_000]))
  const backward = (await readText(rowsOf([...AUTUMN].reverse()))).probes.get('probe')!
  expect(backward.map((row) => row.at).reverse()).toEqual(forward.map((row) => row.at))
})

test('a clock that was not put forward is read with its fixed offset, and said so', async () => {
  const times = ['00:00', '00:30', '01:00', '01:30', '02:00', '02:30', '03:00', '03:30'].map((t) => `2024-03-10 ${t}`)
  const { look, probes } = await readText(rowsOf(times))
  expect(look.questions).toMatchObject([{ key: 'timeZone', assumed: '-05:00' }])
  expect(look.warnings.map((warning) => warning.code)).toContain('clockIgnoresDst')
  expect(
    probes
      .get('probe')!
      .map((row) => row.at)
      .at(-1),
  ).toBe(utc('2024-03-10T08:30:00Z'))
})

test('a repeated hour that stands in the file once is asked about', async () => {
  const { look } = await readText(rowsOf([...AUTUMN.slice(0, 4), ...AUTUMN.slice(6)]))
  expect(look.questions).toMatchObject([{ key: 'timeZone', assumed: 'house' }])
  expect(look.warnings.map((warning) => warning.code)).toEqual(['clockIgnoresDst'])
})

test('a single row in the skipped hour is refused when a person says the clock follows', async () => {
  const { refused } = await readText(rowsOf(['2024-03-10 01:30', '2024-03-10 02:30', '2024-03-10 03:30']), {
    answers: { timeZone: 'house' },
  })
  expect(refused).toHaveLength(1)
  expect(refused[0]!.reason).toContain('daylight saving skips')
})
