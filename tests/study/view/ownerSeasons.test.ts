/** Weeks of a house as its owner sees them. */
import { expect, test } from 'vitest'
import type { Level } from '../../../server/moisture/level.ts'
import { ownerSeasons, type SeasonsAsked, weekOf } from '../../../server/study/view/ownerSeasons.ts'

const ZONE = 'America/New_York'
const run = (level: Level, from: string, to: string) => ({ level, from, to, days: 0 })
const at = (date: string) => Date.parse(`${date}T05:00:00Z`) // midnight in winter
const asked = (more: Partial<SeasonsAsked>): SeasonsAsked => ({
  spots: [],
  hungNow: new Set(),
  risk: null,
  timeZone: ZONE,
  asOf: at('2026-01-29'),
  ...more,
})
const levels = (of: SeasonsAsked) => ownerSeasons(of).map(({ date, level }) => [date, level])

test('weeks begin on January 1 and the last one of a year takes its odd days', () => {
  expect([weekOf('2026-01-01'), weekOf('2026-01-07'), weekOf('2026-01-08')]).toEqual([
    '2026-01-01',
    '2026-01-01',
    '2026-01-08',
  ])
  expect([weekOf('2025-12-31'), weekOf('2024-12-31')]).toEqual(['2025-12-24', '2024-12-23'])
})

test('a week has the worst level of two of its days at the wettest place heard', () => {
  const spots = [
    { spot: 'a', runs: [run('dry', '2026-01-01', '2026-01-21')] },
    { spot: 'b', runs: [run('wet', '2026-01-03', '2026-01-03'), run('damp', '2026-01-09', '2026-01-10')] },
  ]
  expect(levels(asked({ spots }))).toEqual([
    ['2026-01-01', 'dry'],
    ['2026-01-08', 'damp'],
    ['2026-01-15', 'dry'],
  ])
})

test('a silent place beside one that is heard is left out; weeks without any are silent, up to today where something hangs', () => {
  const spots = [
    { spot: 'a', runs: [run('dry', '2026-01-01', '2026-01-07'), run('silent', '2026-01-08', '2026-01-14')] },
    { spot: 'b', runs: [run('silent', '2026-01-01', '2026-01-14')] },
  ]
  expect(levels(asked({ spots }))).toEqual([['2026-01-01', 'dry']])
  expect(levels(asked({ spots, hungNow: new Set(['a']) }))).toEqual([
    ['2026-01-01', 'dry'],
    ['2026-01-08', 'silent'],
    ['2026-01-15', 'silent'],
    ['2026-01-22', 'silent'],
  ])
})

test('the wood is that of the wettest place each day, by its weekly mean', () => {
  const band = (mid: (number | null)[]) => ({
    low: mid.map((value) => value && value - 2),
    mid,
    high: mid.map((value) => value && value + 2),
  })
  const mold = band([null, null])
  const risk = {
    at: [at('2026-01-01'), at('2026-01-02')],
    to: at('2026-01-03'),
    spots: [
      { spot: 'a', pins: false, wood: band([14, 18]), mold },
      { spot: 'b', pins: false, wood: band([16, null]), mold },
    ],
  }
  const spots = [{ spot: 'a', runs: [run('dry', '2026-01-01', '2026-01-10')] }]
  expect(ownerSeasons(asked({ spots, risk })).map(({ wood }) => wood)).toEqual([{ low: 15, mid: 17, high: 19 }, null])
})
