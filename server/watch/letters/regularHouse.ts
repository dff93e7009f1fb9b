/** What the schedule of regular letters turns on, and what it decides. */
import type { Thresholds } from '../../advice/defaults.ts'
import type { WorkKind } from '../../store/schema.ts'
import type { UpkeepTask } from './calendar.ts'

export interface RegularHouse {
  timeZone: string
  latitude: number | null
  /** First reading of a logger that reports by itself, at a place under the house; null before. */
  firstHeardAt: number | null
  /** Loggers that hang there now and report by themselves. */
  reporting: number
  works: readonly { kinds: readonly WorkKind[]; from: number; to: number | null }[]
  /** It stood there before anything was measured. */
  dehumidifierAtStart: boolean
  /** Instants at which the rain of 24 hours passed the line of a big rain, ascending, one a storm. */
  bigRains: readonly number[]
}

export interface Sent {
  /** Of letters already written to this owner about this house. */
  keys: ReadonlySet<string>
  /** When the last summary was written. */
  summaryAt: number | null
}

export type CalendarNote = 'before humid months' | 'before frost'
export type DueTask = Pick<UpkeepTask, 'task' | 'dueAt' | 'everyMonths'>

/** The key names the letter once and for all, for one owner and house. */
export type RegularLetter = { key: string } & (
  | { kind: 'placed' }
  | { kind: 'weekly' | 'monthly'; from: number; to: number; dueAt: number; note: CalendarNote | null }
  | { kind: 'season' }
  | { kind: 'upkeep'; tasks: DueTask[] }
)

export type RegularLimits = Pick<
  Thresholds,
  'firstSeasonWeeks' | 'upkeepNoticeDays' | 'filterMonths' | 'drainLineMonths'
>
