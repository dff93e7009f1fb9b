import { expect, test } from 'vitest'
import { outdated } from '../../server/files/rotation.ts'

const at = (text: string): number => Date.parse(`${text.length === 10 ? `${text}T03:00` : text}:00Z`)
const gone = (times: string[], now: string, keep: number): string[] => {
  const going = new Set(outdated(times.map(at), { now: at(now), keep }))
  return times.filter((time) => going.has(at(time)))
}

/** 2026-03-01 is a Sunday, and the last day of its week. */
const daily = (from: string, days: number): string[] =>
  Array.from({ length: days }, (_, i) => new Date(at(from) + i * 86_400_000).toISOString().slice(0, 10))

test('the newest few stay, one a day of the last seven days, one a week of the last four weeks', () => {
  const times = daily('2026-01-25', 36) // to Sunday, 2026-03-01
  const kept = times.filter((time) => !gone(times, '2026-03-01', 2).includes(time))
  expect(kept).toEqual([
    ...['2026-02-08', '2026-02-15', '2026-02-22'], // the newest of their weeks
    ...daily('2026-02-23', 7), // a day each; the newest is that of its week too
  ])
})

test.each([
  ['one that is alone', ['2026-03-01'], '2026-03-01', 1, []],
  ['the only one, however old', ['2025-01-01'], '2026-03-01', 1, []],
  ['three of one day: the newest stays', ['2026-03-01T01:00', '2026-03-01T02:00', '2026-03-01T03:00'], '2026-03-01T04:00', 1, ['2026-03-01T01:00', '2026-03-01T02:00']], // biome-ignore format: a row of a table
  ['three of one day, two kept', ['2026-03-01T01:00', '2026-03-01T02:00', '2026-03-01T03:00'], '2026-03-01T04:00', 2, ['2026-03-01T01:00']], // biome-ignore format: a row of a table
  ['older than four weeks, while there are newer', ['2026-01-31', '2026-02-01', '2026-03-01'], '2026-03-01', 1, ['2026-01-31', '2026-02-01']], // biome-ignore format: a row of a table
  ['two of the fourth week back: the newer stays', ['2026-02-02', '2026-02-03', '2026-03-01'], '2026-03-01', 1, ['2026-02-02']], // biome-ignore format: a row of a table
  ['Sunday and Monday are two weeks', ['2026-02-15', '2026-02-16', '2026-03-01'], '2026-03-01', 1, []],
  ['from later than now: stays, and does not count among the newest', ['2026-02-27', '2026-03-01', '2030-01-01'], '2026-03-01', 1, []], // biome-ignore format: a row of a table
  ['older ones go though a clock was wrong', ['2025-02-27', '2026-03-01', '2030-01-01'], '2026-03-01', 1, ['2025-02-27']], // biome-ignore format: a row of a table
  ['none are thrown away while there are few', ['2025-01-01', '2025-02-01', '2025-03-01'], '2026-03-01', 3, []],
])('%s', (_, times, now, keep, expected) => {
  expect(gone(times as string[], now as string, keep as number)).toEqual(expected)
})

test('made daily for a year and rotated each time, there are never more than the rule allows, and the newest is there', () => {
  let times: number[] = []
  for (const day of daily('2025-03-01', 365)) {
    times.push(at(day))
    const going = outdated(times, { now: at(day), keep: 3 })
    times = times.filter((time) => !going.includes(time))
    expect(times).toContain(at(day))
    expect(times.length).toBeLessThanOrEqual(7 + 3)
  }
  // Saturday: the seventh day back is the Sunday that ends the week before.
  const left = times.map((time) => new Date(time).toISOString().slice(0, 10))
  expect(left).toEqual(['2026-02-08', '2026-02-15', ...daily('2026-02-22', 7)])
})
