/** Which outdoor air and which rain a house is judged by, and how well its sensors are known. */
import { HOUR_MS, type HourlyColumns } from '../series/hourly.ts'
import { rainStep, spreadDailyRain } from '../series/rain.ts'
import { CHECKED_SHARE, type SensorAccuracy, USUAL_ACCURACY } from '../series/sensorUncertainty.ts'
import type { HouseTree } from '../store/houseTree.ts'
import type { OutdoorAir, StudiedRain, StudiedSpot } from './studiedHouse.ts'

interface Source {
  name: string
  hours: HourlyColumns
}

const known = (column: Float64Array): number => column.reduce((n, value) => (Number.isNaN(value) ? n : n + 1), 0)

/**
 * The source that covers most hours, a spot before a station. One source alone: switching between two would put the
 * difference of their sensors into every comparison in time.
 */
export function outdoorOf(spots: readonly StudiedSpot[], stations: readonly Source[]): OutdoorAir | null {
  const outdoor = spots.filter(({ space }) => space.role === 'outdoor')
  const sources: OutdoorAir[] = [
    ...outdoor.map(({ name, hours, accuracy }): OutdoorAir => ({ name, source: 'spot', hours, accuracy })),
    ...stations.map(({ name, hours }): OutdoorAir => ({ name, source: 'station', hours, accuracy: USUAL_ACCURACY })),
  ]
  return mostHours(sources, ({ hours }) => hours.vaporPressurePa)
}

/** The gauge that covers most; sums of a day spread over it. */
export function rainOf(spots: readonly StudiedSpot[], stations: readonly Source[]): StudiedRain | null {
  const outdoor: Source[] = spots.filter(({ space }) => space.role === 'outdoor')
  const gauges = [...outdoor, ...stations].flatMap(({ name, hours }): StudiedRain[] => {
    const step = rainStep(hours.at, hours.rainMm)
    if (step === 'none') return []
    if (step === 'hourly') return [{ name, step, rainMm: hours.rainMm }]
    return [{ name, step, rainMm: spreadDailyRain(hours.rainMm), days: dailySums(hours) }]
  })
  return mostHours(gauges, ({ rainMm }) => rainMm)
}

const DAY_MS = 24 * HOUR_MS

/** A sum ends with the hour it was read in and began with the sum before it, a day earlier at most. */
function dailySums({ at, rainMm }: HourlyColumns): NonNullable<StudiedRain['days']> {
  const days: NonNullable<StudiedRain['days']> = []
  for (let i = 0; i < at.length; i++) {
    if (Number.isNaN(rainMm[i]!)) continue
    const to = at[i]! + HOUR_MS
    days.push({ from: Math.max(days.at(-1)?.to ?? to - DAY_MS, to - DAY_MS), to, rainMm: rainMm[i]! })
  }
  return days
}

function mostHours<T>(sources: readonly T[], columnOf: (source: T) => Float64Array): T | null {
  let best: T | null = null
  let most = 0
  for (const source of sources) {
    const count = known(columnOf(source))
    if (count > most) [best, most] = [source, count]
  }
  return best
}

/** Accuracy of the worst probe that ever hung at the spot; a probe with a recorded RH correction counts as checked. */
export function accuracyOf(tree: HouseTree, path: string): SensorAccuracy {
  const probes = (tree.loggers ?? []).flatMap((logger) =>
    logger.probes
      .filter((probe) => probe.placements.some((placement) => placement.spot === path))
      .map((probe) => {
        const checked = tree.corrections?.some(
          (c) => c.probe === `${logger.key}/${probe.key}` && c.quantity === 'rhPct',
        )
        const share = checked ? CHECKED_SHARE : 1
        return {
          rhPct: share * (probe.accuracyRhPct ?? USUAL_ACCURACY.rhPct),
          tempC: share * (probe.accuracyTempC ?? USUAL_ACCURACY.tempC),
        }
      }),
  )
  if (probes.length === 0) return USUAL_ACCURACY
  return {
    rhPct: Math.max(...probes.map(({ rhPct }) => rhPct)),
    tempC: Math.max(...probes.map(({ tempC }) => tempC)),
  }
}
