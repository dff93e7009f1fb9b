import { expect, test } from 'vitest'
import { instantOfLocalText, localTimeText } from '../../server/series/localTime.ts'
import { periodsBetween } from '../../server/series/periods.ts'

const ZONE = 'America/New_York'
const on = (text: string) => instantOfLocalText(text, ZONE)
const span = { from: on('2024-05-01T07:00'), to: on('2025-03-20T10:00') }
const shown = (works: Parameters<typeof periodsBetween>[0]) =>
  periodsBetween(works, span, ZONE).map(({ key, from, to, dryingTo }) => [
    key,
    localTimeText(from, ZONE),
    localTimeText(to, ZONE),
    dryingTo === null ? null : localTimeText(dryingTo, ZONE),
  ])

test('without works there is one period over the whole record', () => {
  expect(shown([])).toEqual([['P0', '2024-05-01T00:00', '2025-03-20T10:00', null]])
})

test('the install day belongs to no period and drying lasts eight weeks of local days', () => {
  expect(shown([{ key: 'drain', from: on('2024-09-20T09:30'), to: null }])).toEqual([
    ['P0', '2024-05-01T00:00', '2024-09-20T00:00', null],
    ['P1', '2024-09-21T00:00', '2025-03-20T10:00', '2024-11-15T00:00'],
  ])
})

test('works within a week are answered for together, and drying counts from the last', () => {
  const periods = periodsBetween(
    [
      { key: 'cover', from: on('2024-07-05'), to: null },
      { key: 'drain', from: on('2024-07-01'), to: null },
      { key: 'vents', from: on('2024-10-01'), to: null },
    ],
    span,
    ZONE,
  )
  expect(periods.map(({ begins }) => begins)).toEqual([[], ['drain', 'cover'], ['vents']])
  expect(localTimeText(periods[1]!.from, ZONE)).toBe('2024-07-06T00:00')
  expect(localTimeText(periods[1]!.dryingTo!, ZONE)).toBe('2024-08-30T00:00')
})

test('a trial that was undone parts the record twice and is not a drying period', () => {
  const periods = periodsBetween([{ key: 'fan', from: on('2024-07-01'), to: on('2024-08-01') }], span, ZONE)
  expect(periods.map(({ begins, ends, dryingTo }) => [begins, ends, dryingTo])).toEqual([
    [[], [], null],
    [['fan'], [], null],
    [[], ['fan'], null],
  ])
})

test('drying never reaches past its period', () => {
  const periods = periodsBetween(
    [
      { key: 'a', from: on('2024-07-01'), to: null },
      { key: 'b', from: on('2024-07-20'), to: null },
    ],
    span,
    ZONE,
  )
  expect(periods[1]!.dryingTo).toBe(periods[1]!.to)
})
