/**
 * What every rule of the watch shares. A rule goes along the hours of one spot, oldest first, and keeps in mind what it
 * needs as plain JSON (null for what is not known), so that it can stop at any hour and go on from there.
 */
import type { Thresholds } from '../../advice/defaults.ts'
import type { Audience, Circumstance, NoticeNumbers, Urgency, Watch } from '../types.ts'

/** One hour of a spot; NaN where not known, or where somebody was under the house. */
export interface SpotHour {
  at: number
  /** Minutes of it that readings speak for: 60 but for the hour under way. */
  minutes: number
  tempC: number
  tempMaxC: number
  rhPct: number
  vaporPressurePa: number
  dewPointMaxC: number
  surfaceTempC: number
  powerW: number
  batteryMinV: number
  waterPresentShare: number
  /** The water readings of an hour that had a wet one. */
  water: readonly WaterReading[]
  /** Bits of series/marks.ts. */
  marks: number
  heard: boolean
  /** How many there were in it. */
  readings: number
  /** Estimated from the air, or measured by pins. */
  woodMcPct: number
  woodMeasured: boolean
  /** An estimate no longer shows the guess that it began with. */
  woodSettled: boolean
}

export interface WaterReading {
  at: number
  present: boolean
}

/** What holds for the whole space or house in that hour. */
export interface Around {
  /** Under the house, not an attic or a wall. */
  below: boolean
  closed: boolean
  /** The last hour of a local day. */
  endsDay: boolean
  outdoorVaporPa: number
  /** Known rain of the last 72 h. */
  rain72Mm: number
  /** Drains, or a repair, were done before. */
  drained: boolean
  /** Mean RH of the space; NaN when not known. */
  spaceRhPct: number
  /** What the latest dehumidifier is set to; null when nobody wrote it down. */
  setPointRhPct: number | null
  /** Temperature of the named cold surface where it is entered or computed; NaN without one. */
  coldSurfaceTempC: number
  coldSurfaceName: string | null
}

/** A rule's line is crossed at a spot, now. */
export interface Raised {
  /** When the readings say that it began, and when the rule was sure. */
  since: number
  sureAt: number
  urgency: Urgency
  audience: readonly Audience[]
  /** Larger is worse, among spots of one space. */
  weight: number
  about?: string | null
  circumstances?: readonly Circumstance[]
  numbers: NoticeNumbers
}

export interface RuleOf<Memory> {
  watch: Watch
  /** What one notice is about: all spots of a space together, a spot, or the house. */
  scope: 'space' | 'spot' | 'house'
  /** Looks at the hour under way too. Others would have to take back what half an hour said. */
  fast?: true
  start(): Memory
  step(memory: Memory, hour: SpotHour, around: Around, held: Thresholds): void
  raised(memory: Memory, held: Thresholds): Raised | null
}

/** A rule whose memory only it reads. */
export type Rule = RuleOf<unknown>

export const rule = <Memory>(own: RuleOf<Memory>): Rule => own as unknown as Rule

export const HOUR_MS = 3_600_000
export const EVERYBODY: readonly Audience[] = ['owner', 'contractor']
export const CONTRACTOR: readonly Audience[] = ['contractor']

/** Wood around its line would make a notice more and less urgent by turns: once damp, it must fall some points. */
export const isWoodDamp = (
  before: boolean,
  woodPct: number,
  { woodDampPct, woodOffPoints }: Pick<Thresholds, 'woodDampPct' | 'woodOffPoints'>,
): boolean => woodPct >= woodDampPct || (before && woodPct > woodDampPct - woodOffPoints)

/** NaN does not survive JSON. */
export const orNull = (value: number): number | null => (Number.isNaN(value) ? null : value)

/** The same memory at its beginning: what ended leaves no trace. */
export function reset<Memory extends object>(memory: Memory, start: Memory): void {
  Object.assign(memory, start)
}
