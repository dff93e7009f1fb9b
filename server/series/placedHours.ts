/** Hour values along placements, so that a moved logger never smears two spots. */
import { denseHours, emptyHourly, HOUR_MS, HOURLY_NAMES, type HourlyColumns, type HourSpan } from './hourly.ts'
import { UNUSABLE_BITS } from './marks.ts'

export interface PlacedHours {
  from: number
  /** null while the probe is still there. */
  to: number | null
  hours: HourlyColumns
}

const AIR_NAMES = [
  'tempC',
  'tempMinC',
  'tempMaxC',
  'rhPct',
  'rhMinPct',
  'rhMaxPct',
  'vaporPressurePa',
  'dewPointMaxC',
] as const

/**
 * One spot on the house's grid. An hour in which a probe came or went belongs to no spot. Where two probes hang at one
 * spot, each quantity is the one placed first that measures it.
 */
export function spotHours(placements: readonly PlacedHours[], grid: HourSpan): HourlyColumns {
  const out = denseHours(emptyHourly(0), grid)
  const inOrder = [...placements].sort((a, b) => a.from - b.from)
  for (const { from, to, hours } of inOrder) {
    const first = Math.ceil(from / HOUR_MS) * HOUR_MS
    const end = to === null ? Number.POSITIVE_INFINITY : Math.floor(to / HOUR_MS) * HOUR_MS
    for (let i = 0; i < hours.at.length; i++) {
      const at = hours.at[i]!
      if (at < first || at >= end || at < grid.from || at >= grid.to) continue
      const k = (at - grid.from) / HOUR_MS
      for (const name of HOURLY_NAMES) {
        if (name === 'at') continue
        if (name === 'count' || name === 'marks') out[name][k] = Math.max(out[name][k]!, hours[name][i]!)
        else if (Number.isNaN(out[name][k]!)) out[name][k] = hours[name][i]!
      }
    }
  }
  return out
}

/** Leaves out air values of hours under marks that say nothing about the air, and of these further hours. */
export function maskUnusable(hours: HourlyColumns, excluded?: Uint8Array): void {
  for (let i = 0; i < hours.at.length; i++) {
    if ((hours.marks[i]! & UNUSABLE_BITS) === 0 && excluded?.[i] !== 1) continue
    for (const name of AIR_NAMES) hours[name][i] = Number.NaN
  }
}

/** Sun warms shield and sensor together: temperature and RH go, the vapor pressure made of both stays right. */
export function maskSun(hours: HourlyColumns, sunBit: number): void {
  for (let i = 0; i < hours.at.length; i++) {
    if ((hours.marks[i]! & sunBit) === 0) continue
    for (const name of AIR_NAMES) if (name !== 'vaporPressurePa' && name !== 'dewPointMaxC') hours[name][i] = Number.NaN
  }
}
