/**
 * Any set of remedies on the house as it is now: humidity, wood and dehumidifier need over the record's own weather or a
 * typical year. Temperature comes from the fitted heat balance; nothing keeps the old one. What a remedy will do is
 * the prior of that kind of work, so the answer carries its whole spread.
 */
import { humidityRatio } from '../physics/air.ts'
import type { Drivers, Stretch } from './balance.ts'
import { type Draw, drawHouses, type HouseModel } from './house.ts'
import type { AirSeries, Estimate, Work, WorkDetails, WorkKind } from './input.ts'
import { knownMachine } from './machine.ts'
import { type HeldRun, heldRun, holdAt, lastStateDrivers, type Need, needFrom } from './need.ts'
import { around, fromDraws, meanAndSd } from './numbers.ts'
import { assumedHousePa, climateOf, meanOf } from './prepare.ts'
import { normalSource } from './random.ts'
import { machineWarmingK, outdoorPull, spaceTemperatureIn } from './temperature.ts'
import { type FullRun, runFully } from './timber.ts'
import { partsOf, priorsOf } from './works.ts'

export interface Remedy {
  kind: WorkKind
  parts?: readonly WorkKind[]
  details?: WorkDetails
}

/** A year of weather other than the record's: hours in UTC from `startAt`. */
export interface TypicalYear extends AirSeries {
  startAt: number
  rainMm: Float64Array
}

export interface WhatIf {
  weather: 'the record' | 'a typical year'
  humidityRatioGKg: Estimate
  /** With the remedies minus as it is now. */
  changeGKg: Estimate
  rhPct: Estimate
  changeRhPct: Estimate
  /** Share of the hours above 80 % RH, now and with the remedies. */
  hoursOver80Share: { asIs: Estimate; after: Estimate }
  woodMcPct: Estimate
  /** Water a dehumidifier would have to take out on a hard day, now and with the remedies. */
  need: { asIs: Need; after: Need }
  assumptions: string[]
}

const DRAWS = 30
const SEED = 7_041

/** @throws RangeError when the columns of a typical year differ in length */
export function whatIf(model: HouseModel, remedies: readonly Remedy[], year: TypicalYear | null = null): WhatIf {
  const normal = normalSource(SEED)
  // One place in its prior for each remedy, and one for the warmth of a machine not yet seen here.
  const z = Array.from({ length: DRAWS }, () => Array.from({ length: remedies.length + 1 }, normal))
  const target = model.record.targetRhPct / 100
  const pressure = model.prepared.pressurePa
  const now: Summary[] = []
  const then: Summary[] = []
  const holdNow: HeldRun[] = []
  const holdThen: HeldRun[] = []
  for (const [i, draw] of drawHouses(model, model.fitted, DRAWS).entries()) {
    const state = draw.house.propertiesAt(draw.theta, model.prepared.hours - 1)
    const next = applied(model, state, remedies, z[i]!)
    const plain = driversNow(model, draw, year)
    const warmed = warmedBy(model, draw, plain, state, next, year, z[i]!.at(-1)!)
    now.push(summaryOf(runWhole(draw, plain, state), pressure))
    then.push(summaryOf(runWhole(draw, warmed, next), pressure))
    holdNow.push(heldRun(holdAt(draw, plain, state, target)))
    holdThen.push(heldRun(holdAt(draw, warmed, next, target)))
  }
  const values = (runs: readonly Summary[], key: keyof Summary) => runs.map((run) => run[key])
  const change = (key: keyof Summary) => {
    const { mean, sd } = meanAndSd(then.map((run, i) => run[key] - now[i]![key]))
    return around(mean, Math.hypot(sd, 0.12 * mean))
  }
  return {
    weather: year === null ? 'the record' : 'a typical year',
    humidityRatioGKg: fromDraws(values(then, 'gkg')),
    changeGKg: change('gkg'),
    rhPct: fromDraws(values(then, 'rhPct')),
    changeRhPct: change('rhPct'),
    hoursOver80Share: { asIs: fromDraws(values(now, 'over80')), after: fromDraws(values(then, 'over80')) },
    woodMcPct: fromDraws(values(then, 'woodMcPct')),
    need: {
      asIs: needFrom(holdNow, model.record.targetRhPct, model.record.condensateL !== null),
      after: needFrom(holdThen, model.record.targetRhPct, model.record.condensateL !== null),
    },
    assumptions: [...model.assumptions, 'What a remedy does is taken from its kind, not from this house.'],
  }
}

interface Summary {
  gkg: number
  rhPct: number
  over80: number
  woodMcPct: number
}

function summaryOf(run: FullRun, pressurePa: number): Summary {
  const rh = run.vaporPressurePa.map((e, h) => e / run.climate.saturationPa[h]!)
  return {
    gkg: 1000 * humidityRatio(meanOf(run.vaporPressurePa), pressurePa),
    rhPct: 100 * meanOf(rh),
    over80: meanOf(rh.map((v) => (v > 0.8 ? 1 : 0))),
    woodMcPct: 100 * meanOf(run.pinDepthMoisture),
  }
}

type State = Omit<Stretch, 'fromHour' | 'toHour'>

/** The state after the remedies; `z` says where in each prior's spread this draw lies. */
function applied(model: HouseModel, state: State, remedies: readonly Remedy[], z: readonly number[]): State {
  let next = { ...state }
  for (const [i, remedy] of remedies.entries()) {
    const work: Work = { key: `remedy ${i}`, ...remedy, from: 0 }
    for (const part of new Set(partsOf(work))) {
      if (part === 'repair') next.leakKgPerH = 0
      if (part === 'dehumidifier') {
        const { setRh, ratedKgPerH } = knownMachine(work.details ?? {})
        next.machine = { setRh, ratedKgPerH }
      }
      for (const prior of priorsOf(part, work, model.record, model.size.volumeM3)) {
        next = stepped(next, prior.target, prior.median * Math.exp(prior.spread * z[i]!))
      }
    }
  }
  return next
}

function stepped(state: State, target: string, value: number): State {
  switch (target) {
    case 'air':
      return { ...state, changesPerH: value }
    case 'airFactor':
      return { ...state, changesPerH: state.changesPerH * value }
    // A cover or a drain may do little, but it brings no water in.
    case 'ground':
      return { ...state, ground: state.ground * Math.min(1, value) }
    case 'wetGround':
      return { ...state, wetGround: state.wetGround * Math.min(1, value) }
    default:
      return { ...state, rainShare: state.rainShare * Math.min(1, value) }
  }
}

function driversNow(model: HouseModel, draw: Draw, year: TypicalYear | null): Drivers {
  if (year === null) return lastStateDrivers(model, draw)
  const hours = year.tempC.length
  if (year.vaporPressurePa.length !== hours || year.rainMm.length !== hours) {
    throw new RangeError(`Columns of the typical year must have the same length, got ${hours} hours of temperature.`)
  }
  const on = model.warmth.terms.map((t) => t.on.at(-1) === 1)
  const tempC = spaceTemperatureIn(model.warmth, draw.warmth, year.tempC, on)
  return {
    hours,
    climate: climateOf(tempC, year.tempC, year.startAt, model.prepared.latitude),
    outdoorPa: year.vaporPressurePa,
    housePa: year.vaporPressurePa.map(assumedHousePa),
    rainMm: year.rainMm,
    machineIdle: null,
  }
}

/** Temperature answers to another air exchange and to a machine that is new. */
function warmedBy(
  model: HouseModel,
  draw: Draw,
  plain: Drivers,
  state: State,
  next: State,
  year: TypicalYear | null,
  machineZ: number,
): Drivers {
  const tie = model.warmth.tie(state.changesPerH, next.changesPerH).mean
  const machine =
    state.machine === null && next.machine !== null ? machineWarmingK(model.warmth, draw.warmth, machineZ) : 0
  if (tie === 0 && machine === 0) return plain
  const outdoorTempC = year?.tempC ?? model.prepared.outdoorTempC
  const pull = outdoorPull(draw.warmth, outdoorTempC)
  const tempC = plain.climate.tempC.map((t, h) => t + tie * pull[h]! + machine)
  const startAt = year?.startAt ?? model.record.startAt
  return { ...plain, climate: climateOf(tempC, outdoorTempC, startAt, model.prepared.latitude) }
}

function runWhole(draw: Draw, drivers: Drivers, state: State): FullRun {
  return runFully(draw, drivers, [{ ...state, fromHour: 0, toHour: drivers.hours }], drivers.hours)
}
