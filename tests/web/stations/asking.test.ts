import { expect, test } from 'vitest'
import type { Station, StationLook } from '../../../server/http/contract/stations.ts'
import { placeOf } from '../../../web/base/router.tsx'
import { backfillShare, bodyOf, draftOf, inText, isMapped, missingFor, newDraft } from '../../../web/stations/asking.ts'

const STORED: Station = {
  key: 'mill',
  name: 'Old mill',
  kind: 'https',
  quantities: ['tempC'],
  timeZone: 'UTC',
  url: 'https://weather.example/x?key=…',
  asksForSpan: false,
  everyMin: 60,
  holdBackMin: 0,
  answers: { dateOrder: 'dmy' },
  fileProbes: [],
  probe: null,
  houses: [],
  last: null,
  stale: true,
  fetch: { triedAt: null, okAt: null, problem: null, needsAnswer: false, failures: 0, stored: 0, nextAt: null },
  backfill: null,
}
const looked = (open: string[], ok = true) =>
  ({ look: { ok }, open, settled: { dateOrder: 'mdy' }, quantities: ['tempC', 'rhPct'] }) as unknown as StationLook

test('a fetched station is stored once its table was looked at and nothing is open', () => {
  const draft = { ...newDraft('UTC'), name: ' Mill ', url: ' https://weather.example/x ' }
  expect(missingFor({ ...draft, name: ' ' }, null, null)).toContain('name')
  expect(missingFor({ ...draft, url: '' }, null, null)).toContain('address')
  expect(missingFor(draft, null, null)).toContain('Look at its table first')
  expect(missingFor(draft, looked(['Which?']), null)).toContain('answered first')
  expect(missingFor(draft, looked([], false), null)).toContain('cannot be read')
  expect(missingFor(draft, looked([]), null)).toBe('')
  expect(bodyOf(draft, looked([]))).toEqual({
    name: 'Mill',
    kind: 'https',
    url: 'https://weather.example/x',
    timeZone: 'UTC',
    everyMin: 60,
    holdBackMin: 0,
    fileProbes: [],
    answers: { dateOrder: 'mdy' },
    quantities: ['tempC', 'rhPct'],
  })
})

test('what was settled before holds until the address or the zone changes, or its table does', () => {
  const draft = draftOf(STORED)
  expect(isMapped({ ...draft, name: 'Renamed', everyMin: null }, null, STORED)).toBe(true)
  expect('answers' in bodyOf(draft, null)).toBe(false)
  expect(isMapped({ ...draft, url: 'https://weather.example/y' }, null, STORED)).toBe(false)
  expect(isMapped({ ...draft, timeZone: 'America/New_York' }, null, STORED)).toBe(false)
  expect(isMapped(draft, null, { ...STORED, fetch: { ...STORED.fetch, needsAnswer: true } })).toBe(false)
})

test('a logger is named by its probe, and files need no more than a name', () => {
  const draft = { ...newDraft('UTC'), name: 'Gate', kind: 'mqtt' as const }
  expect(missingFor(draft, null, null)).toContain('gate-7/air')
  expect(bodyOf({ ...draft, probe: 'gate-7/air' }, null)).toEqual({
    name: 'Gate',
    kind: 'mqtt',
    probe: 'gate-7/air',
    quantities: ['tempC', 'rhPct'],
  })
  expect(missingFor({ ...draft, kind: 'file' }, null, null)).toBe('')
  expect(bodyOf({ ...draft, kind: 'file' }, null)).toEqual({
    name: 'Gate',
    kind: 'file',
    quantities: ['tempC', 'rhPct'],
  })
  const gauge = { ...draftOf({ ...STORED, kind: 'file', quantities: ['rainMm'] }) }
  expect(bodyOf(gauge, null).quantities).toEqual(['rainMm'])
})

test.each([
  [-5, 'now'],
  [59_000, 'now'],
  [12 * 60_000, 'in 12 min'],
  [6 * 3_600_000, 'in 6 h'],
])('%d ms from now is "%s"', (ms, words) => expect(inText(ms)).toBe(words))

test('a backfill is as far as it asked', () => {
  const of = (nextAt: number, state: 'running' | 'done' = 'running') =>
    backfillShare({ from: '2026-01-01', nextAt, toAt: Date.UTC(2026, 0, 11), stored: 0, state, problem: null })
  expect([of(Date.UTC(2026, 0, 1)), of(Date.UTC(2026, 0, 6)), of(0), of(0, 'done')]).toEqual([0, 0.5, 0, 1])
})

test('the page stands at /stations', () => expect(placeOf('/stations')).toEqual({ page: 'stations' }))
