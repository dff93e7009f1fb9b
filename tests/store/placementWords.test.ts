import { expect, test } from 'vitest'
import type { ProbeTree } from '../../server/store/houseTree.ts'
import { placementWords } from '../../server/store/placementWords.ts'
import { changeWords } from '../../server/store/treeChanges.ts'

const air = (...placements: ProbeTree['placements']): ProbeTree[] => [{ key: 'air', placements }]
const LOW = { spot: 'crawl/low', from: '2026-05-18T14:30' }
const MID = { spot: 'crawl/mid', from: '2026-06-01' }

test.each([
  ['hung', air(), air(LOW), ['air at crawl/low from 2026-05-18 14:30']],
  ['taken down', air(LOW), air({ ...LOW, to: '2026-06-01' }), ['air at crawl/low until 2026-06-01']],
  ['hung again', air({ ...LOW, to: '2026-06-01' }), air(LOW), ['air at crawl/low goes on']],
  [
    'moved',
    air(LOW),
    air({ ...LOW, to: '2026-06-01' }, MID),
    ['air at crawl/low until 2026-06-01', 'air at crawl/mid from 2026-06-01'],
  ],
  [
    'never hung',
    air({ ...LOW, to: '2026-06-01' }),
    air(),
    ['air no longer at crawl/low from 2026-05-18 14:30 to 2026-06-01'],
  ],
  ['of another accuracy', air(LOW), [{ key: 'air', accuracyRhPct: 2, placements: [LOW] }], []],
])('%s', (_, before, after, words) => {
  expect(placementWords(before, after)).toEqual(words)
})

test('the history tells where a logger went, not how it is stored', () => {
  const change = {
    path: 'loggers/lg-1',
    before: { key: 'lg-1', probes: air() },
    after: { key: 'lg-1', probes: air(LOW) },
  }
  expect(changeWords(change)).toBe('loggers / lg-1: air at crawl/low from 2026-05-18 14:30')
})
