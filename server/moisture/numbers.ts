/** Small statistics on the normal curve and on draws. */
import type { Estimate } from './input.ts'

/** Half-width of a 90 % interval in standard deviations. */
export const Z90 = 1.645

export function meanAndSd(values: readonly number[]): { mean: number; sd: number } {
  const mean = values.reduce((a, b) => a + b, 0) / values.length
  const square = values.reduce((a, b) => a + (b - mean) ** 2, 0)
  return { mean, sd: values.length > 1 ? Math.sqrt(square / (values.length - 1)) : 0 }
}

export function quantile(values: readonly number[], share: number): number {
  const sorted = [...values].sort((a, b) => a - b)
  const position = share * (sorted.length - 1)
  const i = Math.floor(position)
  const next = sorted[Math.min(i + 1, sorted.length - 1)]!
  return sorted[i]! + (position - i) * (next - sorted[i]!)
}

export const median = (values: readonly number[]): number => quantile(values, 0.5)

/** 5 %, 50 % and 95 % of the draws. */
export function fromDraws(values: readonly number[]): Estimate {
  return { low: quantile(values, 0.05), mid: quantile(values, 0.5), high: quantile(values, 0.95) }
}

/** Symmetric 90 % interval. */
export const around = (mid: number, sd: number): Estimate => ({ low: mid - Z90 * sd, mid, high: mid + Z90 * sd })

/** Interval that is symmetric in the logarithm, for amounts that cannot be negative. */
export function aroundLog(mid: number, logSd: number): Estimate {
  return { low: mid * Math.exp(-Z90 * logSd), mid, high: mid * Math.exp(Z90 * logSd) }
}

/** Probability that a normal variable stays below x (error below 1.5e-7: Abramowitz and Stegun 7.1.26). */
export function normalBelow(x: number, mean: number, sd: number): number {
  if (sd <= 0) return x >= mean ? 1 : 0
  const z = (x - mean) / sd / Math.SQRT2
  const t = 1 / (1 + 0.3275911 * Math.abs(z))
  const poly = t * (0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429))))
  const erf = 1 - poly * Math.exp(-z * z)
  return z >= 0 ? (1 + erf) / 2 : (1 - erf) / 2
}
