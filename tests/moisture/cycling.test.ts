import { expect, test } from 'vitest'
import { NUMBER_DEFAULTS } from '../../server/advice/defaults.ts'
import { thresholds } from '../../server/advice/thresholds.ts'
import { cyclingUnseen, findCycling } from '../../server/moisture/cycling.ts'
import type { HouseRecord } from '../../server/moisture/input.ts'
import { countRuns, mostStartsSeen } from '../../server/moisture/machineRuns.ts'
import { normal, seeded } from '../support/series.ts'
import { START } from './made.ts'

const MINUTE = 60_000
const limits = thresholds()

interface Invented {
  onMinutes: number
  offMinutes: number
  days?: number
  everyMinutes: number
  swingPct?: number
}

/** A machine that runs and stands by the clock; RH falls and climbs straight between, over the day's own wave. */
function invented({ onMinutes, offMinutes, days = 6, everyMinutes, swingPct = 4 }: Invented) {
  const noise = normal(seeded(11))
  const n = Math.floor((days * 1440) / everyMinutes)
  const at = Float64Array.from({ length: n }, (_, i) => START + i * everyMinutes * MINUTE)
  // An odd part of a minute, so that readings do not fall on the same points of every cycle.
  const phase = (t: number) => ((t - START) / MINUTE + 0.37) % (onMinutes + offMinutes)
  const isOn = at.map((t) => (phase(t) < onMinutes ? 1 : 0))
  const rhPct = at.map((t) => {
    const p = phase(t)
    const tooth = p < onMinutes ? 1 - p / onMinutes : (p - onMinutes) / offMinutes
    return 52 + swingPct * tooth + 1.5 * Math.sin(((t - START) / MINUTE / 1440) * 2 * Math.PI) + 0.15 * noise()
  })
  const powerW = isOn.map((on) => (on === 1 ? 480 + 8 * noise() : 35 + noise()))
  return { at, rhPct, powerW, hours: days * 24, share: onMinutes / (onMinutes + offMinutes) }
}

function runsOf(machine: Invented, basis: 'power' | 'humidity') {
  const { at, rhPct, powerW, hours, share } = invented(machine)
  const runs = countRuns({ at, values: basis === 'power' ? powerW : rhPct, basis }, START, hours)!
  const record = { startAt: START, hours, machineRuns: runs } as unknown as HouseRecord
  const mean = (column: Float64Array) => column.reduce((a, b) => a + b, 0) / column.length
  return { record, startsPerH: mean(runs.starts.slice(2)), runShare: mean(runs.runShare.slice(2)), share }
}

const SHORT = { onMinutes: 4, offMinutes: 8, everyMinutes: 1 }
const USUAL = { onMinutes: 22, offMinutes: 38, everyMinutes: 1 }

test('a machine that starts five times an hour is short cycling, by its power and by the saw-tooth alike', () => {
  for (const basis of ['power', 'humidity'] as const) {
    const { record, startsPerH, runShare, share } = runsOf(SHORT, basis)
    expect(startsPerH).toBeCloseTo(5, 1)
    expect(Math.abs(runShare - share)).toBeLessThan(0.08)
    const found = findCycling(record, limits)!
    expect(found).toMatchObject({ at: START, basis })
    expect(found.startsPerH).toBeCloseTo(5, 0)
    expect(Math.abs(found.runMinutes - 4)).toBeLessThan(1)
  }
})

test('a usual machine is counted right and not called short cycling', () => {
  for (const basis of ['power', 'humidity'] as const) {
    const { record, startsPerH, runShare, share } = runsOf(USUAL, basis)
    expect(startsPerH).toBeCloseTo(1, 1)
    expect(Math.abs(runShare - share)).toBeLessThan(0.05)
    expect(findCycling(record, limits)).toBeNull()
    expect(cyclingUnseen(record, limits)).toBeNull()
  }
})

test('power read every five minutes shows five starts an hour where runs and rests are longer than that', () => {
  const even = runsOf({ onMinutes: 6, offMinutes: 6, everyMinutes: 5 }, 'power')
  expect(even.startsPerH).toBeCloseTo(5, 1)
  expect(findCycling(even.record, limits)).not.toBeNull()
  // Runs of four minutes slip between the readings one time in five: counted too few, and the answer says why.
  const short = runsOf({ ...SHORT, everyMinutes: 5 }, 'power')
  expect(short.startsPerH).toBeLessThan(4.3)
  expect(cyclingUnseen(short.record, limits)).toContain('shorter than 5 minutes may slip between')
})

test('RH read every five minutes cuts the teeth of a cycle of twelve, so the answer asks for faster readings', () => {
  const { record, startsPerH } = runsOf({ onMinutes: 6, offMinutes: 6, everyMinutes: 5 }, 'humidity')
  expect(startsPerH).toBeGreaterThan(2)
  expect(startsPerH).toBeLessThan(5)
  expect(cyclingUnseen(record, limits)).toContain('surely at most 3 starts')
  expect(
    findCycling(runsOf({ onMinutes: 6, offMinutes: 6, everyMinutes: 3 }, 'humidity').record, limits),
  ).not.toBeNull()
})

test('readings every quarter hour cannot show it, and the answer says so', () => {
  const { record, startsPerH } = runsOf({ ...SHORT, everyMinutes: 15 }, 'humidity')
  expect(startsPerH).toBeLessThanOrEqual(mostStartsSeen(15))
  expect(findCycling(record, limits)).toBeNull()
  expect(cyclingUnseen(record, limits)).toContain('cannot be seen in readings 15 minutes apart')
  const unread = { startAt: START, hours: 24, machineReadingsEveryMinutes: 30 } as unknown as HouseRecord
  expect(cyclingUnseen(unread, limits)).toContain('30 minutes apart')
})

test('a cycle faster than the readings looks slower, never faster than half their rate', () => {
  for (const cycle of [3.1, 5.3, 6.4, 7.7, 9.2]) {
    const { startsPerH } = runsOf({ onMinutes: cycle / 2, offMinutes: cycle / 2, everyMinutes: 5 }, 'power')
    expect(startsPerH).toBeLessThanOrEqual(mostStartsSeen(5))
  }
})

test('noise alone is no saw-tooth', () => {
  const { record, startsPerH } = runsOf({ ...USUAL, everyMinutes: 5, swingPct: 0 }, 'humidity')
  expect(startsPerH).toBeLessThan(0.2)
  expect(findCycling(record, limits)).toBeNull()
})

test('a gap is no start and its hours are not known', () => {
  const { at, powerW, hours } = invented(USUAL)
  const gap = (t: number) => t >= START + 30 * 3_600_000 && t < START + 40 * 3_600_000
  const runs = countRuns(
    { at, values: powerW.map((w, i) => (gap(at[i]!) ? Number.NaN : w)), basis: 'power' },
    START,
    hours,
  )!
  expect(runs.starts.slice(30, 40).every(Number.isNaN)).toBe(true)
  expect(runs.starts.filter(Number.isFinite).every((n) => n <= 2)).toBe(true)
})

test('power that shows one level tells nothing', () => {
  const at = Float64Array.from({ length: 1000 }, (_, i) => START + i * MINUTE)
  expect(countRuns({ at, values: at.map(() => 40), basis: 'power' }, START, 17)).toBeNull()
  expect(countRuns({ at, values: at.map((_, i) => 440 + (i % 7)), basis: 'power' }, START, 17)).toBeNull()
})

test('days that are too few, or hours that are, are left alone', () => {
  const { record } = runsOf({ ...SHORT, days: NUMBER_DEFAULTS.cyclingDays.value - 1 }, 'power')
  expect(findCycling(record, limits)).toBeNull()
  const { record: long } = runsOf(SHORT, 'power')
  const starts = long.machineRuns!.starts.map((n, h) => (h % 24 < limits.cyclingHoursPerDay - 1 ? n : 1))
  expect(findCycling({ ...long, machineRuns: { ...long.machineRuns!, starts } }, limits)).toBeNull()
})
