/**
 * What the fit may move, as data: a parameter with its prior (median, spread), the reason for it and whether that reason
 * is a reference or a judgement.
 */
import type { WorkStep } from './works.ts'

export interface ParameterSpec {
  key: string
  label: string
  unit: string
  /** 'log': the vector holds the logarithm; 'lin': the value itself. */
  scale: 'log' | 'lin'
  median: number
  /** Standard deviation of the prior, of the logarithm or of the value. */
  spread: number
  basis: 'reference' | 'judgement'
  reason: string
  low?: number
  high?: number
  step?: WorkStep
}

/** Hypotheses about things nobody entered: leaks found in the data, machines that stopped. */
export interface Findings {
  leakFromHour: number | null
  leakToHour: number | null
  machineStops: readonly { fromHour: number; toHour: number }[]
}

export const NO_FINDINGS: Findings = { leakFromHour: null, leakToHour: null, machineStops: [] }

export const medianVector = (specs: readonly ParameterSpec[]): Float64Array =>
  Float64Array.from(specs, (s) => (s.scale === 'log' ? Math.log(s.median) : s.median))
