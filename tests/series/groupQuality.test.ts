import { expect, test } from 'vitest'
import { clockShiftMarks } from '../../server/series/clockQuality.ts'
import { localDays } from '../../server/series/days.ts'
import { movedMarks, type ProbeHours, sunStruckMarks, unitSwapMarks } from '../../server/series/groupQuality.ts'
import { DAY, HOUR, normal, seeded } from '../support/series.ts'

const START = Date.UTC(2024, 3, 1, 4) // midnight in New York
const DAYS = 60
const at = Float64Array.from({ length: DAYS * 24 }, (_, i) => START + i * HOUR)
const days = localDays({ from: START, hours: at.length }, 'America/New_York')

/** Four probes that follow the same weather, each with its own damping, noise and offset. */
function probes(): ProbeHours[] {
  const noise = normal(seeded(11))
  let front = 0
  const weather = at.map((t) => {
    front = 0.97 * front + 0.5 * noise()
    return 15 + 3 * Math.sin((2 * Math.PI * t) / DAY) + front
  })
  return ['a', 'b', 'c', 'd'].map((key, p) => ({
    key,
    tempC: weather.map((value) => 0.3 * p + 15 + (1 - 0.1 * p) * (value - 15) + 0.1 * noise()),
  }))
}

const all = (group: ProbeHours[]) => [
  ...unitSwapMarks(group, START),
  ...clockShiftMarks(group, START),
  ...movedMarks(group, days),
]

test('a healthy group carries no mark', () => {
  expect(all(probes())).toEqual([])
})

test('Fahrenheit stored as Celsius is found for its dates', () => {
  const group = probes()
  group[1]!.tempC = group[1]!.tempC.map((t, i) => (i >= 480 && i < 720 ? t * 1.8 + 32 : t))
  const marks = all(group).filter(({ kind }) => kind === 'unit swap')
  expect(marks).toHaveLength(1)
  expect(marks[0]).toMatchObject({ probe: 'b', from: START + 480 * HOUR, to: START + 720 * HOUR })
})

const late = (tempC: Float64Array, hours: number, first: number, end = tempC.length) =>
  tempC.map((t, i) => (i >= first && i < end ? (tempC[i - hours] ?? Number.NaN) : t))

/** Early ones rule most of the record, so that its usual lag is the wrong one. */
test.each([
  { day: 30, hours: 5 },
  { day: 30, hours: -5 },
  { day: 14, hours: 5 },
  { day: 9, hours: -3 },
  { day: 50, hours: 8 },
])('a clock $hours h off from day $day on is found on the right probe, within a day', ({ day, hours }) => {
  const group = probes()
  group[2]!.tempC = late(group[2]!.tempC, hours, day * 24)
  const marks = clockShiftMarks(group, START)
  expect(marks).toHaveLength(1)
  expect(marks[0]!.probe).toBe('c')
  expect(marks[0]!.numbers.shiftHours).toBe(hours)
  expect(Math.abs(marks[0]!.from - at[day * 24]!) / DAY).toBeLessThan(1)
})

test('a clock that was set right again is marked for its wrong weeks only', () => {
  const group = probes()
  group[2]!.tempC = late(group[2]!.tempC, 5, 15 * 24, 33 * 24)
  const marks = clockShiftMarks(group, START)
  expect(marks).toHaveLength(1)
  expect(Math.abs(marks[0]!.from - at[15 * 24]!) / DAY).toBeLessThan(1)
  expect(Math.abs(marks[0]!.to - at[33 * 24]!) / DAY).toBeLessThan(6)
})

test('weeks without weather, in which no clock shows, do not make two shifts of one', () => {
  const group = probes()
  const noise = normal(seeded(12))
  group[2]!.tempC = late(group[2]!.tempC, 5, 15 * 24)
  for (const probe of group) {
    probe.tempC = probe.tempC.map((t, i) => (i >= 30 * 24 && i < 42 * 24 ? 15 + 0.1 * noise() : t))
  }
  const marks = clockShiftMarks(group, START)
  expect(marks).toHaveLength(1)
  expect(Math.abs(marks[0]!.from - at[15 * 24]!) / DAY).toBeLessThan(1)
  expect(marks[0]!.to).toBeGreaterThan(at[50 * 24]!)
})

test('two wrong clocks of four probes are both found', () => {
  const group = probes()
  group[0]!.tempC = late(group[0]!.tempC, 6, 20 * 24)
  group[3]!.tempC = late(group[3]!.tempC, -4, 35 * 24)
  const marks = clockShiftMarks(group, START)
  expect(marks.map(({ probe }) => probe).sort()).toEqual(['a', 'd'])
})

test('a probe hung somewhere warmer is told from weather, on the day it happened', () => {
  const group = probes()
  group[3]!.tempC = group[3]!.tempC.map((t, i) => (i >= 30 * 24 + 10 ? t + 2.5 : t))
  const marks = movedMarks(group, days)
  expect(marks).toHaveLength(1)
  expect(marks[0]!.probe).toBe('d')
  expect(Math.abs(marks[0]!.from - days[30]!.from)).toBeLessThanOrEqual(DAY)
  expect(marks[0]!.numbers.stepK).toBeCloseTo(2.5, 0)
})

test('two probes alone cannot say which of them is wrong', () => {
  const group = probes().slice(0, 2)
  group[1]!.tempC = group[1]!.tempC.map((t) => t * 1.8 + 32)
  expect(all(group)).toEqual([])
})

test('sun on an outdoor probe: against a station, and by its morning jump alone', () => {
  const calm = at.map((t) => 15 + 4 * Math.sin((2 * Math.PI * t) / DAY))
  const sun = (i: number) => (i % 24 === 12 ? 9 : i % 24 === 13 ? 8 : 0)
  const struck = { key: 'out', tempC: calm.map((t, i) => t + sun(i)) }
  expect(sunStruckMarks({ key: 'out', tempC: calm }, START, calm)).toEqual([])
  expect(sunStruckMarks({ key: 'out', tempC: calm }, START)).toEqual([])
  const beside = sunStruckMarks(struck, START, calm)
  expect(beside).toHaveLength(DAYS)
  expect(beside[0]).toMatchObject({ from: START + 12 * HOUR, to: START + 14 * HOUR })
  expect(sunStruckMarks(struck, START)).toHaveLength(DAYS)
})
