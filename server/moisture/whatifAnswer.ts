/** How the runs of a what-if become its answer: values, changes with the model's own error, amounts, and what is assumed. */
import type { MoldClass } from '../physics/mold.ts'
import type { Flows } from './balance.ts'
import type { HouseModel } from './house.ts'
import { DAY_HOURS, type Estimate, type WorkKind } from './input.ts'
import { around, fromDraws, meanAndSd, Z90 } from './numbers.ts'
import type { Efficiency, MachineUse } from './whatifMachine.ts'
import type { Measures, SurfaceLine, TypicalYear } from './whatifRun.ts'
import type { Remedy } from './whatifState.ts'

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

export interface WhatIfOf<V> {
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

/** Model error of a change that draws do not know of (judgement), as a share of it. */
const LEAST_SHARE = 0.12

export interface Question {
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

export interface Side {
  measures: Measures
  machine: MachineUse | null
}
export interface Pair {
  asIs: Side
  after: Side
}

/** How draws become a value, a change with model error, and an amount of water, time or electricity. */
interface Reading<V> {
  value: (draws: readonly number[]) => V
  shift: (draws: readonly number[]) => V
  /** @param most what it cannot exceed */
  amounts: (draws: readonly number[], most: number) => V
}

export function answerOf<V>(question: Question, pairs: readonly Pair[], read: Reading<V>): WhatIfOf<V> {
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

export function shiftFrom(draws: readonly number[]): Estimate {
  const { mean, sd } = meanAndSd(draws)
  return around(mean, Math.hypot(sd, LEAST_SHARE * mean))
}

/** An amount, its draws widened by the model's own error where none is below 0. */
export function amountFrom(draws: readonly number[], modelLogSd: number, most: number): Estimate {
  const { low, mid, high } = fromDraws(draws)
  if (low <= 0) return { low, mid, high }
  const away = (end: number) => Math.exp(Math.hypot(Math.log(end / mid), Z90 * modelLogSd))
  return { low: mid / away(low), mid, high: Math.min(most, mid * away(high)) }
}
