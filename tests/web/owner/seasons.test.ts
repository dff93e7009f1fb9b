/** The picture through the seasons, before it is drawn. */
import { expect, test } from 'vitest'
import type { Level } from '../../../server/http/contract/words.ts'
import {
  alongRow,
  rowsOf,
  runsOf,
  type Seasons,
  seasonsInWords,
  woodRuns,
  woodScale,
} from '../../../web/owner/seasons.ts'

const WEEK = 7 * 86_400_000
/** Weeks of one year after another, as the service counts them. */
function weeks(from: string, levels: Level[], mid: number | null = null): Seasons['weeks'] {
  let at = Date.parse(from)
  return levels.map((level) => {
    const date = new Date(at).toISOString().slice(0, 10)
    const newYear = Date.UTC(Number(date.slice(0, 4)), 0, 1)
    const next = at + WEEK
    at = next - newYear >= 52 * WEEK ? Date.UTC(Number(date.slice(0, 4)) + 1, 0, 1) : next
    return { date, level, wood: mid === null ? null : { low: mid - 2, mid, high: mid + 2 } }
  })
}
const many = (level: Level, n: number): Level[] => new Array(n).fill(level)
const LINES = { dampPct: 16, wetPct: 20 }

test('up to thirteen months stand in one row; more stand in years, newest first, season under season', () => {
  expect(rowsOf(weeks('2025-01-01', many('dry', 57))).map(({ year, length }) => [year, length])).toEqual([[null, 57]])
  const rows = rowsOf(weeks('2024-07-01', many('dry', 110)))
  expect(rows.map(({ year, length }) => [year, length])).toEqual([
    ['2026', 52],
    ['2025', 52],
    ['2024', 52],
  ])
  expect(runsOf(rows[2]!)[0]).toMatchObject({ from: 26, level: 'dry' })
})

test('weeks of one level are one run, and a work stands where its date falls', () => {
  const [row] = rowsOf(weeks('2025-01-01', ['wet', 'wet', 'drying', 'dry', 'dry']))
  expect(runsOf(row!).map(({ level, from, to, since, until }) => [level, from, to, since, until])).toEqual([
    ['wet', 0, 2, '2025-01-01', '2025-01-15'],
    ['drying', 2, 3, '2025-01-15', '2025-01-22'],
    ['dry', 3, 5, '2025-01-22', null],
  ])
  expect([alongRow(row!, '2025-01-15'), alongRow(row!, '2024-12-31'), alongRow(row!, '2025-03-01')]).toEqual([
    2,
    null,
    null,
  ])
})

test('a gap of the wood stays a gap, and both lines are in view whatever the wood does', () => {
  const known = weeks('2025-01-01', many('dry', 3), 10)
  known[1]!.wood = null
  expect(woodRuns(rowsOf(known)[0]!).map((run) => run.map(({ at }) => at))).toEqual([[0.5], [2.5]])
  const scale = woodScale({ weeks: known, woodMeasured: false, woodLines: LINES, works: [] })
  expect(scale.from).toBeLessThanOrEqual(8)
  expect(scale.to).toBeGreaterThanOrEqual(LINES.wetPct)
})

test('in words it says what the picture shows: levels, wood with its interval, lines and works', () => {
  const words = seasonsInWords({
    weeks: weeks('2025-01-01', ['wet', 'wet', 'dry'], 18),
    woodMeasured: false,
    woodLines: LINES,
    works: [{ date: '2025-01-13', at: 0, words: 'Ground cover' }],
  })
  expect(words[0]).toBe('The weeks: wet from January 1, 2025, dry from January 15, 2025.')
  expect(words[1]).toContain('estimated from the air: 18 % (16 to 20) in the week of January 15, 2025')
  expect(words[1]).toContain('Above 16 % it is damp, above 20 % it is wet.')
  expect(words[2]).toBe('Works: Ground cover, January 13, 2025.')
  expect(seasonsInWords({ weeks: [], woodMeasured: false, woodLines: LINES, works: [] })).toEqual([
    'Nothing has been measured yet.',
  ])
})
