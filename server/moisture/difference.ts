/**
 * Paired runs: each possible house once with its works and once without each group of them, in the same weather, so
 * that errors common to both cancel in the difference.
 */
import { WATER_TO_AIR_MASS } from '../physics/air.ts'
import { newFlows } from './balance.ts'
import { drawHouses, driversWithout, type HouseModel } from './house.ts'
import { MOLD_STEP_HOURS, moldOverRun } from './moldOverRun.ts'
import { type FullRun, woodAt } from './timber.ts'
import type { WorkGroup } from './works.ts'

export interface Window {
  fromHour: number
  toHour: number
}

export interface Question {
  group: WorkGroup
  without: ReadonlySet<string>
  /** Warming by evaporation saved [K] (see cooling.ts). */
  cooling: Float64Array | null
  /** From the work on, and from the end of its drying on. */
  windows: readonly [Window, Window]
}

/** Means over a window, with minus without. */
export interface Difference {
  gkg: number
  pa: number
  rhPct: number
  tempC: number
  woodPct: number
  moldIndex: number
}

export const NO_DIFFERENCE: Difference = { gkg: 0, pa: 0, rhPct: 0, tempC: 0, woodPct: 0, moldIndex: 0 }

/** What one possible house says of one work. */
export interface PairedDifference {
  windows: Difference[]
  /** Vapor pressure day by day, with minus without [Pa]; a day ends where the next begins. */
  dailyPa: Float64Array
}

/**
 * @param dayStarts hours of the record at which days begin, ascending
 * @returns by draw, then by question
 */
export function pairedDifferences(
  model: HouseModel,
  questions: readonly Question[],
  dayStarts: readonly number[],
): PairedDifference[][] {
  if (questions.length === 0) return []
  const none = new Set<string>()
  const [withFlows, withoutFlows] = [newFlows(model.prepared.hours), newFlows(model.prepared.hours)]
  return drawHouses(model).map((draw) => {
    const withWorks = woodAt(model, draw, driversWithout(model, draw, none), none, withFlows)
    const moldWith = moldOverRun(withWorks)
    return questions.map(({ without, cooling, windows }) => {
      const other = woodAt(model, draw, driversWithout(model, draw, without, cooling), without, withoutFlows)
      const moldWithout = moldOverRun(other)
      return {
        windows: windows.map((window) => ({
          ...meanDifference(withWorks, other, window, model.prepared.pressurePa),
          moldIndex: meanInWindow(moldWith, window) - meanInWindow(moldWithout, window),
        })),
        dailyPa: dailyDifference(withWorks.vaporPressurePa, other.vaporPressurePa, dayStarts),
      }
    })
  })
}

function dailyDifference(a: Float64Array, b: Float64Array, dayStarts: readonly number[]): Float64Array {
  return Float64Array.from(dayStarts, (from, d) => {
    const to = dayStarts[d + 1] ?? a.length
    let sum = 0
    for (let h = from; h < to; h++) sum += a[h]! - b[h]!
    return sum / Math.max(1, to - from)
  })
}

function meanDifference(
  a: FullRun,
  b: FullRun,
  { fromHour, toHour }: Window,
  pressurePa: number,
): Omit<Difference, 'moldIndex'> {
  const sum = { gkg: 0, pa: 0, rhPct: 0, tempC: 0, woodPct: 0 }
  const share = 1 / Math.max(1, toHour - fromHour)
  for (let h = fromHour; h < toHour; h++) {
    const [ea, eb] = [a.vaporPressurePa[h]!, b.vaporPressurePa[h]!]
    sum.gkg += 1000 * WATER_TO_AIR_MASS * (ea / (pressurePa - ea) - eb / (pressurePa - eb))
    sum.pa += ea - eb
    sum.rhPct += 100 * (ea / a.climate.saturationPa[h]! - eb / b.climate.saturationPa[h]!)
    sum.tempC += a.climate.tempC[h]! - b.climate.tempC[h]!
    sum.woodPct += 100 * (a.pinDepthMoisture[h]! - b.pinDepthMoisture[h]!)
  }
  return {
    gkg: sum.gkg * share,
    pa: sum.pa * share,
    rhPct: sum.rhPct * share,
    tempC: sum.tempC * share,
    woodPct: sum.woodPct * share,
  }
}

/** Mean of a mold path over a window, from its whole steps. */
function meanInWindow(index: Float64Array, { fromHour, toHour }: Window): number {
  const first = Math.floor(fromHour / MOLD_STEP_HOURS)
  const end = Math.max(first + 1, Math.floor(toHour / MOLD_STEP_HOURS))
  return (
    index.subarray(first, end).reduce((sum, value) => sum + value, 0) / Math.max(1, Math.min(end, index.length) - first)
  )
}
