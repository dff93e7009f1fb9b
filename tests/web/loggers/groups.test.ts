/** Whoever needs somebody stands first; a house that is silent as a whole is one thing. */
import { expect, test } from 'vitest'
import { countNeeds, grouped, inOrder, labelText, matching } from '../../../web/loggers/groups.ts'
import { house, logger, probe } from './made.ts'

const [ash, birch, cedar] = [house('ash', 'Ash'), house('birch', 'Birch'), house('cedar', 'Cedar')]

test('late, then never heard, then heard, read out and retired; names count as people do', () => {
  const all = [
    logger({ key: 'a', name: 'Box 10' }),
    logger({ key: 'b', name: 'Box 2' }),
    logger({ key: 'c', standing: 'retired' }),
    logger({ key: 'd', standing: 'read out' }),
    logger({ key: 'e', standing: 'waiting' }),
    logger({ key: 'f', standing: 'late' }),
  ]
  expect(inOrder(all).map(({ key }) => key)).toEqual(['f', 'e', 'b', 'a', 'd', 'c'])
})

test('houses: the silent one, those with someone late, the rest by name, those of no house last of their kind', () => {
  const silent = { house: 'cedar', name: 'Cedar', loggers: 2, since: 0, sentence: 'Gateway or power.' }
  const all = [
    logger({ key: 'free-late', standing: 'late' }),
    logger({ key: 'ash', house: ash }),
    logger({ key: 'free' }),
    logger({ key: 'birch-late', house: birch, standing: 'late' }),
    logger({ key: 'birch', house: birch }),
    logger({ key: 'cedar-1', house: cedar, standing: 'late' }),
    logger({ key: 'cedar-2', house: cedar, standing: 'late' }),
    logger({ key: 'cedar-3', house: cedar, standing: 'waiting' }),
  ]
  const groups = grouped(all, [silent])
  expect(groups.map((group) => group.house?.name ?? null)).toEqual(['Cedar', 'Birch', null, 'Ash'])
  expect(groups[0]!.silent).toBe(silent)
  expect(groups[1]!.loggers.map(({ key }) => key)).toEqual(['birch-late', 'birch'])
  // Cedar as one, the one there that was never heard, Birch's, and the one of no house.
  expect(countNeeds(groups)).toBe(4)
  expect(countNeeds(grouped([logger({})], []))).toBe(0)
})

test('a search looks at name, key, code, house and spot', () => {
  const placed = { house: 'ash', houseName: 'Ash', spot: 'crawl/low', spotName: 'Low corner', since: 0 }
  const one = logger({ key: 'lg-7', name: 'Box 3', code: 'K7M4X', house: ash, probes: [{ ...probe({}), placed }] })
  const other = logger({ key: 'other' })
  for (const wanted of ['box', 'k7m4', 'LG-7', 'ash', 'low cor', ' Box 3 ']) {
    expect(matching([one, other], wanted)).toEqual([one])
  }
  expect(matching([one, other], '')).toEqual([one, other])
  expect(matching([one, other], 'nothing of the kind')).toEqual([])
})

test('what is typed or scanned from a label: the code, the key, or the address in the QR code', () => {
  expect(labelText(' k7m 4x ')).toBe('k7m4x')
  expect(labelText('http://127.0.0.1:8484/loggers/logger-k7m4x')).toBe('logger-k7m4x')
  expect(labelText('https://example.test/loggers/box%201?from=label')).toBe('box1')
})
