/** Each work day by day: the air as it was measured and as it would have been without the work, with the days that do not count. */
import type { Effect } from '../../moisture/effect.ts'
import type { HouseModel } from '../../moisture/house.ts'
import { HOUR_MS } from '../../moisture/input.ts'
import { dewPointC } from '../../physics/air.ts'
import { dailyMeans, type LocalDay, localDays } from '../../series/days.ts'
import type { StudiedHouse } from '../studiedHouse.ts'

type Column = (number | null)[]

export interface EffectDays {
  works: string[]
  /** Start of each local day [UTC epoch ms]. */
  at: number[]
  /** Dew points of the daily mean vapor pressure [°C]. */
  measuredDewPointC: Column
  withoutDewPointC: { low: Column; mid: Column; high: Column }
  excluded: { from: number; to: number; reason: string }[]
}

/** So much of the time before a work is drawn beside it. */
const DAYS_BEFORE = 45
/** A dew point is asked of vapor pressures that air near the ground can have. */
const LEAST_PA = 20

/** The days of a record, and the hours of it at which they begin. */
export function recordDays(startAt: number, hours: number, timeZone: string): { days: LocalDay[]; starts: number[] } {
  const days = localDays({ from: startAt, hours }, timeZone)
  return { days, starts: days.map(({ first }) => first) }
}

/**
 * Without the work the air would have held what was measured less what the work changed: what the model misses of the
 * weather is then in both lines and not between them.
 */
export function effectDays(
  house: StudiedHouse,
  model: HouseModel,
  effects: readonly Effect[],
  days: readonly LocalDay[],
): EffectDays[] {
  const measured = dailyMeans(days, model.prepared.space.vaporPressurePa)
  return effects.map((effect) => {
    const group = model.plan.groups.find(({ keys }) => keys === effect.workKeys)!
    const endAt = model.record.startAt + group.windowEndHour * HOUR_MS
    const first = days.findIndex(({ to }) => to > effect.from - DAYS_BEFORE * 24 * HOUR_MS)
    const end = days.findLastIndex(({ from }) => from < endAt) + 1
    const rows = days.slice(first, end)
    const column = (value: (d: number) => number): Column => rows.map((_, i) => rounded(value(first + i)))
    const without = (bound: 'low' | 'mid' | 'high') => column((d) => withoutPa(measured[d]!, effect, d, bound))
    // The most the work can have changed leaves the air moistest, so the ends trade places.
    const pa = { low: without('high'), mid: without('mid'), high: without('low') }
    const measuredPa = column((d) => measured[d]!)
    return {
      works: effect.workKeys,
      at: rows.map(({ from }) => from),
      measuredDewPointC: measuredPa.map(dewPoint),
      withoutDewPointC: { low: pa.low.map(dewPoint), mid: pa.mid.map(dewPoint), high: pa.high.map(dewPoint) },
      excluded: excludedDays(house, effect, rows, measuredPa, model.record.startAt),
    }
  })
}

const withoutPa = (measured: number, effect: Effect, d: number, bound: 'low' | 'mid' | 'high'): number =>
  Math.max(LEAST_PA, measured - (effect.dailyPa[d]?.[bound] ?? Number.NaN))

const rounded = (value: number): number | null => (Number.isFinite(value) ? Math.round(value * 10) / 10 : null)
const dewPoint = (pa: number | null): number | null => (pa === null ? null : Math.round(dewPointC(pa) * 100) / 100)

function excludedDays(
  house: StudiedHouse,
  effect: Effect,
  rows: readonly LocalDay[],
  measuredPa: readonly (number | null)[],
  startAt: number,
): EffectDays['excluded'] {
  const excluded: EffectDays['excluded'] = []
  for (const { key, from } of house.works) {
    const day = rows.find((row) => from >= row.from && from < row.to)
    if (day && effect.workKeys.includes(key))
      excluded.push({ from: day.from, to: day.to, reason: 'the day of the work' })
  }
  const dryingEnds = startAt + effect.dryingEndsHour * HOUR_MS
  if (dryingEnds > effect.from) {
    const reason = 'drying after the work: counted in "so far", left out of "settled"'
    excluded.push({ from: effect.from, to: dryingEnds, reason })
  }
  for (let i = 0; i < rows.length; i++) {
    if (measuredPa[i] !== null) continue
    const from = rows[i]!.from
    while (i + 1 < rows.length && measuredPa[i + 1] === null) i++
    excluded.push({ from, to: rows[i]!.to, reason: 'too few readings: a gap, a fault or a visit' })
  }
  return excluded
}
