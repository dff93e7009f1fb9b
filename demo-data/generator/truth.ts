import { gPerKg, saturationPa } from './air.ts'
import { STEPS_PER_HOUR } from './crawlSpace.ts'
import { type HourlyTruth, PATHS, type Path } from './record.ts'
import { type SimulatedHouse, simulateHouse } from './simulateHouse.ts'
import type { HouseSpec } from './spec.ts'
import { type WallClock, wallClock } from './wallTime.ts'

const HOUR_MS = 3_600_000
const DAY_HOURS = 24
/** Below this a change is called none; the same line the trade's sensors can just see. */
const CLEAR_CHANGE_G_PER_KG = 0.25
/** Works this close together are answered for as one. */
const TOGETHER_DAYS = 7

export interface TrueChange {
  humidityRatioGKg: number
  vaporPressurePa: number
  rhPct: number
  tempC: number
}

export interface TrueEffect {
  works: string[]
  from: string
  to: string
  days: number
  /** Mean over the window of the run with the works minus the run without them; the whole space and each spot. */
  change: TrueChange
  spots: Record<string, TrueChange>
  verdict: 'drier' | 'no clear change' | 'wetter'
}

export interface TrueSources {
  from: string
  to: string
  /** What each path brought in while it brought, and took out while it took [kg a day]. */
  entriesKgPerDay: Record<Path, number>
  exitsKgPerDay: Record<Path, number>
  /** Share of each path in all that came in. */
  entryShares: Record<Path, number>
}

/** The works in order of date, those within a week of each other in one group. */
export function workGroups(spec: HouseSpec): { keys: string[]; fromMs: number; from: string }[] {
  const clock = wallClock(spec.timeZone)
  const groups: { keys: string[]; fromMs: number; lastMs: number; from: string }[] = []
  const works = spec.works.map((work) => ({ work, at: clock.instantOf(work.from) })).sort((a, b) => a.at - b.at)
  for (const { work, at } of works) {
    const group = groups.at(-1)
    if (group !== undefined && at - group.lastMs < TOGETHER_DAYS * DAY_HOURS * HOUR_MS) {
      group.keys.push(work.key)
      group.lastMs = at
    } else groups.push({ keys: [work.key], fromMs: at, lastMs: at, from: work.from })
  }
  return groups.map(({ keys, fromMs, from }) => ({ keys, fromMs, from }))
}

/**
 * True effect of each group of works, from the group to the next one or the end, in the same weather.
 * `asRun` may be handed over to save a run.
 */
export function trueEffects(spec: HouseSpec, seed: number, asRun?: SimulatedHouse): TrueEffect[] {
  const withAll = asRun ?? simulateHouse(spec, seed, { noReadings: true })
  const groups = workGroups(spec)
  return groups.map(({ keys, fromMs, from }, k) => {
    const toMs = Math.min(groups[k + 1]?.fromMs ?? Number.POSITIVE_INFINITY, withAll.toMs)
    const without = simulateHouse(spec, seed, { withoutWorks: keys, noReadings: true })
    const change = meanChange(withAll.truth, without.truth, fromMs, toMs)
    const spots = Object.fromEntries(
      spec.spots.map((spot, i) => [spot.key, spotChange(withAll, without, i, fromMs, toMs)]),
    )
    return {
      works: keys,
      from,
      to: groups[k + 1]?.from ?? spec.to,
      days: (toMs - fromMs) / (DAY_HOURS * HOUR_MS),
      change,
      spots,
      verdict: verdictOf(change.humidityRatioGKg),
    }
  })
}

const verdictOf = (gPerKgChange: number): TrueEffect['verdict'] =>
  gPerKgChange <= -CLEAR_CHANGE_G_PER_KG
    ? 'drier'
    : gPerKgChange >= CLEAR_CHANGE_G_PER_KG
      ? 'wetter'
      : 'no clear change'

function meanChange(a: HourlyTruth, b: HourlyTruth, fromMs: number, toMs: number): TrueChange {
  const difference = (column: 'humidityRatioGKg' | 'vaporPressurePa' | 'rhPct' | 'tempC') =>
    meanOver(a, a[column], fromMs, toMs) - meanOver(b, b[column], fromMs, toMs)
  return {
    humidityRatioGKg: difference('humidityRatioGKg'),
    vaporPressurePa: difference('vaporPressurePa'),
    rhPct: difference('rhPct'),
    tempC: difference('tempC'),
  }
}

function spotChange(a: SimulatedHouse, b: SimulatedHouse, spot: number, fromMs: number, toMs: number): TrueChange {
  const sums: TrueChange = { humidityRatioGKg: 0, vaporPressurePa: 0, rhPct: 0, tempC: 0 }
  const stepMs = HOUR_MS / STEPS_PER_HOUR
  const first = Math.round((fromMs - a.truth.startMs) / stepMs)
  const last = Math.round((toMs - a.truth.startMs) / stepMs)
  for (const [run, sign] of [
    [a, 1],
    [b, -1],
  ] as const) {
    const { tempC, vaporPressurePa } = run.spots[spot]!
    for (let i = first; i < last; i++) {
      sums.humidityRatioGKg += sign * gPerKg(vaporPressurePa[i]!)
      sums.vaporPressurePa += sign * vaporPressurePa[i]!
      sums.rhPct += (sign * 100 * vaporPressurePa[i]!) / saturationPa(tempC[i]!)
      sums.tempC += sign * tempC[i]!
    }
  }
  const n = last - first
  return {
    humidityRatioGKg: sums.humidityRatioGKg / n,
    vaporPressurePa: sums.vaporPressurePa / n,
    rhPct: sums.rhPct / n,
    tempC: sums.tempC / n,
  }
}

/** Mean of an hourly column over [fromMs, toMs). */
export function meanOver(truth: HourlyTruth, column: Float64Array, fromMs: number, toMs: number): number {
  const first = Math.max(0, Math.round((fromMs - truth.startMs) / HOUR_MS))
  const last = Math.min(truth.hours, Math.round((toMs - truth.startMs) / HOUR_MS))
  let sum = 0
  for (let i = first; i < last; i++) sum += column[i]!
  return sum / (last - first)
}

/**
 * Entries and exits by path for each period between groups of works. From a plain run this is the balance as it is;
 * from a run with `holdRhPct` it is the load that would have to be removed to hold that RH.
 */
export function trueSources(spec: HouseSpec, run: SimulatedHouse): TrueSources[] {
  const groups = workGroups(spec)
  const edges = [
    { at: run.fromMs, text: spec.from },
    ...groups.map(({ fromMs, from }) => ({ at: fromMs, text: from })),
    { at: run.toMs, text: spec.to },
  ]
  return edges.slice(0, -1).map((edge, k) => {
    const next = edges[k + 1]!
    return { from: edge.text, to: next.text, ...sourcesBetween(run.truth, edge.at, next.at) }
  })
}

function sourcesBetween(truth: HourlyTruth, fromMs: number, toMs: number) {
  const first = Math.round((fromMs - truth.startMs) / HOUR_MS)
  const last = Math.round((toMs - truth.startMs) / HOUR_MS)
  const days = (last - first) / DAY_HOURS
  const zeros = () => Object.fromEntries(PATHS.map((path) => [path, 0])) as Record<Path, number>
  const entriesKgPerDay = zeros()
  const exitsKgPerDay = zeros()
  const entryShares = zeros()
  for (const path of PATHS) {
    for (let i = first; i < last; i++) {
      const kg = truth.pathKg[path][i]!
      if (kg > 0) entriesKgPerDay[path] += kg / days
      else exitsKgPerDay[path] -= kg / days
    }
  }
  const all = PATHS.reduce((sum, path) => sum + entriesKgPerDay[path], 0)
  for (const path of PATHS) entryShares[path] = entriesKgPerDay[path] / all
  return { entriesKgPerDay, exitsKgPerDay, entryShares }
}

/**
 * Liters a day that hold `rhPct` on the 95th-percentile day of the last 365 days of the run, with every work but the
 * dehumidifiers done from the start ("the house as it is now"). With `holdPowerJPerKg` the machine's heat stays in the space.
 */
export function trueDehumidifierNeed(spec: HouseSpec, seed: number, rhPct: number, holdPowerJPerKg?: number): number {
  const clock = wallClock(spec.timeZone)
  const asNow = withWorksFromStart(spec, clock)
  const run = simulateHouse(asNow, seed, { holdRhPct: rhPct, holdPowerJPerKg, noReadings: true })
  const removed = run.truth.pathKg.dehumidifier
  const days = Math.min(365, Math.floor(run.truth.hours / DAY_HOURS))
  const daily = Array.from({ length: days }, (_, day) => {
    const end = run.truth.hours - day * DAY_HOURS
    let kg = 0
    for (let i = end - DAY_HOURS; i < end; i++) kg -= removed[i]!
    return kg
  })
  return daily.sort((a, b) => a - b)[Math.floor(0.95 * (days - 1))]!
}

function withWorksFromStart(spec: HouseSpec, clock: WallClock): HouseSpec {
  const end = clock.instantOf(spec.to)
  const lasting = spec.works.filter(
    (work) => work.kind !== 'dehumidifier' && (work.to === undefined || clock.instantOf(work.to) >= end),
  )
  // Order is kept: works of one kind replace each other in the order they were done.
  const works = lasting
    .toSorted((a, b) => clock.instantOf(a.from) - clock.instantOf(b.from))
    .map((work) => ({ ...work, from: '2000-01-01', to: undefined }))
  return { ...spec, works }
}
