/** What the watches of a house say, as letters and pages take it up. Plain JSON in SI; the words are made elsewhere. */
import type { NoticeRow } from '../store/notices.ts'
import type { NOTICE_CHANGES, Urgency } from '../store/schema.ts'

export type { Urgency }

export const WATCHES = [
  'liquid water',
  'freezing',
  'power lost',
  'damp',
  'vapor excess',
  'condensation',
  'wood wet',
  'wood rising',
  'mold',
  'wetter than explained',
  'rain response back',
  'dehumidifier stopped',
  'dehumidifier too small',
  'dehumidifier short cycling',
  'silent',
  'battery low',
  'probe gone bad',
  'station stale',
] as const
export type Watch = (typeof WATCHES)[number]

/** Technicians hear what the contractor hears of the houses they work at. */
export const AUDIENCES = ['owner', 'contractor'] as const
export type Audience = (typeof AUDIENCES)[number]

/** What was known around it, for the words of a letter. */
export type Circumstance =
  /** More than 25 mm fell in the three days before. */
  | 'after big rain'
  /** Drains, or a repair, were done before: water should not come any more. */
  | 'after drain work'
  /** A work is younger than the drying period: damp is expected for a while. */
  | 'drying after a work'
  /** Nothing is heard of the whole house: gateway, internet or power. */
  | 'whole house'

/** SI, each with its unit in the name; those are there that the watch has. */
export interface NoticeNumbers {
  /** Mean of the last 24 h, and the highest of it so far. */
  rhPct?: number
  rhHighestPct?: number
  /** The line that was crossed, in the unit of the watch's own number. */
  lineRhPct?: number
  lineTempC?: number
  lineWoodMcPct?: number
  linePa?: number
  tempC?: number
  tempLowestC?: number
  woodMcPct?: number
  /** Rise within `woodRiseDays`. */
  woodRisePoints?: number
  woodRiseDays?: number
  /** Whether pins measured it; else estimated from the air (1 or 0). */
  woodMeasured?: 0 | 1
  moldIndex?: number
  vaporExcessPa?: number
  vaporExcessDays?: number
  condensingHoursPerDay?: number
  rainMm?: number
  powerW?: number
  setPointRhPct?: number
  silentHours?: number
  silentLoggers?: number
  batteryV?: number
  batteryGoodV?: number
  badHours?: number
  /** Natural logarithm of how much better the departure explains the data. */
  support?: number
}

export interface NoticePlace {
  /** space key / spot key; null when it is about a space, a station or the house as a whole. */
  spot: string | null
  /** As people named them. */
  spotName: string | null
  spaceName: string | null
}

export interface NoticeBody {
  /** Who is concerned. It may grow: silence reaches the owner later than the contractor. */
  audience: Audience[]
  place: NoticePlace
  /** Names of other spots where it is so too. */
  alsoAt: string[]
  /** The cold surface, the station, the loggers, or the best explanation of a departure ("leak began"), by name. */
  about: string | null
  circumstances: Circumstance[]
  numbers: NoticeNumbers
}

export type NoticeChangeKind = (typeof NOTICE_CHANGES)[number]

/** Why nobody is written to about a change, whoever is concerned. */
export const QUIET = ['over before it was seen', 'old readings', 'snoozed', 'no readings any more'] as const
export type Quiet = (typeof QUIET)[number]

/** What is kept of a notice beside: who was written to of it, when an owner last was, and when it was over. */
export interface KeptBody extends NoticeBody {
  told: Audience[]
  ownerToldAt: number | null
  overAt: number | null
}

/** Body of a row of notice_changes that the watch wrote. */
export interface ChangeBody extends NoticeBody {
  urgency: Urgency
  sinceAt: number
  /** Who is to be written to about this very change; nobody while it is quiet. Opt-outs and the post come after. */
  tell: Audience[]
  quiet: Quiet | null
  /** With 'cleared': the instant from which the readings say that it is over. */
  overAt?: number
}

export interface NoticeChange {
  id: number
  noticeId: number
  at: number
  change: NoticeChangeKind
  /** 'the watch', or the name of the person. */
  who: string
  /** null for what people did. */
  body: ChangeBody | null
}

export interface Notice extends Omit<NoticeRow, 'watch' | 'body'> {
  watch: Watch
  body: KeptBody
}

export interface NoticeWithChanges extends Notice {
  /** Oldest first. */
  changes: NoticeChange[]
}

/** What the engine wants done to the notices of a house; numbers of notices are given when it is stored. */
export interface Transition {
  /** undefined: a new one. */
  noticeId?: number
  watch: Watch
  cause: string
  at: number
  change: Extract<NoticeChangeKind, 'opened' | 'updated' | 'more urgent' | 'less urgent' | 'cleared'>
  body: ChangeBody
}
