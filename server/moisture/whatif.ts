/**
 * Any set of remedies on the house as it is now: air, wood, mold, condensation and what a dehumidifier does, over the
 * record's own weather or a typical year. Temperature comes from the fitted heat balance; nothing keeps the old one.
 * What a remedy will do is the prior of that kind of work, so the answer carries its whole spread.
 */
import { MOLD_CLASSES, type MoldClass } from '../physics/mold.ts'
import { type Drivers, newFlows } from './balance.ts'
import type { ColdSurface } from './condensation.ts'
import { type Draw, drawHouses, type HouseModel, middleDraw } from './house.ts'
import { DAY_HOURS, type Estimate } from './input.ts'
import { type HeldRun, hardDayL, hardDaysUnseen, heldRun, holdAt, type Need, needFrom } from './need.ts'
import { fromDraws } from './numbers.ts'
import { normalSource } from './random.ts'
import { amountFrom, answerOf, type Pair, type Question, type Side, shiftFrom, type WhatIfOf } from './whatifAnswer.ts'
import { type Efficiency, efficiencyOf, useOf } from './whatifMachine.ts'
import { driversAfter, driversNow, measuresOf, runState, surfaceLine, type TypicalYear } from './whatifRun.ts'
import { keptKinds, type Remedy, type State, stateAfter } from './whatifState.ts'

export type { Compared, MachineAmounts, WhatIfCondensation, WhatIfPeriod } from './whatifAnswer.ts'
export type { Remedy, TypicalYear }

export interface WhatIf extends WhatIfOf<Estimate> {
  need: {
    /** Water a dehumidifier would have to take out on a hard day. */
    asIs: Need
    after: Need
    /** What the remedies take off a hard day [L/day]; null where hard days were not seen. */
    savesLPerDay: Estimate | null
  }
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
/** Model error of liters that draws do not know of (judgement), in the logarithm; smaller where water was metered. */
const LITERS_LOG_SD = 0.15
const METERED_LOG_SD = 0.08
/** From this many days on a weather counts as a year and its sums are scaled to one. */
const NEARLY_A_YEAR_DAYS = 350
const YEAR_DAYS = 365

/**
 * Middle and 90 % interval of everything; half a second to a second for a year.
 *
 * @throws RangeError when the columns of a typical year differ in length, or nothing says how cold the surface is
 */
export function whatIf(
  model: HouseModel,
  remedies: readonly Remedy[],
  year: TypicalYear | null = null,
  options: WhatIfOptions = {},
): WhatIf {
  const steps = whatIfSteps(model, remedies, year, options)
  let step = steps.next()
  while (!step.done) step = steps.next()
  return step.value
}

/** The same, pausing after each possible house, so that who runs it can do something else in between. */
export function* whatIfSteps(
  model: HouseModel,
  remedies: readonly Remedy[],
  year: TypicalYear | null,
  options: WhatIfOptions,
): Generator<undefined, WhatIf> {
  const normal = normalSource(SEED)
  // One place in its prior for each remedy, one for the warmth of a machine not yet seen here, one for its efficiency.
  const z = Array.from({ length: DRAWS }, () => Array.from({ length: remedies.length + 2 }, normal))
  const question = questionOf(model, remedies, year, options)
  const target = model.record.targetRhPct / 100
  const pairs: Pair[] = []
  const [holdNow, holdThen]: [HeldRun[], HeldRun[]] = [[], []]
  for (const [i, draw] of drawHouses(model, model.fitted, DRAWS).entries()) {
    yield
    const sides = sidesOf(question, draw, z[i]!)
    pairs.push(measured(question, draw, sides, z[i]!.at(-1)!))
    holdNow.push(heldRun(holdAt(model, draw, sides.plain, sides.now, target, year)))
    holdThen.push(heldRun(holdAt(model, draw, sides.warmed, sides.then, target, year)))
  }
  const modelLogSd = model.record.condensateL !== null ? METERED_LOG_SD : LITERS_LOG_SD
  const amounts = (values: readonly number[], most: number) => amountFrom(values, modelLogSd, most)
  return {
    ...answerOf(question, pairs, { value: fromDraws, shift: shiftFrom, amounts }),
    need: needsOf(model, year, { holdNow, holdThen, modelLogSd }),
  }
}

function needsOf(
  model: HouseModel,
  year: TypicalYear | null,
  { holdNow, holdThen, modelLogSd }: { holdNow: HeldRun[]; holdThen: HeldRun[]; modelLogSd: number },
): WhatIf['need'] {
  const unseen = year === null ? hardDaysUnseen(model) : null
  if (unseen !== null) return { asIs: unseen, after: unseen, savesLPerDay: null }
  const metered = model.record.condensateL !== null
  // Each possible house against itself.
  const saved = holdNow.map(({ dailyL }, i) => hardDayL(dailyL) - hardDayL(holdThen[i]!.dailyL))
  return {
    asIs: needFrom(holdNow, model.record.targetRhPct, metered),
    after: needFrom(holdThen, model.record.targetRhPct, metered),
    savesLPerDay: amountFrom(saved, modelLogSd, Number.POSITIVE_INFINITY),
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
