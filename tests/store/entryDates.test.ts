import { expect, test } from 'vitest'
import { entryDateProblems } from '../../server/store/entryDates.ts'
import type { HouseTree } from '../../server/store/houseTree.ts'
import { TEST_HOUSE } from '../support/studiedHouse.ts'

const NOW = Date.UTC(2026, 5, 1)
const house = (from: string, more: Partial<HouseTree> = {}): HouseTree => ({
  ...TEST_HOUSE,
  invented: false,
  works: [{ key: 'drain', kind: 'yard drain', from }],
  ...more,
})

test('a work of today stands; one of a far year is refused at its field, unless the house is invented', () => {
  expect(entryDateProblems(house('2026-06-01'), NOW)).toEqual([])
  expect(entryDateProblems(house('2062-06-01'), NOW)).toEqual([
    { path: '/works/0/from', problem: expect.stringContaining('future') },
  ])
  expect(entryDateProblems(house('2062-06-01', { invented: true }), NOW)).toEqual([])
})

test('nothing is done to a house before it is built', () => {
  expect(entryDateProblems(house('1965-06-01', { facts: { yearBuilt: 1978 } }), NOW)).toContainEqual({
    path: '/works/0/from',
    problem: expect.stringContaining('1978'),
  })
})
