/**
 * A dehumidifier that stopped, or is too small: humidity leaves the level it was held at for days. The two are told
 * apart by fitting both and comparing their evidence.
 */
import { type FitControl, type Fitted, fitHouse } from './fit.ts'
import { dayMean } from './held.ts'
import { DAY_HOURS } from './input.ts'
import type { ModelHouse } from './modelHouse.ts'
import { type Findings, NO_FINDINGS } from './parameters.ts'
import type { Prepared } from './prepare.ts'
import type { Observer } from './residuals.ts'
import type { MachineSpan, WorkPlan } from './works.ts'

/** New machines dry the framing first: no verdict in that time. */
const AFTER_INSTALL_DAYS = 21
const DAYS_IN_A_ROW = 5
const BEFORE_DAYS = 14
const RISE_RH = 0.05
const HELD_RH = 0.06
const NEVER_HELD_RH = 0.07
const ONSET_RH = 0.025
const ONSET_HOURS = 8

export interface StopCandidate {
  fromHour: number
  toHour: number
  machine: MachineSpan
}

export interface StopFound {
  failed: boolean
  span: { fromHour: number; toHour: number }
  fitted: Fitted
  /** Evidence of "stopped" minus evidence of "too small"; natural logarithm. */
  margin: number
}

/** First stretch in which a running machine lost its level; null when it never did. */
export function findStops(prepared: Prepared, plan: WorkPlan): StopCandidate | null {
  const rh = (h: number) => prepared.space.vaporPressurePa[h]! / prepared.climate.saturationPa[h]!
  for (const machine of plan.machines) {
    const skip = machine.workKey === null ? BEFORE_DAYS / 2 : AFTER_INSTALL_DAYS
    const first = Math.ceil(machine.fromHour / DAY_HOURS) + skip
    const last = Math.floor(machine.toHour / DAY_HOURS)
    const daily = Array.from({ length: last }, (_, day) => dayMean(day, prepared.hours, rh))
    const set = machine.machine.setRh
    let run = 0
    for (let day = first; day < last; day++) {
      const reference = levelBefore(daily, day - run, Math.ceil(machine.fromHour / DAY_HOURS), set)
      run = daily[day]! > reference.limit ? run + 1 : 0
      if (run < DAYS_IN_A_ROW) continue
      const startDay = day - run + 1
      const fromHour = onset(rh, startDay, reference.onset, machine.fromHour)
      let back = day
      while (back < last && !(daily[back]! < reference.limit - 0.02)) back++
      return { fromHour, toHour: back >= last ? machine.toHour : back * DAY_HOURS, machine }
    }
  }
  return null
}

function levelBefore(daily: readonly number[], day: number, firstDay: number, set: number) {
  const before = daily
    .slice(Math.max(firstDay, day - BEFORE_DAYS), day)
    .filter(Number.isFinite)
    .sort((a, b) => a - b)
  const level = before.length >= 5 ? before[before.length >> 1]! : Number.POSITIVE_INFINITY
  if (level < set + HELD_RH) return { limit: level + RISE_RH, onset: level + ONSET_RH }
  return { limit: set + NEVER_HELD_RH, onset: set + NEVER_HELD_RH - ONSET_RH }
}

function onset(rh: (h: number) => number, startDay: number, level: number, notBefore: number): number {
  const from = Math.max(notBefore, (startDay - 2) * DAY_HOURS)
  for (let h = from; h < (startDay + 1) * DAY_HOURS; h++) {
    let k = 0
    while (k < ONSET_HOURS && !(rh(h + k) <= level)) k++
    if (k === ONSET_HOURS) return h
  }
  return startDay * DAY_HOURS
}

/** Fits both explanations and keeps the one the data favour. */
export function tryStops(
  candidate: StopCandidate,
  observer: Observer,
  houseWith: (findings: Findings) => ModelHouse,
  control: FitControl,
): StopFound {
  const span = { fromHour: candidate.fromHour, toHour: candidate.toHour }
  const stopped = fitHouse(observer, houseWith({ ...NO_FINDINGS, machineStops: [span] }), control)
  const running = fitHouse(observer, houseWith(NO_FINDINGS), control)
  const same = fitHouse(observer, running.house, control, { theta: running.theta, weights: stopped.weights })
  const margin = stopped.evidence - same.evidence
  return { failed: margin > 0, span, fitted: margin > 0 ? stopped : running, margin }
}
