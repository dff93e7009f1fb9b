/** The round as a list: one storm is one entry. */
import { expect, test } from 'vitest'
import type { RoundHouse, RoundStorm } from '../../../server/http/contract/round.ts'
import { entriesOf } from '../../../web/round/entries.ts'
import { stormLine } from '../../../web/round/stormLine.ts'

const house = (key: string): RoundHouse => ({
  key,
  name: `House ${key}`,
  place: 'Marrow Creek (invented)',
  invented: true,
  timeZone: 'America/New_York',
  standing: 'act',
  urgency: 'urgent',
  level: 'wet',
  line: 'Water.',
  since: null,
  spots: [],
  lastHeardAt: null,
})
const storm: RoundStorm = { from: 1, to: 2, rainMm: { least: 30, most: 42 }, houses: ['c', 'b'], unseen: 1 }
const houses = ['a', 'b', 'c', 'd'].map(house)
const shown = (wanted: string) =>
  entriesOf({ houses, storms: [storm] }, wanted).map((entry) =>
    'storm' in entry ? entry.houses.map(({ key }) => key) : entry.house.key,
  )

test('houses of a storm stand together where the first of them would, in the order to go to them', () => {
  expect(shown('')).toEqual(['a', ['c', 'b'], 'd'])
})

test('who looks for a house finds it by itself', () => {
  expect(shown('house b')).toEqual(['b'])
  expect(shown('marrow')).toEqual(['a', 'b', 'c', 'd'])
})

test('the line of a storm says when, how much rain, who has seen it and where to go first', () => {
  const words = { date: (at: number) => `day ${at}`, rain: (mm: number) => `${mm} mm` }
  expect(stormLine(storm, ['C', 'B'], words)).toBe(
    'Water came in from day 1 to day 2 after 30 mm to 42 mm of rain. 1 of them nobody has seen yet. First: C, B.',
  )
  const same = { ...storm, to: 1, rainMm: null, unseen: 0 }
  expect(stormLine(same, ['C', 'B'], words)).toBe(
    'Water came in on day 1. Somebody has seen each of them. First: C, B.',
  )
})
