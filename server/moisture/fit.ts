/**
 * Fits the balance to a record: Levenberg-Marquardt on weighted residuals with the priors among them, and the same
 * again without each work's steps, so that "the work did nothing" is a model of its own. No randomness: the same
 * record gives the same fit.
 */
import { cholesky, dotProduct, inverseDiagonal, logDeterminant, normalEquations, solveCholesky } from './linear.ts'
import type { ModelHouse } from './modelHouse.ts'
import { medianVector, type ParameterSpec } from './parameters.ts'
import type { Observer, Weights } from './residuals.ts'

/** Most iterations between renewals of the weights; renewals end when the weights stay within 10 %. */
const ROUND_ITERATIONS = [10, 8, 8, 8, 8, 8] as const
const SAME_WEIGHTS = 0.1
/**
 * The first round trusts the data (40 Pa a day, mild memory). Weights from the residuals of the prior medians would be
 * so small where these are far off that the fit never left them.
 */
const FIRST_WEIGHTS: Weights = { day: 1 / (40 * Math.sqrt(3)), hour: 1 / (25 * 12) }
const DIFFERENCE = 0.03
const LEAST_DIFFERENCE_SPREAD = 0.3
const LONGEST_STEP_SPREADS = 1.5
const SETTLED = 1e-4

export class Cancelled extends Error {}

export interface FitControl {
  /** Called with the share done, 0 to 1. */
  onProgress?: (share: number) => void
  /** Asked between iterations; true ends the fit with `Cancelled`. */
  shouldStop?: () => boolean
}

export interface Fitted {
  house: ModelHouse
  theta: Float64Array
  weights: Weights
  /** Weighted sum of squares, data and priors. */
  cost: number
  /** Cholesky factor of the curvature at the mode. */
  curvature: Float64Array
  evidence: number
  iterations: number
}

export interface ParameterReport {
  key: string
  label: string
  unit: string
  value: number
  low: number
  high: number
  priorMedian: number
  priorSpread: number
  basis: 'reference' | 'judgement'
  reason: string
  /** How much of the prior's spread the data took away, 0 (prior alone) to 1 (data alone). */
  dataShare: number
}

/** Fits from the prior medians, or from a start; weights are renewed unless given. */
export function fitHouse(
  observer: Observer,
  house: ModelHouse,
  control: FitControl = {},
  from: { theta?: Float64Array; weights?: Weights } = {},
): Fitted {
  const n = house.specs.length
  let theta: Float64Array = Float64Array.from(from.theta ?? medianVector(house.specs))
  const residual = new Float64Array(observer.layout.rows + n)
  const raw = residual.subarray(0, observer.layout.rows)
  let weights = from.weights ?? FIRST_WEIGHTS
  let iterations = 0
  const rounds = from.weights ? [15] : ROUND_ITERATIONS
  const total = rounds.reduce((a, b) => a + b, 0)
  let done = 0
  for (const [round, most] of rounds.entries()) {
    if (round > 0) {
      observer.residuals(raw, house, theta)
      const renewed = observer.weightsFrom(raw)
      const settled = Math.abs(renewed.day / weights.day - 1) < SAME_WEIGHTS
      weights = renewed
      if (round > 1 && settled) break
    }
    const climbed = descend(observer, house, theta, weights, most, (i) => {
      if (control.shouldStop?.()) throw new Cancelled('The fit was stopped.')
      control.onProgress?.((done + i) / total)
    })
    theta = climbed.theta
    iterations += climbed.iterations
    done += most
  }
  weighted(residual, observer, house, theta, weights)
  const columns = jacobian(observer, house, theta, weights, residual)
  const { matrix } = normalEquations(columns, residual)
  const curvature = cholesky(matrix, n)
  if (curvature === null) throw new Error('The fit has no curvature: a parameter without a prior spread was given.')
  const cost = dotProduct(residual, residual)
  const priors = house.specs.reduce((sum, s) => sum - Math.log(s.spread), 0)
  const evidence = -cost / 2 + priors - logDeterminant(curvature, n) / 2
  return { house, theta, weights, cost, curvature, evidence, iterations }
}

function descend(
  observer: Observer,
  house: ModelHouse,
  start: Float64Array,
  weights: Weights,
  most: number,
  onIteration: (i: number) => void,
): { theta: Float64Array; iterations: number } {
  const n = house.specs.length
  let theta = start
  const residual = new Float64Array(observer.layout.rows + n)
  const trial = new Float64Array(residual.length)
  weighted(residual, observer, house, theta, weights)
  let cost = dotProduct(residual, residual)
  let damping = 1e-3
  for (let i = 0; i < most; i++) {
    onIteration(i)
    const columns = jacobian(observer, house, theta, weights, residual)
    const { matrix, gradient } = normalEquations(columns, residual)
    let better = false
    for (let attempt = 0; attempt < 6; attempt++) {
      const step = dampedStep(matrix, gradient, damping, house.specs)
      const next = theta.map((v, k) => v + step[k]!)
      weighted(trial, observer, house, next, weights)
      const nextCost = dotProduct(trial, trial)
      if (nextCost < cost) {
        const gain = (cost - nextCost) / cost
        theta = next
        cost = nextCost
        residual.set(trial)
        damping = Math.max(1e-7, damping / 8)
        better = gain > SETTLED
        break
      }
      damping *= 6
    }
    if (!better) return { theta, iterations: i + 1 }
  }
  return { theta, iterations: most }
}

function dampedStep(
  matrix: Float64Array,
  gradient: Float64Array,
  damping: number,
  specs: readonly ParameterSpec[],
): Float64Array {
  const n = specs.length
  const damped = Float64Array.from(matrix)
  for (let i = 0; i < n; i++) damped[i * n + i]! *= 1 + damping
  const lower = cholesky(damped, n)
  if (lower === null) return new Float64Array(n)
  const step = solveCholesky(lower, gradient).map((v) => -v)
  let longest = 0
  for (let i = 0; i < n; i++) longest = Math.max(longest, Math.abs(step[i]!) / specs[i]!.spread)
  return longest > LONGEST_STEP_SPREADS ? step.map((v) => (v * LONGEST_STEP_SPREADS) / longest) : step
}

function weighted(
  out: Float64Array,
  observer: Observer,
  house: ModelHouse,
  theta: Float64Array,
  weights: Weights,
): void {
  const { rows } = observer.layout
  const data = out.subarray(0, rows)
  observer.residuals(data, house, theta)
  observer.weigh(data, weights)
  for (const [i, spec] of house.specs.entries()) {
    const middle = spec.scale === 'log' ? Math.log(spec.median) : spec.median
    out[rows + i] = (theta[i]! - middle) / spec.spread
  }
}

export function jacobian(
  observer: Observer,
  house: ModelHouse,
  theta: Float64Array,
  weights: Weights,
  residual: Float64Array,
): Float64Array[] {
  return house.specs.map((spec, i) => {
    const moved = Float64Array.from(theta)
    const by = DIFFERENCE * (spec.scale === 'log' ? Math.max(LEAST_DIFFERENCE_SPREAD, spec.spread) : spec.spread)
    // A bounded value is moved inward, else its column would be zero at the bound.
    const up = spec.high === undefined || theta[i]! + by < spec.high
    moved[i]! += up ? by : -by
    const column = new Float64Array(residual.length)
    weighted(column, observer, house, moved, weights)
    const per = up ? 1 / by : -1 / by
    for (let k = 0; k < column.length; k++) column[k] = (column[k]! - residual[k]!) * per
    return column
  })
}

export function reportParameters(fitted: Fitted): ParameterReport[] {
  const variances = inverseDiagonal(fitted.curvature, fitted.theta.length)
  return fitted.house.specs.map((spec, i) => {
    const sd = Math.sqrt(variances[i]!)
    const at = (z: number) => {
      const v = fitted.theta[i]! + z * sd
      if (spec.scale === 'log') return Math.exp(v)
      return Math.min(spec.high ?? v, Math.max(spec.low ?? v, v))
    }
    return {
      key: spec.key,
      label: spec.label,
      unit: spec.unit,
      value: at(0),
      low: at(-1.645),
      high: at(1.645),
      priorMedian: spec.median,
      priorSpread: spec.spread,
      basis: spec.basis,
      reason: spec.reason,
      dataShare: Math.max(0, Math.min(1, 1 - sd / spec.spread)),
    }
  })
}
