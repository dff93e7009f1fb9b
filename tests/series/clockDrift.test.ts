/** Made clocks: drifting, set in between, told late; and the corrections that follow. */
import { expect, test } from 'vitest'
import { thresholds } from '../../server/advice/thresholds.ts'
import { type ClockDay, clockCorrections, clockDrift, clockErrorLeftS } from '../../server/series/clockDrift.ts'
import { correctedReadings } from '../../server/series/corrections.ts'
import { DAY, seeded } from '../support/series.ts'

const FROM = Date.UTC(2026, 0, 1)
const LIMITS = thresholds()

/** Delays of up to two seconds, as the way of a message. */
function days(count: number, offS: (day: number) => number): ClockDay[] {
  const chance = seeded(11)
  return Array.from({ length: count }, (_, i) => ({ dayAt: FROM + i * DAY, offS: offS(i) - 2 * chance() }))
}

test('a steady clock needs nothing', () => {
  const drift = clockDrift(
    days(60, () => 5),
    LIMITS,
  )
  expect(drift.runs).toHaveLength(1)
  expect(Math.abs(drift.runs[0]!.driftSPerDay)).toBeLessThan(0.05)
  expect(clockCorrections(drift, LIMITS)).toEqual([])
})

test('a drift of 2.5 s a day is found within 2 % and corrected to less than a minute', () => {
  const told = days(200, (day) => 2.5 * day)
  const drift = clockDrift(told, LIMITS)
  expect(drift.runs).toHaveLength(1)
  expect(drift.runs[0]!.driftSPerDay).toBeCloseTo(2.5, 1)
  const corrections = clockCorrections(drift, LIMITS)
  expect(corrections.length).toBeGreaterThan(5)
  expect(corrections.at(-1)!.to).toBeNull()
  expect(clockErrorLeftS(drift, [])).toBeGreaterThan(400)
  expect(clockErrorLeftS(drift, corrections)).toBeLessThanOrEqual(60)
  // Readings on the clock's own time come back to the true one.
  const truth = Float64Array.from({ length: 190 }, (_, i) => FROM + (i + 1) * DAY + DAY / 2)
  const at = truth.map((instant) => instant + ((2.5 * (instant - FROM)) / DAY) * 1000)
  const back = correctedReadings({ at }, corrections).at
  for (const [i, instant] of truth.entries()) expect(Math.abs(back[i]! - instant)).toBeLessThan(62_000)
})

test('a clock that was set, ahead and back, makes runs of their own', () => {
  const told = days(90, (day) => (day < 30 ? 0.5 * day : day < 60 ? 3600 + 0.5 * day : 0.5 * (day - 60)))
  const { runs, leftOut } = clockDrift(told, LIMITS)
  expect(runs.map(({ from }) => (from - FROM) / DAY)).toEqual([0, 30, 60])
  expect(leftOut).toBe(0)
  const corrections = clockCorrections({ runs, leftOut }, LIMITS)
  expect(clockErrorLeftS({ runs, leftOut }, corrections)).toBeLessThanOrEqual(60)
  expect(corrections.some(({ offset }) => Math.abs(offset + 3600) <= 60)).toBe(true)
  // Of what is still dated, no two add up.
  for (const [i, one] of corrections.entries()) {
    for (const other of corrections.slice(i + 1)) expect(one.to!).toBeLessThanOrEqual(other.from)
  }
})

test('a clock that fell back to the year 2000 is dated by what it told', () => {
  const back = (Date.UTC(2000, 0, 1) - (FROM + 20 * DAY)) / 1000
  const drift = clockDrift(
    days(40, (day) => (day < 20 ? 0 : back)),
    LIMITS,
  )
  const corrections = clockCorrections(drift, LIMITS)
  expect(corrections).toHaveLength(1)
  expect(new Date(corrections[0]!.from).getUTCFullYear()).toBeLessThan(2001)
  expect(clockErrorLeftS(drift, corrections)).toBeLessThanOrEqual(60)
})

test('a day that was late all day says nothing, and the newest odd day waits for the next', () => {
  const late = days(40, (day) => day - (day === 20 ? 400 : 0))
  const drift = clockDrift(late, LIMITS)
  expect(drift.runs).toHaveLength(1)
  expect(drift.leftOut).toBe(1)
  expect(drift.runs[0]!.driftSPerDay).toBeCloseTo(1, 1)
  const jumped = days(41, (day) => (day < 40 ? 0 : 900))
  expect(clockDrift(jumped, LIMITS).runs).toHaveLength(1)
  expect(
    clockDrift(
      days(42, (day) => (day < 40 ? 0 : 900)),
      LIMITS,
    ).runs,
  ).toHaveLength(2)
})

test('nothing told, nothing found', () => {
  expect(clockDrift([], LIMITS)).toEqual({ runs: [], leftOut: 0 })
  expect(clockCorrections({ runs: [], leftOut: 0 }, LIMITS)).toEqual([])
})
