/**
 * What the moisture balance of a house answers, as plain JSON in SI: every estimate with its 90 % interval, what is not
 * known as null, and a house where the model cannot tell as an answer of its own with what is missing.
 */
import type { DepartureKind } from '../../moisture/departure.ts'
import type { Estimate, WorkKind } from '../../moisture/input.ts'
import type { PeriodSources, SourcePath } from '../../moisture/sources.ts'
import type { Grade, Verdict } from '../../moisture/verdict.ts'
import type { RatingBasis } from '../../physics/dehumidifier.ts'
import type { FindingNumber } from '../finding.ts'

export interface BalanceUnknown {
  outcome: 'cannot tell'
  reason: string
  missing: string[]
}

export interface BalanceSpot {
  /** space key / spot key */
  spot: string
  name: string
  used: boolean
  reason: string
  daysMeasured: number
  /** Vapor pressure here over that of the middle of all spots; above 1 is wetter. */
  vaporRatio: number | null
  tempOffsetK: number | null
  excessPa: number | null
  rhExcessPct: number | null
  /** Highest mean RH of a whole day here. */
  worstDayRhPct: number | null
}

/** With the work minus without it, in the same weather. */
export interface BalanceChange {
  from: number
  to: number
  humidityRatioGKg: Estimate
  vaporPressurePa: Estimate
  rhPct: Estimate
  tempK: Estimate
  woodMcPct: Estimate
  /** On a surface as warm as the air, mean of the window (scale 0 to 6). */
  moldIndex: Estimate
}

export interface BalanceEffect {
  works: string[]
  kinds: WorkKind[]
  at: number
  verdict: Verdict
  reason: string
  needs: string[]
  grade: Grade
  /** What a better grade would need; never at odds with the numbers of the effect. */
  lacks: string[]
  soFar: BalanceChange | null
  /** Drying period left out; null while it lasts or when too little of the record is left behind it. */
  settled: BalanceChange | null
  dryingEnds: number
  /** How probable it is that the work changed nothing at all. */
  nothingProbability: number
  bySpot: { spot: string; humidityRatioGKg: number }[]
}

/** What its share may be taken for; only a path that is told is ranked. */
export type PathStanding = 'told' | 'mostly assumed' | 'below what can be told' | 'cannot tell from humidity alone'

export interface PathEvidence {
  /** `{name}` stands for a number of `numbers`, as in findings. The most telling first. */
  evidenceFor: string[]
  evidenceAgainst: string[]
  wouldChangeIt: string
  nextTest: string
  numbers: Record<string, FindingNumber>
}

export interface BalancePath extends PathEvidence {
  path: SourcePath
  entersLPerDay: Estimate
  sharePct: Estimate
  leavesLPerDay: Estimate
  /** How much of it the data fixed, 0 to 1. */
  dataShare: number
  /** The data fixed less than half: shown dashed, and not ranked. */
  dashed: boolean
  standing: PathStanding
  /** 1 brings most water; null when it is not told. */
  rank: number | null
}

export interface BalanceSources {
  from: number
  to: number
  /** Works that begin this period; empty for the time before the first. */
  works: string[]
  basis: PeriodSources['basis']
  paths: BalancePath[]
  woodGivesLPerDay: Estimate
  woodTakesLPerDay: Estimate
  machineLPerDay: Estimate
  condensesLPerDay: Estimate
  caution: string | null
}

export type BalanceNeed =
  | { outcome: 'cannot tell'; reason: string; missing: string[]; codeFloorLPerDay: number | null }
  | {
      outcome: 'told'
      /** Water of a hard day, and of the mean day of the record. */
      lPerDay: Estimate
      meanLPerDay: Estimate
      air: { tempC: number; rhPct: number }
      basis: string
      scale: string
      /** Rating to look for on each test basis, margin included; null where no capacity curve reaches. */
      ratedLPerDay: Record<RatingBasis, Estimate> | null
      /** The air is outside what the capacity curve was measured in. */
      ratingExtrapolated: boolean
      /** The air is so cool that coils ice and capacity falls. */
      icing: boolean
      /** Capacity the model code asks of this floor area, never the load; null where the area is not recorded. */
      codeFloorLPerDay: number | null
    }

export interface BalanceDeparture {
  kind: DepartureKind
  at: number
  /** Logarithm of how much better it explains the data; 6 and more is strong. */
  support: number
  size: string
  reason: string
}

export interface BalanceParameter {
  key: string
  label: string
  unit: string
  value: Estimate
  priorMedian: number
  dataShare: number
  basis: 'reference' | 'judgement'
  reason: string
}

export interface BalanceTold {
  outcome: 'told'
  space: string
  from: number
  to: number
  targetRhPct: number
  spots: BalanceSpot[]
  wettestSpot: string | null
  /** In order of date. */
  effects: BalanceEffect[]
  /** In order of date, each period on both bases. */
  sources: BalanceSources[]
  need: BalanceNeed
  /** Best supported first: ranked, not asserted. */
  departures: BalanceDeparture[]
  /** What could not have been seen in this record, and what would show it. */
  unseen: string[]
  parameters: BalanceParameter[]
  assumptions: string[]
}

export type BalanceAnswer = BalanceTold | BalanceUnknown
