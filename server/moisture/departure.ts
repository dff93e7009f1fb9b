/**
 * Has the house left the path that was fitted to it? Lists what may have begun, when, and how well each kind explains
 * it, best first. Kinds are ranked, not asserted: several causes wet the air in the same way.
 */

import { type Cycling, type CyclingLimits, cyclingUnseen, findCycling } from './cycling.ts'
import type { Effect } from './effect.ts'
import type { HouseModel } from './house.ts'
import { DAY_HOURS, HOUR_MS } from './input.ts'
import { findOnsets } from './onsetKinds.ts'
import { ranDaily } from './runMeter.ts'

export type DepartureKind =
  | 'leak began'
  | 'vents opened'
  | 'drains blocked'
  | 'dehumidifier stopped'
  | 'dehumidifier too small'
  | 'dehumidifier short cycling'
  | 'work made it wetter'

export interface Departure {
  kind: DepartureKind
  at: number
  /** Natural logarithm of how much better the data are explained than without it; 6 and more is strong. */
  support: number
  size: string
  reason: string
}

/** Evidence below which nothing is reported. */
const LEAST_SUPPORT = 6
/** Fewer held days hide too little to speak of. */
const LEAST_HELD_DAYS = 14

/** @param limits when starts are too many; without it short cycling is not looked for */
export function findDepartures(
  model: HouseModel,
  effects: readonly Effect[],
  limits: CyclingLimits | null = null,
): Departure[] {
  const at = (hour: number) => model.record.startAt + hour * HOUR_MS
  const out: Departure[] = []
  const { stop, leak } = model
  if (stop) {
    const support = Math.abs(stop.margin)
    const from = at(stop.span.fromHour)
    const [kind, other] = stop.failed
      ? (['dehumidifier stopped', 'too small for the load'] as const)
      : (['dehumidifier too small', 'stopped'] as const)
    const reason = `Humidity left the level it was held at; "${other}" explains the days worse by ${support.toFixed(0)}.`
    out.push({ kind, at: from, support, size: '', reason })
  }
  if (leak) {
    const size = `about ${(leak.kgPerH * DAY_HOURS).toFixed(1)} L a day`
    const reason = leak.byRuns
      ? 'The machine runs longer from that day on than the weather explains; the size rests on its rating.'
      : 'A steady source from that day on, whatever the weather, explains the days after it.'
    out.push({ kind: 'leak began', at: at(leak.fromHour), support: leak.gain, size, reason })
  }
  for (const { kind, fromHour, gain, size } of findOnsets(model)) {
    const reason = 'From that day on the space is moister than the fitted house would be in this weather.'
    out.push({ kind, at: at(fromHour), support: gain, size, reason })
  }
  const cycling = limits && findCycling(model.record, limits)
  if (cycling) out.push(cyclingDeparture(cycling))
  for (const effect of effects) {
    if (effect.verdict !== 'wetter' || effect.soFar.humidityRatioGKg.low <= 0) continue
    const size = `${effect.soFar.humidityRatioGKg.mid.toFixed(2)} g/kg wetter`
    const reason = 'With the work the air is moister than it would have been without, in the same weather.'
    out.push({ kind: 'work made it wetter', at: effect.from, support: LEAST_SUPPORT, size, reason })
  }
  return out.sort((a, b) => b.support - a.support)
}

function cyclingDeparture({ at, startsPerH, runMinutes, basis }: Cycling): Departure {
  const size = `${startsPerH.toFixed(1)} starts an hour, runs of about ${runMinutes.toFixed(0)} minutes`
  const from = basis === 'power' ? 'its power' : 'the saw-tooth of RH'
  const reason = `Starts counted from ${from}. So many wear the compressor, and short runs take out little water.`
  return { kind: 'dehumidifier short cycling', at, support: LEAST_SUPPORT, size, reason }
}

/** What nobody could have seen in this record, and what would show it. */
export function unseenDepartures(model: HouseModel, limits: CyclingLimits): string[] {
  const { record, held, leak } = model
  const cycling = cyclingUnseen(record, limits)
  const heldDays = held.held.reduce((sum, day) => sum + day, 0)
  const hidden = leak === null && record.condensateL === null && heldDays >= LEAST_HELD_DAYS
  const byRuns = ranDaily(record) === null ? '' : ' Its running hours show only large leaks.'
  return [
    ...(cycling === null ? [] : [cycling]),
    ...(hidden
      ? [
          `A dehumidifier that holds its set point hides a leak: it takes the water out and the air stays as it was ` +
            `(${heldDays} days here).${byRuns} Meter the water it takes out.`,
        ]
      : []),
  ]
}
