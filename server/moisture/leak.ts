/** A steady source that began on some day: found by its score, kept only if a refit with it is clearly better. */
import { type FitControl, type Fitted, fitHouse } from './fit.ts'
import { DAY_HOURS } from './input.ts'
import type { ModelHouse } from './modelHouse.ts'
import { onsetScanner } from './onset.ts'
import { type Findings, medianVector } from './parameters.ts'
import type { Observer } from './residuals.ts'
import type { WorkPlan } from './works.ts'

/** Evidence gained beyond the number of days tried (natural logarithm), and least flow believed. */
const LEAST_GAIN = 10
const LEAST_L_PER_DAY = 4
const PROBE_KG_PER_H = 0.1
/** A real leak inflates the residuals that its own score is measured by, so a low bar decides who is refitted. */
const LEAST_SCORE = 2

export interface LeakFound {
  fromHour: number
  kgPerH: number
  gain: number
  fitted: Fitted
  findings: Findings
}

export function findLeak(
  observer: Observer,
  fitted: Fitted,
  plan: WorkPlan,
  findings: Findings,
  houseWith: (findings: Findings) => ModelHouse,
  control: FitControl,
): LeakFound | null {
  if (plan.repairHours.length > 0) return null
  const scan = onsetScanner(observer, fitted, plan, findings.machineStops)
  const onset = scan((s) => ({ ...s, leakKgPerH: s.leakKgPerH + PROBE_KG_PER_H }))
  if (onset.day < 0 || onset.score < LEAST_SCORE) return null
  const fromHour = onset.day * DAY_HOURS
  const leakFindings: Findings = { ...findings, leakFromHour: fromHour }
  const house = houseWith(leakFindings)
  // From where the fit without it stands: the leak begins at its prior, all else where it was.
  const start = medianVector(house.specs)
  for (const [i, spec] of house.specs.entries()) {
    const k = fitted.house.specs.findIndex((other) => other.key === spec.key)
    if (k >= 0) start[i] = fitted.theta[k]!
  }
  const withLeak = fitHouse(observer, house, control, { theta: start })
  // Both under the weights of the fit with the leak: the other's own weights would forgive its residuals.
  const same = fitHouse(observer, fitted.house, control, { theta: fitted.theta, weights: withLeak.weights })
  const gain = withLeak.evidence - same.evidence - Math.log(Math.max(1, onset.tried))
  const kgPerH = house.value(withLeak.theta, 'leak')
  if (gain <= LEAST_GAIN || kgPerH * DAY_HOURS < LEAST_L_PER_DAY) return null
  return { fromHour, kgPerH, gain, fitted: withLeak, findings: leakFindings }
}
