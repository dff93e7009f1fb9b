/**
 * Temperature of the space beside its moisture: a one-node heat balance written as its steady answer to outdoor air over
 * 30 days and 12 hours, plus what works change (vents: how closely it follows outdoor air; a machine: its heat). Fitted
 * to daily means with priors. Without it a sealed house would be judged at a temperature it never had: leaving this
 * out doubled the error of effects on houses with known truth.
 */

import type { Dimensions } from './dimensions.ts'
import { dayMean } from './held.ts'
import { DAY_HOURS } from './input.ts'
import { cholesky, normalEquations, solveCholesky } from './linear.ts'
import type { Findings } from './parameters.ts'
import { lowPass, meanOf, type Prepared } from './prepare.ts'
import type { WorkPlan } from './works.ts'

export const SLOW_HOURS = 30 * DAY_HOURS
export const FAST_HOURS = 12
const PASSES = 3

/** Priors (judgement): offset 8 ± 8 °C, slow 0.3 ± 0.3, fast 0.3 ± 0.3, settling 0 ± 3 K. */
export const BASE_PRIORS = [
  { mean: 8, sd: 8 },
  { mean: 0.3, sd: 0.3 },
  { mean: 0.3, sd: 0.3 },
  { mean: 0, sd: 3 },
] as const
/**
 * Vents tie the space to outdoor air against all else that ties it down: soil, floor above, walls, 4 W/(m2 K) of floor
 * together (as in cooling.ts). The prior of a change is this physics with the fitted air exchange, to within 40 %.
 */
const SURROUNDINGS_W_PER_M2K = 4
export const AIR_WH_PER_M3K = 0.335
const VENT_SD_SHARE = 0.4
const VENT_LEAST_SD = 0.03
/** A machine warms by its power and latent heat [K] (judgement). */
export const MACHINE_PRIOR = { mean: 1.5, sd: 1.5 } as const

export interface WorkTerm {
  kind: 'vents' | 'machine'
  /** null: there from the start. */
  workKey: string | null
  on: Uint8Array
  prior: { mean: number; sd: number }
}

export interface Warmth {
  terms: WorkTerm[]
  /** Change of the tie to outdoor air from one air exchange to another. */
  tie: (changesBefore: number, changesAfter: number) => { mean: number; sd: number }
  /** offset, slow, fast, settling, then one a term. */
  coefficients: Float64Array
  /** Cholesky factor of the inverse covariance. */
  curvature: Float64Array
  slowC: Float64Array
  fastC: Float64Array
  residualSdK: number
}

/** @param changesAt fitted air changes in an hour of the record */
export function fitWarmth(
  prepared: Prepared,
  plan: WorkPlan,
  findings: Findings,
  size: Dimensions,
  changesAt: (hour: number) => number,
): Warmth {
  const { hours, outdoorTempC } = prepared
  const tie: Warmth['tie'] = (before, after) => {
    const share = (changes: number) => {
      const air = AIR_WH_PER_M3K * size.volumeM3 * changes
      return air / (air + SURROUNDINGS_W_PER_M2K * size.floorAreaM2)
    }
    const mean = share(after) - share(before)
    return { mean, sd: Math.hypot(VENT_LEAST_SD, VENT_SD_SHARE * mean) }
  }
  const start = meanOf(outdoorTempC.subarray(0, Math.min(hours, 10 * DAY_HOURS)))
  const slowC = lowPass(outdoorTempC, SLOW_HOURS, start)
  const fastC = lowPass(outdoorTempC, FAST_HOURS, outdoorTempC[0]!)
  const terms = termsOf(prepared, plan, findings, (hour) => tie(changesAt(hour - 1), changesAt(hour)))
  const priors = [...BASE_PRIORS, ...terms.map((t) => t.prior)]
  const days = daysWithReadings(prepared)
  const daily = (values: ArrayLike<number>) => days.map((day) => dayMean(day, hours, (h) => values[h]!))
  const measured = daily(prepared.space.tempC)
  const slow = daily(slowC)
  const fast = daily(fastC)
  const on = terms.map((t) => daily(t.on))
  let coefficients: Float64Array = Float64Array.from(priors, (p) => p.mean)
  let curvature: Float64Array = new Float64Array(0)
  let noise = 1.5
  let residualSdK = 1
  for (let pass = 0; pass < PASSES; pass++) {
    const steady = days.map((day, d) => steadyC(coefficients, slow[d]!, day * DAY_HOURS))
    const columns = [
      days.map(() => 1),
      slow,
      fast,
      days.map((day) => Math.exp((-day * DAY_HOURS) / SLOW_HOURS)),
      ...terms.map((t, k) => days.map((_, d) => on[k]![d]! * (t.kind === 'vents' ? fast[d]! - steady[d]! : 1))),
    ]
    ;({ coefficients, curvature } = ridge(columns, measured, priors, noise))
    const residual = days.map((_, d) => measured[d]! - columns.reduce((s, c, i) => s + c[d]! * coefficients[i]!, 0))
    const { sd, memory } = spreadOf(residual)
    residualSdK = sd
    noise = Math.max(0.2, sd) * Math.sqrt((1 + memory) / (1 - memory))
  }
  return { terms, tie, coefficients, curvature, slowC, fastC, residualSdK }
}

function daysWithReadings(prepared: Prepared): number[] {
  const days: number[] = []
  for (let day = 0; day < Math.floor(prepared.hours / DAY_HOURS); day++) {
    if (Number.isFinite(dayMean(day, prepared.hours, (h) => prepared.space.tempC[h]!))) days.push(day)
  }
  return days
}

function termsOf(
  prepared: Prepared,
  plan: WorkPlan,
  findings: Findings,
  tieAt: (hour: number) => { mean: number; sd: number },
): WorkTerm[] {
  const { record, hours } = prepared
  const terms: WorkTerm[] = []
  for (const work of record.works) {
    const step = plan.steps.find((s) => s.workKey === work.key && (s.target === 'air' || s.target === 'airFactor'))
    if (!step) continue
    const on = new Uint8Array(hours).fill(1, step.fromHour, step.toHour)
    terms.push({ kind: 'vents', workKey: work.key, on, prior: tieAt(step.fromHour) })
  }
  for (const span of plan.machines) {
    const on = new Uint8Array(hours).fill(1, span.fromHour, span.toHour)
    for (const stop of findings.machineStops) on.fill(0, stop.fromHour, stop.toHour)
    terms.push({ kind: 'machine', workKey: span.workKey, on, prior: MACHINE_PRIOR })
  }
  return terms
}

/** Temperature the space tends to by its slow surroundings alone [°C]. */
export function steadyC(coefficients: Float64Array, slowC: number, hour: number): number {
  const [offset, slow, fast, settling] = coefficients
  const share = Math.max(0.2, 1 - fast!)
  return (offset! + slow! * slowC + settling! * Math.exp(-hour / SLOW_HOURS)) / share
}

function ridge(
  columns: readonly number[][],
  measured: readonly number[],
  priors: readonly { mean: number; sd: number }[],
  noise: number,
) {
  const n = columns.length
  const scaled = columns.map((c) => Float64Array.from(c, (v) => v / noise))
  const { matrix, gradient } = normalEquations(
    scaled,
    Float64Array.from(measured, (v) => v / noise),
  )
  for (let i = 0; i < n; i++) {
    matrix[i * n + i]! += 1 / priors[i]!.sd ** 2
    gradient[i]! += priors[i]!.mean / priors[i]!.sd ** 2
  }
  const curvature = cholesky(matrix, n)
  if (curvature === null) throw new Error('The temperature regression has no solution; its priors must have a spread.')
  return { coefficients: solveCholesky(curvature, gradient), curvature }
}

function spreadOf(residual: readonly number[]): { sd: number; memory: number } {
  let [own, cross] = [0, 0]
  for (let d = 0; d < residual.length; d++) {
    own += residual[d]! ** 2
    if (d > 0) cross += residual[d]! * residual[d - 1]!
  }
  const memory = own > 0 ? Math.min(0.95, Math.max(0.2, cross / own)) : 0.2
  return { sd: Math.sqrt(own / Math.max(1, residual.length)), memory }
}
