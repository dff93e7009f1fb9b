/**
 * Score test for something that began on some day: how much would the fit gain if, from that day on, one property of
 * the house were another, with all fitted parameters free to answer? A plain scan of residuals finds one leak in four,
 * because the other parameters absorb it; here they are projected out first.
 */
import type { Stretch } from './balance.ts'
import { type Fitted, jacobian } from './fit.ts'
import { DAY_HOURS } from './input.ts'
import { cholesky, dotProduct, normalEquations, solveCholesky } from './linear.ts'
import type { Observer } from './residuals.ts'
import type { WorkPlan } from './works.ts'

const COARSE_DAYS = 4
const FINE_DAYS = 3
const EDGE_DAYS = 10
const AWAY_FROM_WORK_DAYS = 7

export interface Onset {
  day: number
  /** Best size over its own uncertainty; half its square is about what the evidence would gain. */
  score: number
  /** Best size in units of the probe. */
  size: number
  /** Days tried, for which the gain must pay. */
  tried: number
}

/** A small change of the house from the onset on. */
export type Probe = (stretch: Stretch) => Stretch

/** Makes the costly part once; each probe is then scanned over the days. */
export function onsetScanner(
  observer: Observer,
  fitted: Fitted,
  plan: WorkPlan,
  stops: readonly { fromHour: number }[],
) {
  const { house, theta, weights } = fitted
  const rows = observer.layout.rows
  const base = new Float64Array(rows + theta.length)
  const data = base.subarray(0, rows)
  observer.residuals(data, house, theta)
  const raw = Float64Array.from(data)
  observer.weigh(data, weights)
  for (const [i, spec] of house.specs.entries()) {
    base[rows + i] = (theta[i]! - (spec.scale === 'log' ? Math.log(spec.median) : spec.median)) / spec.spread
  }
  const columns = jacobian(observer, house, theta, weights, base)
  const lower = cholesky(normalEquations(columns, base).matrix, theta.length)
  const plain = house.stretches(theta)
  const moved = new Float64Array(rows)
  const full = new Float64Array(base.length)
  const scoreOf = (probe: Probe, day: number) => {
    if (lower === null) return { score: 0, size: 0 }
    observer.residualsOf(moved, house, theta, changedFrom(plain, day * DAY_HOURS, probe))
    for (let k = 0; k < rows; k++) moved[k]! -= raw[k]!
    observer.weigh(moved, weights)
    full.set(moved)
    const projected = Float64Array.from(columns, (column) => dotProduct(column, full))
    const own = dotProduct(full, full) - dotProduct(projected, solveCholesky(lower, projected))
    if (own <= 1e-9) return { score: 0, size: 0 }
    const along = -dotProduct(full, base)
    return { score: along / Math.sqrt(own), size: along / own }
  }
  const days = observer.layout.days
  const marks = [...plan.groups, ...stops].map((g) => g.fromHour)
  const allowed = (day: number) =>
    day >= EDGE_DAYS &&
    day <= days - EDGE_DAYS &&
    marks.every((hour) => Math.abs(day * DAY_HOURS - hour) > AWAY_FROM_WORK_DAYS * DAY_HOURS)
  return (probe: Probe): Onset => {
    let best: Onset = { day: -1, score: 0, size: 0, tried: 0 }
    let tried = 0
    const consider = (day: number) => {
      if (!allowed(day)) return
      tried++
      const found = scoreOf(probe, day)
      if (found.score > best.score) best = { day, ...found, tried }
    }
    for (let day = EDGE_DAYS; day <= days - EDGE_DAYS; day += COARSE_DAYS) consider(day)
    const coarse = best.day
    for (let day = coarse - FINE_DAYS; coarse >= 0 && day <= coarse + FINE_DAYS; day++)
      if (day !== coarse) consider(day)
    return { ...best, tried }
  }
}

function changedFrom(stretches: readonly Stretch[], fromHour: number, probe: Probe): Stretch[] {
  return stretches.flatMap((s) => {
    if (s.toHour <= fromHour) return [s]
    if (s.fromHour >= fromHour) return [probe(s)]
    return [
      { ...s, toHour: fromHour },
      { ...probe(s), fromHour },
    ]
  })
}
