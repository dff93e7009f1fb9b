/** The schedule of regular letters: seasons by latitude, spans by the house's clock, what is late and what is over. */
import { expect, test } from 'vitest'
import { thresholds } from '../../../server/advice/thresholds.ts'
import { bigRains } from '../../../server/watch/bigRains.ts'
import { regularDue } from '../../../server/watch/letters/regularDue.ts'
import type { RegularHouse, Sent } from '../../../server/watch/letters/regularHouse.ts'

const HOUR = 3_600_000
const DAY = 24 * HOUR
const HELD = thresholds()
const NONE: Sent = { keys: new Set(), summaryAt: null }
const house = (over: Partial<RegularHouse> = {}): RegularHouse => ({
  timeZone: 'America/New_York',
  latitude: 38,
  firstHeardAt: Date.UTC(2025, 0, 1),
  reporting: 3,
  works: [],
  dehumidifierAtStart: false,
  bigRains: [],
  ...over,
})
const at = (text: string) => Date.parse(text)
const due = (over: Partial<RegularHouse>, now: string, sent: Sent = NONE) =>
  regularDue(house(over), sent, HELD, at(now))
const noteOn = (over: Partial<RegularHouse>, now: string) => {
  const [letter] = due(over, now, { ...NONE, summaryAt: at(now) - 30 * DAY })
  return letter !== undefined && 'note' in letter ? letter.note : undefined
}

test.each([
  ['in the middle of the north', { latitude: 38 }, ['2026-10-01T13:00Z', '2026-05-01T13:00Z', '2026-07-01T13:00Z']],
  [
    'where nobody said where it is',
    { latitude: null },
    ['2026-10-01T13:00Z', '2026-05-01T13:00Z', '2026-07-01T13:00Z'],
  ],
  ['far north', { latitude: 45 }, ['2026-09-01T13:00Z', '2026-05-01T13:00Z', '2026-07-01T13:00Z']],
  ['in the south', { latitude: -38, timeZone: 'UTC' }, ['2026-04-01T13:00Z', '2026-11-01T13:00Z', '2026-07-01T13:00Z']],
])('notes of the season, %s', (_, over, [frost, humid, neither]) => {
  expect(noteOn(over, frost!)).toBe('before frost')
  expect(noteOn(over, humid!)).toBe('before humid months')
  expect(noteOn(over, neither!)).toBeNull()
})

test('where it never freezes nobody is told of frost', () => {
  const notes = Array.from({ length: 12 }, (_, month) =>
    noteOn({ latitude: 27 }, new Date(Date.UTC(2026, month, 1, 14)).toISOString()),
  )
  expect(notes.filter((note) => note !== null)).toEqual(['before humid months'])
})

test('a week is one of the house’s clock, with 167 hours when clocks go forward', () => {
  const [week] = due({ firstHeardAt: at('2026-02-20T12:00Z') }, '2026-03-09T12:00Z')
  expect(week).toMatchObject({ kind: 'weekly', key: 'weekly 2026-03-02' })
  expect(week!.kind === 'weekly' && week!.to - week!.from).toBe(167 * HOUR)
  expect(due({ firstHeardAt: at('2026-02-20T12:00Z') }, '2026-03-09T11:59Z')).toEqual([]) // the last is six days old
})

test('a work begins a season anew, a trial that was undone does not, nor does what is no work on moisture', () => {
  const kindOn = (works: RegularHouse['works']) => due({ works }, '2026-07-06T13:00Z').map(({ kind }) => kind)
  const from = at('2026-06-01T04:00Z')
  expect(kindOn([{ kinds: ['ground cover'], from, to: null }])).toEqual(['weekly'])
  expect(kindOn([{ kinds: ['ground cover'], from, to: from + DAY }])).toEqual(['monthly'])
  expect(kindOn([{ kinds: ['other'], from, to: null }])).toEqual(['monthly'])
})

test('what was sent is not due; what is long past is not told any more; without loggers nothing is summed up', () => {
  expect(due({}, '2026-07-01T13:00Z').map(({ key }) => key)).toEqual(['monthly 2026-06-01'])
  expect(due({}, '2026-07-01T13:00Z', { ...NONE, keys: new Set(['monthly 2026-06-01']) })).toEqual([])
  expect(due({}, '2026-07-14T13:00Z')).toHaveLength(1)
  expect(due({}, '2026-07-15T13:00Z')).toEqual([])
  expect(due({ reporting: 0 }, '2026-07-01T13:00Z')).toEqual([])
  expect(due({ firstHeardAt: null }, '2026-07-01T13:00Z')).toEqual([])
})

test('loggers are placed: after two hours, within two weeks', () => {
  const firstHeardAt = at('2026-07-01T13:00Z')
  expect(due({ firstHeardAt }, '2026-07-01T14:59Z')).toEqual([])
  expect(due({ firstHeardAt }, '2026-07-01T15:00Z')).toEqual([{ key: 'placed', kind: 'placed' }])
  expect(due({ firstHeardAt }, '2026-07-15T13:00Z').filter(({ kind }) => kind === 'placed')).toEqual([])
})

test('upkeep of a machine that came on the last of a month is due on the last of others', () => {
  const works = [
    { kinds: ['encapsulation' as const, 'dehumidifier' as const], from: at('2025-11-30T15:00Z'), to: null },
  ]
  const [letter] = due({ works, reporting: 0 }, '2026-02-25T15:00Z')
  expect(letter).toMatchObject({ key: 'upkeep 2026-02-28 filter + condensate line' })
  // A second one is looked after together with the first, counted from the later.
  const two = [...works, { kinds: ['dehumidifier' as const], from: at('2025-12-20T15:00Z'), to: null }]
  expect(due({ works: two, reporting: 0 }, '2026-02-25T15:00Z')).toEqual([])
  expect(due({ works: two, reporting: 0 }, '2026-03-18T15:00Z').map(({ key }) => key)).toEqual([
    'upkeep 2026-03-20 filter + condensate line',
  ])
  // Taken away, it needs none.
  expect(due({ works: [{ ...works[0]!, to: at('2026-01-01T00:00Z') }], reporting: 0 }, '2026-02-25T15:00Z')).toEqual([])
})

test('a big rain is a storm’s, however many hours of it pass the line', () => {
  const hours = [0, 1, 2, 3, 4, 30, 31, 100, 101].map((hour) => ({ at: hour * HOUR, rainMm: 9 }))
  expect(bigRains(hours, 25)).toEqual([3 * HOUR])
  expect(bigRains([...hours, { at: 102 * HOUR, rainMm: 9 }], 25)).toEqual([3 * HOUR, 103 * HOUR])
  expect(bigRains([], 25)).toEqual([])
})
