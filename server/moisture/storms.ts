/**
 * Storms in a rain record.
 *
 * Hourly rain: a storm ends when no rain was measured for `stormGapHours`. Daily rain: it ends with the first day
 * measured as dry, and the start of its first wet day stands for its start. Hours whose rain is not known neither join
 * nor part anything silently: a storm that touches them is "at least" its sum.
 */
import { HOUR_MS, type RainRecord } from './input.ts'

export interface StormLimits {
  /** Dry hours that part two storms [h]. */
  stormGapHours: number
  /** Smaller rains are counted but not asked for a response [mm]. */
  stormMinMm: number
  /** Length of the window on each side [h]. */
  stormWindowHours: number
  /** A window with less known hours than this share is not used, 0 to 1. */
  stormWindowKnownShare: number
  /** More rain than this in the window before, and the ground was already wet [mm]. */
  stormPriorRainMaxMm: number
  /** Least rise that is called clear, whatever its noise [Pa]: side by side sensors still part by this much. */
  stormClearMinPa: number
}

export interface Storm {
  from: number
  /** End of the last hour, or day, with rain. */
  to: number
  rainMm: number
  /** Some of its hours, or those around it, are not known: it may have been larger. */
  atLeast: boolean
}

/** Less than this in an hour or day is dew in the gauge, not rain [mm]; the usual gauge tips at 0.2 or 0.254 mm. */
const TRACE_MM = 0.1

/** Every storm, in order, however small. */
export function stormsOf(
  rain: RainRecord | null,
  startAt: number,
  limits: Pick<StormLimits, 'stormGapHours'>,
): Storm[] {
  if (rain === null) return []
  const steps =
    rain.step === 'daily'
      ? [...rain.days].sort((a, b) => a.from - b.from)
      : Array.from(rain.rainMm, (rainMm, h) => ({
          from: startAt + h * HOUR_MS,
          to: startAt + (h + 1) * HOUR_MS,
          rainMm,
        }))
  // A daily record parts storms by one dry day, an hourly one by the gap.
  const gapMs = rain.step === 'daily' ? HOUR_MS : limits.stormGapHours * HOUR_MS
  const storms: Storm[] = []
  let open: Storm | null = null
  let dryMs = 0
  let knownDryMs = 0
  let unknownBefore = true
  let reached = Number.NaN
  for (const step of steps) {
    const hole = step.from > reached // a missing day has no row at all
    if (hole) {
      if (open) open.atLeast = true
      open = null
      unknownBefore = true
      knownDryMs = 0
    }
    reached = step.to
    if (Number.isNaN(step.rainMm)) {
      if (open) open.atLeast = true
      unknownBefore = true
      knownDryMs = 0
      dryMs += step.to - step.from
    } else if (step.rainMm < TRACE_MM) {
      dryMs += step.to - step.from
      knownDryMs += step.to - step.from
      if (knownDryMs >= gapMs) unknownBefore = false
    } else {
      if (open && dryMs < gapMs) {
        open.to = step.to
        open.rainMm += step.rainMm
      } else {
        open = { from: step.from, to: step.to, rainMm: step.rainMm, atLeast: unknownBefore }
        storms.push(open)
      }
      dryMs = 0
      knownDryMs = 0
      unknownBefore = false
    }
    if (dryMs >= gapMs) open = null
  }
  return storms
}

/** Storms closer than the window are answered for together. */
export interface StormGroup {
  from: number
  to: number
  rainMm: number
  atLeast: boolean
  storms: number
}

/** Storms of at least `stormMinMm`, joined where the next begins within a window of the last rain. */
export function groupStorms(storms: readonly Storm[], limits: StormLimits): StormGroup[] {
  const groups: StormGroup[] = []
  for (const storm of storms) {
    if (storm.rainMm < limits.stormMinMm) continue
    const last = groups.at(-1)
    if (last && storm.from - last.to < limits.stormWindowHours * HOUR_MS) {
      last.to = storm.to
      last.rainMm += storm.rainMm
      last.atLeast ||= storm.atLeast
      last.storms++
    } else {
      groups.push({ ...storm, storms: 1 })
    }
  }
  return groups
}

/** True when hour h lies in the `hours` after a known rain, false when not, null when rain is not known there. */
export function rainedWithin(rainMm: Float64Array, h: number, hours: number, minMm: number): boolean | null {
  let [sum, unknown] = [0, false]
  for (let k = Math.max(0, h - hours); k < h; k++) {
    if (Number.isNaN(rainMm[k]!)) unknown = true
    else sum += rainMm[k]!
  }
  if (sum >= minMm) return true
  return unknown || h < hours ? null : false
}
