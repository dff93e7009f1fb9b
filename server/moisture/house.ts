/** Everything read from one record: prepared series, fitted models, temperature; all answers start from here. */
import { type Constants, type Drivers, type Stretch, simulate } from './balance.ts'
import { type Dimensions, dimensionsOf } from './dimensions.ts'
import { Cancelled, type FitControl, type Fitted, fitHouse } from './fit.ts'
import { findHeldDays, type HeldDays } from './held.ts'
import { DAY_HOURS, type HouseRecord } from './input.ts'
import { findLeak, type LeakFound } from './leak.ts'
import { solveUpper } from './linear.ts'
import { ModelHouse } from './modelHouse.ts'
import { type Findings, NO_FINDINGS } from './parameters.ts'
import { type Climate, climateOf, type Prepared, prepareRecord } from './prepare.ts'
import { specsOf } from './priors.ts'
import { normalSource } from './random.ts'
import { driversOf, Observer } from './residuals.ts'
import type { StopFound } from './stops.ts'
import { findStops, tryStops } from './stops.ts'
import { drawWarmth, temperatureChange } from './temperature.ts'
import { fitWarmth, type Warmth } from './warmth.ts'
import { planWorks, type WorkPlan } from './works.ts'

export { Cancelled }

const LEAST_DAYS = 10
/** Prior probability that a work did nothing at all (judgement). */
const NOTHING_PRIOR = 0.2
const DRAWS = 60
/** Spread of the logarithm of how much evaporation cools (see cooling.ts). */
export const EVAPORATION_LOG_SD = 0.5
const SEED = 20_240_501

export interface HouseModel {
  record: HouseRecord
  prepared: Prepared
  plan: WorkPlan
  size: Dimensions
  findings: Findings
  held: HeldDays
  fitted: Fitted
  /** By group: how probable it is that its work changed nothing at all, and the evidence gained by letting it (log). */
  nothing: { group: number; probability: number; support: number }[]
  warmth: Warmth
  leak: LeakFound | null
  stop: StopFound | null
  assumptions: string[]
}

export type Understanding = { model: HouseModel } | { cannotTell: string; needs: string }

/**
 * Fits the whole record.
 *
 * @returns the model, or why it cannot be made and what is missing
 * @throws Cancelled when `shouldStop` says so; RangeError when the record's arrays do not match its hours
 */
export function understandHouse(record: HouseRecord, control: FitControl = {}): Understanding {
  const prepared = prepareRecord(record)
  if ('cannotTell' in prepared) return prepared
  const measuredHours = prepared.space.vaporPressurePa.reduce((n, e) => (Number.isFinite(e) ? n + 1 : n), 0)
  if (measuredHours < LEAST_DAYS * DAY_HOURS) {
    const days = Math.floor(measuredHours / DAY_HOURS)
    return {
      cannotTell: `Only ${days} days were measured in the space; a balance needs ${LEAST_DAYS}.`,
      needs: `${LEAST_DAYS - days} more days of readings`,
    }
  }
  const size = dimensionsOf(record.geometry)
  const plan = planWorks(record, size.volumeM3)
  const held = findHeldDays(prepared, plan)
  const observer = new Observer(prepared, held)
  const part = (from: number, to: number): FitControl => ({
    shouldStop: control.shouldStop,
    onProgress: (share) => control.onProgress?.(from + share * (to - from)),
  })
  const houseWith = (findings: Findings) =>
    new ModelHouse(prepared, plan, size, findings, specsOf(prepared, plan, size, findings))

  const candidate = findStops(prepared, plan)
  const stop = candidate === null ? null : tryStops(candidate, observer, houseWith, part(0, 0.4))
  let findings: Findings = stop?.failed ? { ...NO_FINDINGS, machineStops: [stop.span] } : NO_FINDINGS
  let fitted = stop?.fitted ?? fitHouse(observer, houseWith(findings), part(0, 0.4))
  const leak = findLeak(observer, fitted, { plan, findings, houseWith, control: part(0.4, 0.6) }, { prepared, held })
  if (leak !== null) {
    findings = leak.findings
    fitted = leak.fitted
  }
  const nothing = weighNothing(observer, fitted, plan, findings, houseWith, part(0.6, 1))
  const changesAt = (hour: number) => fitted.house.propertiesAt(fitted.theta, hour).changesPerH
  return {
    model: {
      record,
      prepared,
      plan,
      size,
      findings,
      held,
      fitted,
      nothing,
      warmth: fitWarmth(prepared, plan, findings, size, changesAt),
      leak,
      stop,
      assumptions: [...prepared.assumptions, ...size.notes],
    },
  }
}

/** Refits without each group's steps and machine and weighs the two by their evidence. */
function weighNothing(
  observer: Observer,
  fitted: Fitted,
  plan: WorkPlan,
  findings: Findings,
  houseWith: (findings: Findings) => ModelHouse,
  control: FitControl,
): HouseModel['nothing'] {
  return plan.groups.flatMap((group) => {
    const mended = group.kinds.includes('repair')
    const keep = fitted.house.specs.map((s) => s.step?.group !== group.index && !(mended && s.key === 'leak'))
    const machines = plan.machines.filter((m) => m.group === group.index)
    if (keep.every(Boolean) && machines.length === 0) return []
    const off = { ...findings, machineStops: [...findings.machineStops, ...machines] }
    const house = houseWith(off).withSpecs(fitted.house.specs.filter((_, i) => keep[i]))
    const theta = fitted.theta.filter((_, i) => keep[i])
    const without = fitHouse(observer, house, control, { theta, weights: fitted.weights })
    const odds = (NOTHING_PRIOR / (1 - NOTHING_PRIOR)) * Math.exp(without.evidence - fitted.evidence)
    const probability = Number.isFinite(odds) ? odds / (1 + odds) : 1
    return [{ group: group.index, probability, support: fitted.evidence - without.evidence }]
  })
}

/** One possible house: a parameter vector of one model and temperature coefficients to go with it. */
export interface Draw {
  house: ModelHouse
  theta: Float64Array
  warmth: Float64Array
  /** Standard normal: how much evaporation cools this house, against the middle. */
  evaporationZ: number
}

/**
 * Draws from the fitted model; each with its own temperature coefficients.
 *
 * @param fitted the model to draw from, the main one unless given
 */
export function drawHouses(model: HouseModel, fitted: Fitted = model.fitted, count = DRAWS): Draw[] {
  const normal = normalSource(SEED)
  return Array.from({ length: count }, () => {
    const noise = solveUpper(
      fitted.curvature,
      Float64Array.from(fitted.theta, () => normal()),
    )
    return {
      house: fitted.house,
      theta: fitted.theta.map((t, i) => t + noise[i]!),
      warmth: drawWarmth(model.warmth, normal),
      evaporationZ: normal(),
    }
  })
}

/** The mode itself as a draw. */
export function middleDraw(model: HouseModel): Draw {
  return { house: model.fitted.house, theta: model.fitted.theta, warmth: model.warmth.coefficients, evaporationZ: 0 }
}

/** Drivers in the same weather at the temperature the space would have had without these works. */
export function driversWithout(
  model: HouseModel,
  draw: Draw,
  without: ReadonlySet<string>,
  evaporationK: Float64Array | null = null,
): Drivers {
  const drivers = driversOf(model.prepared, model.held)
  const change = temperatureChange(model.warmth, draw.warmth, without)
  const factor = Math.exp(EVAPORATION_LOG_SD * draw.evaporationZ)
  const both = change ?? (evaporationK ? new Float64Array(drivers.hours) : null)
  if (both === null) return drivers
  if (evaporationK) for (let h = 0; h < both.length; h++) both[h]! += factor * evaporationK[h]!
  return { ...drivers, climate: shifted(model.prepared, both) }
}

/** The record's climate with this much taken off the temperature, hour by hour. */
export function shifted(prepared: Prepared, takenOffK: Float64Array): Climate {
  const { climate, outdoorTempC, record, latitude } = prepared
  const tempC = climate.tempC.map((t, h) => t - takenOffK[h]!)
  return climateOf(tempC, outdoorTempC, record.startAt, latitude)
}

export interface Run {
  drivers: Drivers
  constants: Constants
  stretches: Stretch[]
  vaporPressurePa: Float64Array
}

/** The house in its own weather, with or without some works. */
export function runDraw(model: HouseModel, draw: Draw, without: ReadonlySet<string>): Run {
  const drivers = driversWithout(model, draw, without)
  const constants = draw.house.constants(draw.theta)
  const stretches = draw.house.stretches(draw.theta, without)
  const vaporPressurePa = simulate(new Float64Array(drivers.hours), drivers, constants, stretches)
  return { drivers, constants, stretches, vaporPressurePa }
}
