/** What `data` of a finding holds, question by question: plain JSON, SI, instants as UTC epoch ms. */
import type { BaselineCount, BaselineStage } from '../moisture/baseline.ts'
import type { Coupling } from '../moisture/coupling.ts'
import type { Level } from '../moisture/level.ts'
import type { Liquid } from '../moisture/rainResponse.ts'
import type { MarkKind } from '../series/marks.ts'
import type { FindingNumber } from './finding.ts'

/** A run of days with one level. */
export interface LevelRun {
  level: Level
  from: string
  /** Last date of the run. */
  to: string
  days: number
}

export interface SpotLevelData {
  spot: string
  name: string
  level: Level
  /** First date of the run it is in. */
  since: string
  /** End of the last hour in which anything was heard; null: never. */
  lastHeardAt: number | null
  /** The line that set it, with placeholders into `numbers`; empty for dry. */
  because: string
  guardsAgainst: string
  /** Lines crossed only if a surface is colder than the air, or at the high end of an estimate. */
  possible: string[]
  notJudged: string[]
  numbers: Record<string, FindingNumber>
  runs: LevelRun[]
}

export interface SpaceLevelData {
  space: string
  name: string
  /** How it is judged now, and whether somebody recorded that. */
  kind: 'vented' | 'closed' | 'conditioned'
  kindRecorded: boolean
  spots: SpotLevelData[]
}

/** 'level', subject {}: all that the sentences of the question are made of, so that silence can be told later. */
export interface HouseLevelData {
  recordEnd: number
  silentHours: number
  timeZone: string
  spaces: SpaceLevelData[]
}

/** 'level' of a period: days by level; the worst spot of a day sets it. */
export interface PeriodLevelData {
  from: string
  to: string
  days: Record<Level, number>
}

/** 'baseline' */
export interface BaselineData {
  stage: BaselineStage
  have: {
    completeDays: number
    storms: number | null
    dryDays: number | null
    humidDays: number | null
    coldDryDays: number | null
  }
  next: { stage: BaselineStage; missing: BaselineCount[] } | null
}

/** 'moisture levels' and the summaries of 'storms': first and last date of the period. */
export interface DatesData {
  from: string
  to: string
}

/** 'outdoor coupling' */
export interface CouplingData extends DatesData {
  verdict: Coupling['verdict']
}

/** 'reasoning' without source: its span, and the next cheapest test, for the latest span alone. */
export interface ReasoningData {
  dates: DatesData
  nextTest: string | null
}

export interface StormData {
  from: number
  to: number
  date: string
  rainMm: number
  /** Part of the rain record is missing: it may have been larger. */
  atLeast: boolean
  /** Storms less than a window apart, answered for together. */
  storms: number
  responses: {
    spot: string
    liquid: Liquid
    /** null when it cannot be told, with the reason. */
    changePa: number | null
    lowPa: number | null
    highPa: number | null
    clear: boolean
    reason: string | null
  }[]
}

/** 'storms' of a space without spot */
export interface StormsData {
  storms: StormData[]
  /** Smaller rains, which are not asked for a response. */
  smallerRains: number
  unknownRainHours: number
}

/** 'wood and mold': `act` is over its line at the end of the record, `watch` was, or may be on a colder surface. */
export interface WoodData {
  topic: 'wood moisture' | 'mold index' | '30-day surface'
  state: 'act' | 'watch' | 'clear' | 'cannot tell'
}

/** 'condensation' */
export interface CondensationData {
  months: { month: string; hours: number; wetDays: number }[]
}

/** 'freezing' */
export interface FreezingData {
  events: { from: number; to: number; lowestTempC: number; spots: string[] }[]
}

/** 'outdoor air' */
export interface OutdoorAirData {
  months: {
    month: string
    would: 'dry' | 'wet' | 'both' | 'neither' | 'cannot tell'
    /** Shares of the known hours, 0 to 1; null when it cannot be told. */
    dryingShare: number | null
    wettingShare: number | null
    /** Outdoor dew point at or above the coldest surface. */
    condensingShare: number | null
  }[]
}

/** 'reasoning' of one source */
export interface SuspicionData {
  certainty: 'likely' | 'possible' | 'unlikely' | 'cannot tell'
  nextTest: string
}

/** 'remedies' */
export interface RemedyData {
  need: 'needed' | 'not needed' | 'not yet' | 'held'
  /** The need behind a hold. */
  wouldBe: 'needed' | 'not needed' | 'not yet'
  waitsFor: string | null
  /** It stands in the house already. */
  done: boolean
  /** Hard stops and facts to record first; empty when it may be quoted. */
  holds: { topic: string; kind: 'stop' | 'record first'; sentence: string }[]
}

/** 'sensor checks' of a fault: `numbers` by name with unit. */
export interface SensorFaultData {
  kind: MarkKind
  from: number
  to: number
  numbers: Record<string, number>
}

/** 'matched days' of a work */
export interface WorkData {
  /** The works in words, with their dates. */
  what: string
}
