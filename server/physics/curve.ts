/** A smooth function tabulated at even steps of x, for array forms that would otherwise solve or exponentiate each row. */
export interface Curve {
  low: number
  high: number
  perStep: number
  /** Four coefficients of a cubic for each interval. */
  cubics: Float64Array
}

const INTERVALS = 1024

/**
 * Tabulates a function once. Each interval is the cubic with the true values and slopes at both ends (Hermite), so the
 * error falls with the fourth power of the step: for the saturation curves it is below 1e-8 °C, as the tests measure.
 *
 * @param range of x, both ends included
 * @param value, slope the function and its derivative by x
 */
export function tabulate(
  [low, high]: readonly [number, number],
  value: (x: number) => number,
  slope: (x: number) => number,
): Curve {
  const step = (high - low) / INTERVALS
  const cubics = new Float64Array(4 * INTERVALS)
  for (let i = 0; i < INTERVALS; i++) {
    const [from, to] = [low + i * step, low + (i + 1) * step]
    const rise = value(to) - value(from)
    const [m0, m1] = [step * slope(from), step * slope(to)]
    cubics.set([value(from), m0, 3 * rise - 2 * m0 - m1, m0 + m1 - 2 * rise], 4 * i)
  }
  return { low, high, perStep: 1 / step, cubics }
}

/** The tabulated function at x; NaN outside its range and for NaN. */
export function valueOn(curve: Curve, x: number): number {
  if (!(x >= curve.low && x <= curve.high)) return Number.NaN
  const position = (x - curve.low) * curve.perStep
  const i = Math.min(INTERVALS - 1, position | 0)
  const u = position - i
  const cubics = curve.cubics
  const at = 4 * i
  return cubics[at]! + u * (cubics[at + 1]! + u * (cubics[at + 2]! + u * cubics[at + 3]!))
}
