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

test('a clock five hours off is found on the right probe, within four days', () => {
  const group = probes()
  const right = group[2]!.tempC
  group[2]!.tempC = right.map((t, i) => (i >= 720 ? (right[i - 5] ?? Number.NaN) : t))
  const marks = clockShiftMarks(group, START)
  expect(marks).toHaveLength(1)
  expect(marks[0]!.probe).toBe('c')
  expect(marks[0]!.numbers.shiftHours).toBe(5)
  expect(Math.abs(marks[0]!.from - at[720]!) / DAY).toBeLessThan(4)
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
