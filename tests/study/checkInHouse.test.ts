/** What a check does to the placements of a house, in the hour that autumn repeats too. */
import { expect, test } from 'vitest'
import type { HouseTree } from '../../server/store/houseTree.ts'
import { houseTreeProblems } from '../../server/store/houseTreeProblems.ts'
import type { CheckableProbe } from '../../server/store/sensorChecks.ts'
import { hangAgainIn, takeDown } from '../../server/study/checks/inHouse.ts'
import { TEST_HOUSE } from '../support/studiedHouse.ts'

const MINUTE = 60_000
const PROBE = { path: 'lg-1/air' } as CheckableProbe

/** 2024-11-03 01:30 in New York, first turn. */
const FIRST_TURN = Date.UTC(2024, 10, 3, 5, 30)

const house = (): HouseTree => ({
  ...structuredClone(TEST_HOUSE),
  timeZone: 'America/New_York',
  loggers: [{ key: 'lg-1', probes: [{ key: 'air', placements: [{ spot: 'crawl/low', from: '2024-05-01' }] }] }],
})
const placements = (tree: HouseTree) => tree.loggers![0]!.probes[0]!.placements

test('a probe is taken down by the minute and hangs again at its spot', () => {
  const at = Date.UTC(2024, 6, 1, 12)
  const down = takeDown(house(), [PROBE], at)
  expect(placements(down)).toEqual([{ spot: 'crawl/low', from: '2024-05-01', to: '2024-07-01T08:00' }])
  const again = hangAgainIn(structuredClone(down), PROBE.path, at, at + 600 * MINUTE + 20_000)
  expect(again.spot).toBe('crawl/low')
  expect(placements(again.tree).at(-1)).toEqual({ spot: 'crawl/low', from: '2024-07-01T18:00' })
  // Given up within the minute, nothing was done.
  expect(placements(hangAgainIn(down, PROBE.path, at, at + 20_000).tree)).toEqual(placements(house()))
})

test('in the second turn of an hour that autumn repeats it hangs again when that hour is over, never before it was taken down', () => {
  const down = takeDown(house(), [PROBE], FIRST_TURN)
  const { tree } = hangAgainIn(down, PROBE.path, FIRST_TURN, FIRST_TURN + 40 * MINUTE) // 01:10, second turn
  expect(placements(tree)).toEqual([
    { spot: 'crawl/low', from: '2024-05-01', to: '2024-11-03T01:30' },
    { spot: 'crawl/low', from: '2024-11-03T02:00' },
  ])
  expect(houseTreeProblems(tree)).toEqual([])
})
