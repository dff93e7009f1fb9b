/** A logger that begins to tell °F as °C, or the reverse: an alarm of frost or heat that is none. */
import { readsInOtherUnit, UNIT_STEP_K } from '../../series/groupQuality.ts'
import { orNull } from './rule.ts'

export interface UnitTrack {
  /** Of the last hour that was believed. */
  tempC: number | null
  swapped: boolean
}

export const unitTrack = (): UnitTrack => ({ tempC: null, swapped: false })

/** It comes in one step: what drifts away from the others over hours is believed. */
export function isInOtherUnit(track: UnitTrack, tempC: number, othersTempC: number): boolean {
  if (Number.isNaN(tempC)) return false
  const stepped = track.swapped || track.tempC === null || Math.abs(tempC - track.tempC) >= UNIT_STEP_K
  track.swapped = stepped && readsInOtherUnit(tempC, othersTempC)
  if (!track.swapped) track.tempC = orNull(tempC)
  return track.swapped
}
