/** The record of a house in columns for drawing: what is asked and what is answered. */
import type { RiskSeries } from './riskSeries.ts'

export const rounded = (value: number): number => Math.round(value * 100) / 100

/** Less than half of the last digit that is shown (0.1 °F), and than a pixel of a year: finer steps are bytes nobody sees. */
const STEPS_PER_UNIT = { dewPointC: 20, tempC: 20, rhPct: 10, vaporPressurePa: 1 } as const

/** For lines made of hours. */
export const roundedHours =
  (show: keyof typeof STEPS_PER_UNIT) =>
  (value: number): number =>
    Math.round(value * STEPS_PER_UNIT[show]) / STEPS_PER_UNIT[show]

export type RecordShow = 'dewPointC' | 'vaporPressurePa' | 'rhPct' | 'tempC' | 'woodMcPct' | 'moldIndex'

export type Column = (number | null)[]

export interface RecordViewLine {
  spot: string
  letter: string
  name: string
  role: 'inside' | 'outdoor' | 'living'
  basis: 'measured' | 'estimated'
  min: Column
  mean: Column
  max: Column
}

export interface RecordView {
  show: RecordShow
  from: number
  to: number
  recordFrom: number | null
  recordTo: number | null
  bucketMs: number
  at: number[]
  lines: RecordViewLine[]
  rain: { bucketMs: number; at: number[]; mm: Column } | null
  leftOut: { spot: string; from: number; to: number; reason: string }[]
  thresholds: { value: number; harm: string; name: string }[]
}

export interface RecordAsked {
  show: RecordShow
  from: number | null
  to: number | null
  rows: number
  /** Wood and mold are estimates over the whole record, made apart; null while they are not at hand. */
  risk: RiskSeries | null
}

export interface Buckets {
  from: number
  to: number
  bucketMs: number
  /** Start of each. */
  at: number[]
}
