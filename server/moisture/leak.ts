/**
 * A steady source that began on some day: found by its score, kept only if a refit with it is clearly better. Under a
 * machine that holds, humidity says nothing of it: there the water taken out does, or failing that the running time.
 */
import { newFlows, simulate } from './balance.ts'
import { type FitControl, type Fitted, fitHouse } from './fit.ts'
import type { HeldDays } from './held.ts'
import { DAY_HOURS } from './input.ts'
import type { ModelHouse } from './modelHouse.ts'
import { onsetScanner } from './onset.ts'
import { type Findings, medianVector } from './parameters.ts'
import type { Prepared } from './prepare.ts'
import { driversOf, Observer } from './residuals.ts'
import { runMeterL } from './runMeter.ts'
import type { WorkPlan } from './works.ts'

/** Evidence gained beyond the number of days tried (natural logarithm), and least flow believed. */
const LEAST_GAIN = 10
const LEAST_L_PER_DAY = 4
const PROBE_KG_PER_H = 0.1
/** A real leak inflates the residuals that its own score is measured by, so a low bar decides who is refitted. */
const LEAST_SCORE = 2

interface Space {
  prepared: Prepared
  held: HeldDays
}

export interface LeakFound {
  fromHour: number
  kgPerH: number
  gain: number
  /** Seen in the running time of a machine that kept the air as it was. */
  byRuns?: true
  fitted: Fitted
  findings: Findings
}

/** The size of a leak found by running time, whose scale is the rating's (judgement). */
const BY_RUNS_LOG_SD = 0.4

interface Asked {
  plan: WorkPlan
  findings: Findings
  houseWith: (findings: Findings) => ModelHouse
  control: FitControl
}

export function findLeak(observer: Observer, fitted: Fitted, asked: Asked, space: Space): LeakFound | null {
  if (asked.plan.repairHours.length > 0) return null
  return leakSeenBy(observer, fitted, asked) ?? leakByRuns(observer, fitted, asked, space)
}

function leakSeenBy(
  observer: Observer,
  fitted: Fitted,
  { plan, findings, houseWith, control }: Asked,
): LeakFound | null {
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

/**
 * The same with the running time as a meter. Its scale is set to what the fit without a leak takes out, so that only its
 * changes speak.
 */
function leakByRuns(observer: Observer, fitted: Fitted, asked: Asked, { prepared, held }: Space): LeakFound | null {
  const ranL = prepared.record.condensateL === null ? runMeterL(prepared, asked.plan) : null
  if (ranL === null) return null
  const scale = takenOut(prepared, held, fitted, ranL) / sumOf(ranL)
  if (!(scale > 0)) return null
  const record = { ...prepared.record, condensateL: ranL.map((liters) => scale * liters) }
  const metered = new Observer({ ...prepared, record }, held)
  const base = fitHouse(metered, fitted.house, asked.control, { theta: fitted.theta })
  const found = leakSeenBy(metered, base, asked)
  if (found === null) return null
  // The meter of a kind served to find it; the house itself is fitted to what was measured, the leak's size given.
  const { house, theta } = found.fitted
  const specs = house.specs.map((spec) =>
    spec.key === 'leak' ? { ...spec, median: found.kgPerH, spread: BY_RUNS_LOG_SD, reason: 'from running time' } : spec,
  )
  const plain = fitHouse(observer, house.withSpecs(specs), asked.control, { theta })
  return { ...found, byRuns: true, fitted: plain }
}

/** What the fitted machine takes out over the hours that the meter knows [L]. */
function takenOut(prepared: Prepared, held: HeldDays, { house, theta }: Fitted, ranL: Float64Array): number {
  const flows = newFlows(prepared.hours)
  const vapor = new Float64Array(prepared.hours)
  simulate(vapor, driversOf(prepared, held), house.constants(theta), house.stretches(theta), flows)
  return sumOf(flows.machine.map((liters, h) => (Number.isFinite(ranL[h]!) ? liters : 0)))
}

const sumOf = (values: Float64Array): number => values.reduce((sum, v) => sum + (Number.isFinite(v) ? v : 0), 0)
