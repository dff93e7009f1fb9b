/** From a distribution of the effect to a word, and from word and circumstances to a grade of proof. */
import { normalBelow } from './numbers.ts'

/** An effect smaller than this is no change anyone would notice: 0.25 g/kg is about 40 Pa (proposal). */
export const CLEAR_GKG = 0.25
/** How sure a verdict must be (proposal, set before it met the test houses). */
export const SURE = 0.75

export type Verdict = 'drier' | 'no clear change' | 'wetter' | 'cannot tell'

export function verdictOf(midGKg: number, sdGKg: number): Verdict {
  const drier = normalBelow(-CLEAR_GKG, midGKg, sdGKg)
  const wetter = 1 - normalBelow(CLEAR_GKG, midGKg, sdGKg)
  if (drier >= SURE) return 'drier'
  if (wetter >= SURE) return 'wetter'
  return 1 - drier - wetter >= SURE ? 'no clear change' : 'cannot tell'
}

export type Grade = 'A' | 'B' | 'C' | 'D'

export interface Circumstances {
  daysBefore: number
  daysAfter: number
  humidDaysBefore: number
  humidDaysAfter: number
  stormsBefore: number
  stormsAfter: number
  rainMatters: boolean
  /** Share of outdoor vapor pressures after the work that lie in the span of those before it. */
  overlap: number
  drying: boolean
  meetsTarget: boolean
  daysPastDrying: number
}

const SIX_WEEKS = 42
const FOUR_WEEKS = 28
const HUMID_DAYS = 14
const STORMS = 3
const YEAR = 365

/** Grades of proof: A shown, B likely, C meets the target now, D not shown or untested, each with what it lacks for more. */
export function gradeOf(clear: boolean, c: Circumstances): { grade: Grade; lacks: string[] } {
  const lacks: string[] = []
  const yearLong = c.daysBefore >= YEAR && c.daysAfter >= YEAR
  if (!clear) lacks.push('an effect whose interval stays clear of zero')
  if (c.daysBefore < SIX_WEEKS) lacks.push(`six weeks before the work (${Math.floor(c.daysBefore)} days)`)
  if (c.daysAfter < SIX_WEEKS) lacks.push(`six weeks after the work (${Math.floor(c.daysAfter)} days)`)
  if (!yearLong && c.humidDaysBefore < HUMID_DAYS) lacks.push('humid-season days before the work')
  if (!yearLong && c.humidDaysAfter < HUMID_DAYS) lacks.push('humid-season days after the work')
  if (c.rainMatters && Math.min(c.stormsBefore, c.stormsAfter) < STORMS) {
    lacks.push(`three storms on each side (${c.stormsBefore} before, ${c.stormsAfter} after)`)
  }
  if (c.overlap < 0.3) lacks.push('weather on both sides that overlaps')
  if (c.drying) lacks.push('the end of the drying period')
  const weeks = Math.min(c.daysBefore, c.daysAfter) >= SIX_WEEKS
  if (clear && lacks.length === 0) return { grade: 'A', lacks }
  if (clear && weeks && c.overlap >= 0.1) return { grade: 'B', lacks }
  if (c.meetsTarget && c.daysPastDrying >= FOUR_WEEKS) return { grade: 'C', lacks }
  return { grade: 'D', lacks }
}
