/** The dew point of a reading, where it has one. */
import { dewPointFromRhC } from '../physics/air.ts'

/** @returns null where temperature or humidity is missing, or lies where the formula does not hold (0 % RH has none) */
export function dewPointOf({ tempC, rhPct }: { tempC: number | null; rhPct: number | null }): number | null {
  if (tempC === null || rhPct === null) return null
  try {
    return dewPointFromRhC(tempC, rhPct)
  } catch (error) {
    if (error instanceof RangeError) return null
    throw error
  }
}
