/**
 * Any set of remedies on the house as it is now: air, wood, mold, condensation and what a dehumidifier does, over the
 * record's own weather or a typical year. Temperature comes from the fitted heat balance; nothing keeps the old one.
 * What a remedy will do is the prior of that kind of work, so the answer carries its whole spread.
 */
import { MOLD_CLASSES, type MoldClass } from '../physics/mold.ts'
import { type Drivers, type Flows, newFlows } from './balance.ts'
import type { ColdSurface } from './condensation.ts'
import { type Draw, drawHouses, type HouseModel, middleDraw } from './house.ts'
import { DAY_HOURS, type Estimate, type WorkKind } from './input.ts'
import { type HeldRun, heldRun, holdAt, type Need, needFrom } from './need.ts'
import { around, fromDraws, meanAndSd, Z90 } from './numbers.ts'
import { normalSource } from './random.ts'
import { type Efficiency, efficiencyOf, type MachineUse, useOf } from './whatifMachine.ts'
import {
  driversAfter,
  driversNow,
  type Measures,
  measuresOf,
  runState,
  type SurfaceLine,
  surfaceLine,
  type TypicalYear,
} from './whatifRun.ts'
import { keptKinds, type Remedy, type State, stateAfter } from './whatifState.ts'

export type { Remedy, TypicalYear }

/** As the house is now, with the remedies, and the second minus the first. */
export interface Compared<V> {
  asIs: V
  after: V
  change: V
}

/** What a machine does over the period; null where none runs. */
export interface MachineAmounts<V> {
  runningHours: V
  liters: V
  kwh: V
}

/** Over what hours, liters and kWh are counted. */
export interface WhatIfPeriod {
  days: number
  basis: 'a year' | 'the record'
}

export type WhatIfCondensation<V> = { surface: string; hours: Compared<V> } | { cannotTell: string; needs: string }

interface WhatIfOf<V> {
  weather: 'the record' | 'a typical year'
  period: WhatIfPeriod
  humidityRatioGKg: Compared<V>
  vaporPressurePa: Compared<V>
  rhPct: Compared<V>
  tempC: Compared<V>
  /** Share of the hours above 80 % RH. */
  hoursOver80Share: Compared<V>
  /** Where pins read, mean over the weather. */
  woodMcPct: Compared<V>
  /** What this weather grows from 0, at its end and at its highest; on surfaces as warm as the air. */
  moldIndex: { end: Compared<V>; max: Compared<V> }
  condensation: WhatIfCondensation<V>
  machine: { asIs: MachineAmounts<V> | null; after: MachineAmounts<V> | null }
  /** Kinds among the remedies that stand already: what they did here is kept. */
  kept: WorkKind[]
  assumptions: string[]
}

export interface WhatIf extends WhatIfOf<Estimate> {
  /** Water a dehumidifier would have to take out on a hard day. */
  need: { asIs: Need; after: Need }
}

/** The middle alone, without intervals and need. */
export type WhatIfMiddle = WhatIfOf<number>

export interface WhatIfOptions {
  coldSurface?: ColdSurface | null
  /** "sensitive" unless given. */
  moldClass?: MoldClass
  /** How fast a mold index fades in dry spells, 0 to 1; as physics/mold has it unless given. */
  moldDecline?: number
}

const DRAWS = 30
const SEED = 7_041
/** Model error that draws do not know of (judgement): a share of a change, and in the logarithm of liters. */
const LEAST_SHARE = 0.12
const LITERS_LOG_SD = 0.15
const METERED_LOG_SD = 0.08
/** From this many days on a weather counts as a year and its sums are scaled to one. */
const NEARLY_A_YEAR_DAYS = 350
const YEAR_DAYS = 365

/**
 * Middle and 90 % interval of everything; one to two seconds for a year.
 *
 * @throws RangeError when the columns of a typical year differ in length, or nothing says how cold the surface is
 */
export function whatIf(
  model: HouseModel,
  remedies: readonly Remedy[],
  year: TypicalYear | null = null,
  options: WhatIfOptions = {},
): WhatIf {
  const normal = normalSource(SEED)
  // One place in its prior for each remedy, one for the warmth of a machine not yet seen here, one for its efficiency.
  const z = Array.from({ length: DRAWS }, () => Array.from({ length: remedies.length + 2 }, normal))
  const question = questionOf(model, remedies, year, options)
  const target = model.record.targetRhPct / 100
  const pairs: Pair[] = []
  const [holdNow, holdThen]: [HeldRun[], HeldRun[]] = [[], []]
  for (const [i, draw] of drawHouses(model, model.fitted, DRAWS).entries()) {
    const sides = sidesOf(question, draw, z[i]!)
    pairs.push(measured(question, draw, sides, z[i]!.at(-1)!))
    holdNow.push(heldRun(holdAt(model, draw, sides.plain, sides.now, target, year)))
    holdThen.push(heldRun(holdAt(model, draw, sides.warmed, sides.then, target, year)))
  }
  const metered = model.record.condensateL !== null
  const modelLogSd = metered ? METERED_LOG_SD : LITERS_LOG_SD
  const amounts = (values: readonly number[], most: number) => amountFrom(values, modelLogSd, most)
  return {
    ...answerOf(question, pairs, { value: fromDraws, shift: shiftFrom, amounts }),
    need: {
      asIs: needFrom(holdNow, model.record.targetRhPct, metered),
      after: needFrom(holdThen, model.record.targetRhPct, metered),
    },
  }
}

/** The same at the middle of the model and of each remedy's prior; a few simulated years of time. Errors as `whatIf`. */
export function whatIfMiddle(
  model: HouseModel,
  remedies: readonly Remedy[],
  year: TypicalYear | null = null,
  options: WhatIfOptions = {},
): WhatIfMiddle {
  const question = questionOf(model, remedies, year, options)
  const draw = middleDraw(model)
  const z = new Array<number>(remedies.length + 2).fill(0)
  const pair = measured(question, draw, sidesOf(question, draw, z), 0)
  const only = (values: readonly number[]) => values[0]!
  return answerOf(question, [pair], { value: only, shift: only, amounts: only })
}

interface Question {
  model: HouseModel
  remedies: readonly Remedy[]
  year: TypicalYear | null
  surface: SurfaceLine | null
  moldClass: MoldClass
  moldDecline: number | undefined
  kept: WorkKind[]
  period: WhatIfPeriod
  /** Factor from the sums of a run to the period. */
  scale: number
  efficiency: { asIs: Efficiency | null; after: Efficiency | null }
  reuse: Flows
}

function questionOf(
  model: HouseModel,
  remedies: readonly Remedy[],
  year: TypicalYear | null,
  { coldSurface, moldClass, moldDecline }: WhatIfOptions,
): Question {
  const hours = year === null ? model.prepared.hours : year.tempC.length
  const days = hours / DAY_HOURS
  const wholeYear = days >= NEARLY_A_YEAR_DAYS
  const draw = middleDraw(model)
  const now = draw.house.propertiesAt(draw.theta, model.prepared.hours - 1)
  const none = remedies.map(() => 0)
  const then = stateAfter(model, now, remedies, none)
  const said =
    remedies.findLast(({ details }) => (details?.litersPerKwh ?? null) !== null)?.details?.litersPerKwh ?? null
  const sameMachine = now.machine?.ratedKgPerH === then.machine?.ratedKgPerH
  return {
    model,
    remedies,
    year,
    surface: coldSurface ? surfaceLine(coldSurface) : null,
    moldClass: moldClass ?? 'sensitive',
    moldDecline,
    kept: keptKinds(model, remedies),
    period: { days: wholeYear ? YEAR_DAYS : days, basis: wholeYear ? 'a year' : 'the record' },
    scale: wholeYear ? YEAR_DAYS / days : 1,
    efficiency: {
      asIs: now.machine && efficiencyOf(model, now.machine, null, true),
      after: then.machine && efficiencyOf(model, then.machine, said, sameMachine),
    },
    reuse: newFlows(hours),
  }
}

interface Sides {
  now: State
  then: State
  plain: Drivers
  warmed: Drivers
}

function sidesOf({ model, remedies, year }: Question, draw: Draw, z: readonly number[]): Sides {
  const now = draw.house.propertiesAt(draw.theta, model.prepared.hours - 1)
  const then = stateAfter(model, now, remedies, z)
  const plain = driversNow(model, draw, year)
  return { now, then, plain, warmed: driversAfter(model, draw, plain, now, then, year, z[remedies.length]!) }
}

interface Side {
  measures: Measures
  machine: MachineUse | null
}
interface Pair {
  asIs: Side
  after: Side
}

function measured(question: Question, draw: Draw, { now, then, plain, warmed }: Sides, efficiencyZ: number): Pair {
  const { model, reuse, surface, scale, efficiency } = question
  const mold = { material: MOLD_CLASSES[question.moldClass], declineCoefficient: question.moldDecline }
  const side = (drivers: Drivers, state: State, efficient: Efficiency | null): Side => {
    const run = runState(draw, drivers, state, reuse)
    const measures = measuresOf(run, model.prepared.pressurePa, mold, surface)
    measures.condensingHours *= scale
    if (state.machine === null || efficient === null) return { measures, machine: null }
    const { runningHours, liters, kwh } = useOf(run, state.machine, efficient)
    const less = Math.exp(-efficient.logSd * efficiencyZ)
    return {
      measures,
      machine: { runningHours: scale * runningHours, liters: scale * liters, kwh: scale * kwh * less },
    }
  }
  return { asIs: side(plain, now, efficiency.asIs), after: side(warmed, then, efficiency.after) }
}

/** How draws become a value, a change with model error, and an amount of water, time or electricity. */
interface Reading<V> {
  value: (draws: readonly number[]) => V
  shift: (draws: readonly number[]) => V
  /** @param most what it cannot exceed */
  amounts: (draws: readonly number[], most: number) => V
}

function answerOf<V>(question: Question, pairs: readonly Pair[], read: Reading<V>): WhatIfOf<V> {
  const { model, year, surface, kept, period } = question
  const compared = (key: keyof Measures, change: Reading<V>['value']): Compared<V> => ({
    asIs: read.value(pairs.map(({ asIs }) => asIs.measures[key])),
    after: read.value(pairs.map(({ after }) => after.measures[key])),
    change: change(pairs.map(({ asIs, after }) => after.measures[key] - asIs.measures[key])),
  })
  const machineOf = (side: keyof Pair): MachineAmounts<V> | null => {
    const uses = pairs.flatMap((pair) => pair[side].machine ?? [])
    if (uses.length === 0) return null
    const amount = (key: keyof MachineUse, most = Number.POSITIVE_INFINITY) =>
      read.amounts(
        uses.map((use) => use[key]),
        most,
      )
    const runningHours = amount('runningHours', period.days * DAY_HOURS)
    return { runningHours, liters: amount('liters'), kwh: amount('kwh') }
  }
  return {
    weather: year === null ? 'the record' : 'a typical year',
    period,
    humidityRatioGKg: compared('humidityRatioGKg', read.shift),
    vaporPressurePa: compared('vaporPressurePa', read.shift),
    rhPct: compared('rhPct', read.shift),
    tempC: compared('tempC', read.shift),
    hoursOver80Share: compared('over80Share', read.value),
    woodMcPct: compared('woodMcPct', read.shift),
    moldIndex: { end: compared('moldEnd', read.value), max: compared('moldMax', read.value) },
    condensation:
      surface === null
        ? {
            cannotTell: 'No cold surface was named, and water forms on a surface colder than the air.',
            needs: 'a cold surface with its temperature, or what is inside it and its insulation',
          }
        : { surface: surface.name, hours: compared('condensingHours', read.value) },
    machine: { asIs: machineOf('asIs'), after: machineOf('after') },
    kept,
    assumptions: [...model.assumptions, ...assumed(question)],
  }
}

function assumed({ kept, efficiency, period, moldClass, surface }: Question): string[] {
  const sentences = ['What a remedy does is taken from its kind, not from this house.']
  for (const kind of kept) {
    sentences.push(
      kind === 'dehumidifier'
        ? 'A dehumidifier runs already: what is not said of the new one is as it was fitted.'
        : `${kind} is done already: what it does in this house is kept, in the place of what is usual for it.`,
    )
  }
  sentences.push(
    `Mold index of class "${moldClass}" on surfaces as warm as the air, from 0 at the start of this weather: not what grew there before.`,
  )
  if (surface !== null || efficiency.asIs !== null || efficiency.after !== null) {
    sentences.push(
      period.basis === 'a year'
        ? 'Hours, water and electricity are scaled to a year of 365 days.'
        : `Hours, water and electricity are of the ${Math.round(period.days)} days of this weather, not of a year.`,
    )
  }
  const efficiencies = [efficiency.asIs?.assumed, efficiency.after?.assumed].filter((text) => typeof text === 'string')
  return [...sentences, ...new Set(efficiencies)]
}

function shiftFrom(draws: readonly number[]): Estimate {
  const { mean, sd } = meanAndSd(draws)
  return around(mean, Math.hypot(sd, LEAST_SHARE * mean))
}

/** An amount that is never negative, its draws widened by the model's own error. */
function amountFrom(draws: readonly number[], modelLogSd: number, most: number): Estimate {
  const { low, mid, high } = fromDraws(draws)
  if (low <= 0) return { low, mid, high }
  const away = (end: number) => Math.exp(Math.hypot(Math.log(end / mid), Z90 * modelLogSd))
  return { low: mid / away(low), mid, high: Math.min(most, mid * away(high)) }
}
