/**
 * Vents opened, drains blocked, a leak too small to stand on its own: each found by its score, refitted with its property
 * free from that day on, and ranked by the evidence gained. A score alone takes the fitted house for given.
 */
import type { Stretch } from './balance.ts'
import { fitHouse } from './fit.ts'
import type { HouseModel } from './house.ts'
import { DAY_HOURS } from './input.ts'
import { ModelHouse } from './modelHouse.ts'
import { type Onset, onsetScanner } from './onset.ts'
import { medianVector } from './parameters.ts'
import { specsOf } from './priors.ts'
import { Observer } from './residuals.ts'
import type { StepTarget } from './works.ts'

export type OnsetKind = 'leak began' | 'vents opened' | 'drains blocked'

export interface OnsetFound {
  kind: OnsetKind
  fromHour: number
  /** Evidence gained by letting it begin, less the logarithm of the days tried. */
  gain: number
  size: string
}

/** Evidence that a score promises before the refit is paid for, and what the refit must then show. */
const LEAST_PROMISE = 4
const LEAST_GAIN = 6
/** Prior of a property after the onset over what it was (judgement). */
const AFTER_MEDIAN = 1.5
const AFTER_LOG_SD = 0.7
/** Less than this is the weather's own whim. */
const LEAST_FACTOR = 1.25
const LEAST_LEAK_L_PER_DAY = 2.5

interface Kind {
  kind: OnsetKind
  probe: (s: Stretch) => Stretch
  /** null: a steady source. */
  target: StepTarget | null
  words: string
}

const KINDS: readonly Kind[] = [
  {
    kind: 'leak began',
    probe: (s) => ({ ...s, leakKgPerH: s.leakKgPerH + 0.1 }),
    target: null,
    words: '',
  },
  {
    kind: 'vents opened',
    probe: (s) => ({ ...s, changesPerH: s.changesPerH * 1.2 }),
    target: 'airFactor',
    words: 'air exchange',
  },
  {
    kind: 'drains blocked',
    probe: (s) => ({ ...s, rainShare: s.rainShare * 1.2 }),
    target: 'rain',
    words: 'water from rain',
  },
]

export function findOnsets(model: HouseModel): OnsetFound[] {
  const observer = new Observer(model.prepared, model.held)
  const scan = onsetScanner(observer, model.fitted, model.plan, model.findings.machineStops)
  return KINDS.flatMap((kind) => {
    // The leak of a model has its refit behind it, and a repair says that one was there before.
    if (kind.target === null && (model.leak !== null || model.plan.repairHours.length > 0)) return []
    if (kind.target === 'rain' && !model.prepared.rainKnown) return []
    const onset = scan(kind.probe)
    const promise = onset.score ** 2 / 2 - Math.log(Math.max(1, onset.tried))
    if (onset.day < 0 || promise < LEAST_PROMISE) return []
    const found = refitted(model, observer, kind, onset)
    return found === null ? [] : [found]
  })
}

function refitted(model: HouseModel, observer: Observer, kind: Kind, onset: Onset): OnsetFound | null {
  const { prepared, plan, size, fitted } = model
  const fromHour = onset.day * DAY_HOURS
  const step = {
    workKey: 'onset',
    group: -1,
    fromHour,
    toHour: prepared.hours,
    median: AFTER_MEDIAN,
    spread: AFTER_LOG_SD,
    basis: 'judgement' as const,
    reason: 'something began',
  }
  // Last among the steps, so that the keys of the others stay as they were.
  const planWith = kind.target === null ? plan : { ...plan, steps: [...plan.steps, { ...step, target: kind.target }] }
  const findings = kind.target === null ? { ...model.findings, leakFromHour: fromHour } : model.findings
  const house = new ModelHouse(prepared, planWith, size, findings, specsOf(prepared, planWith, size, findings))
  const start = medianVector(house.specs)
  for (const [i, spec] of house.specs.entries()) {
    const k = fitted.house.specs.findIndex((other) => other.key === spec.key)
    if (k >= 0) start[i] = fitted.theta[k]!
  }
  const withIt = fitHouse(observer, house, {}, { theta: start })
  const same = fitHouse(observer, fitted.house, {}, { theta: fitted.theta, weights: withIt.weights })
  const gain = withIt.evidence - same.evidence - Math.log(Math.max(1, onset.tried))
  if (gain < LEAST_GAIN) return null
  if (kind.target === null) {
    const liters = DAY_HOURS * house.value(withIt.theta, 'leak')
    if (liters < LEAST_LEAK_L_PER_DAY) return null
    return { kind: kind.kind, fromHour, gain, size: `about ${liters.toFixed(1)} L a day` }
  }
  const factor = house.value(withIt.theta, `step${planWith.steps.length - 1}`, 1)
  if (factor < LEAST_FACTOR) return null
  return { kind: kind.kind, fromHour, gain, size: `${kind.words} about ${factor.toFixed(1)} times` }
}
