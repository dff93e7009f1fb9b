import { expect, test } from 'vitest'
import { thresholds } from '../../server/advice/thresholds.ts'
import { type HeardLogger, nextStillness, stillConditions } from '../../server/watch/stillness.ts'

const HOUR = 3_600_000
const NOW = Date.UTC(2026, 6, 1)
const held = thresholds()

const logger = (key: string, hoursAgo: number, more: Partial<HeardLogger> = {}): HeardLogger => ({
  logger: key,
  loggerName: key,
  path: `crawl/${key}`,
  spotName: key,
  spaceName: 'Crawl space',
  heardAt: NOW - hoursAgo * HOUR,
  intervalS: 900,
  meters: false,
  ...more,
})
const told = (loggers: HeardLogger[], now = NOW) =>
  stillConditions({ loggers, stations: [] }, now, held).map(({ watch, cause, audience }) => [watch, cause, audience])

test('a silent logger concerns the contractor after a day and the owner after three', () => {
  expect(told([logger('a', 23.9), logger('b', 0)])).toEqual([])
  expect(told([logger('a', 24), logger('b', 0)])).toEqual([['silent', 'a', ['contractor']]])
  expect(told([logger('a', 72), logger('b', 0)])).toEqual([['silent', 'a', ['owner', 'contractor']]])
})

test('all that fell silent at once is one notice, others are one each', () => {
  expect(told([logger('a', 30), logger('b', 30.2)])).toEqual([['silent', '', ['contractor']]])
  expect(told([logger('a', 30), logger('b', 40)]).map(([, cause]) => cause)).toEqual(['a', 'b'])
})

test('a power meter that others outlive has lost its power; one that fell silent with them has not', () => {
  const meter = logger('meter', 4, { meters: true })
  expect(told([meter, logger('a', 0.2)])).toEqual([['power lost', 'meter', ['owner', 'contractor']]])
  expect(told([meter, logger('a', 4)])).toEqual([])
  // A logger that reports once in two hours is not late after three.
  expect(told([{ ...meter, intervalS: 7200 }, logger('a', 0.2)])).toEqual([])
})

test('a station is stale after six hours, for the contractor, without a letter', () => {
  const stations = [{ key: 'mill', name: 'Old mill', heardAt: NOW - 6 * HOUR }]
  const [stale] = stillConditions({ loggers: [], stations }, NOW, held)
  expect([stale!.watch, stale!.cause, stale!.urgency]).toEqual(['station stale', 'mill', 'note'])
})

test('the next look is when the first of them becomes due', () => {
  const heard = { loggers: [logger('a', 20), logger('b', 1)], stations: [] }
  expect(nextStillness(heard, NOW, held)).toBe(NOW + 2 * HOUR)
  expect(nextStillness({ loggers: [], stations: [] }, NOW, held)).toBe(Number.POSITIVE_INFINITY)
})
