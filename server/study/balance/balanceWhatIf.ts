/**
 * What a set of remedies would change in a house. A remedy that a safety fact holds back is computed like any other, and
 * marked as held with the sentence that says what to record first or who decides.
 */
import type { Thresholds } from '../../advice/defaults.ts'
import type { ColdSurface } from '../../moisture/condensation.ts'
import type { Estimate, WorkKind } from '../../moisture/input.ts'
import { USUAL_RATED_L_PER_DAY, USUAL_SET_RH_PCT } from '../../moisture/machine.ts'
import {
  type Compared,
  type MachineAmounts,
  type Remedy,
  type TypicalYear,
  type WhatIfCondensation,
  type WhatIfOptions,
  type WhatIfPeriod,
  whatIfMiddle,
  whatIfSteps,
} from '../../moisture/whatif.ts'
import type { RatingBasis } from '../../physics/dehumidifier.ts'
import type { StudiedHouse } from '../studiedHouse.ts'
import type { BalanceNeed, BalanceUnknown } from './balanceAnswer.ts'
import { type FittedHouse, fittedHouse, type OnProgress } from './balanceMaking.ts'
import { needAnswer } from './balanceNeed.ts'
import { heldFor, holdsBack, partsAsked } from './whatIfHolds.ts'

/** A remedy as it is asked; what is left out is taken from its kind. */
export interface AskedRemedy extends Remedy {
  parts?: WorkKind[]
  details?: {
    setRhPct?: number
    ratedLPerDay?: number
    ratingBasis?: RatingBasis
    /** 0 to 1. */
    coverShareAfter?: number
    fanM3PerHour?: number
    /** Efficiency on the label's test [L/kWh]. */
    litersPerKwh?: number
  }
}

export interface WhatIfAsked {
  remedies: readonly AskedRemedy[]
  /** Weather of a typical year; the record's own when null. Its rain may be unknown. */
  year: (Omit<TypicalYear, 'rainMm'> & { name: string; rainMm: Float64Array | null }) | null
  /** Surface to count condensation on; when left out the first recorded in the space whose temperature is known. */
  coldSurface?: ColdSurface | null
  /** Price of electricity [$/kWh]. */
  pricePerKwh?: number
}

export interface WhatIfRemedy extends AskedRemedy {
  held: { reason: string } | null
}

interface BothSides<V> {
  asIs: V | null
  after: V | null
}
type CondensationTold<V> = BalanceUnknown | { outcome: 'told'; surface: string; hours: Compared<V> }

export interface WhatIfTold {
  outcome: 'told'
  remedies: WhatIfRemedy[]
  /** Set when any remedy is held: nothing of the set may be quoted before. */
  held: { reason: string } | null
  weather: 'the record' | 'a typical year'
  /** File of the typical year. */
  yearName: string | null
  targetRhPct: number
  /** Over what hours, liters and kWh are counted. */
  period: WhatIfPeriod
  humidityRatioGKg: Compared<Estimate>
  vaporPressurePa: Compared<Estimate>
  rhPct: Compared<Estimate>
  tempC: Compared<Estimate>
  hoursOver80Share: Compared<Estimate>
  woodMcPct: Compared<Estimate>
  /** What this weather grows from 0: at its end, and the highest. */
  moldIndex: { end: Compared<Estimate>; max: Compared<Estimate> }
  condensation: CondensationTold<Estimate>
  /** What a dehumidifier does; null where none runs. */
  machine: BothSides<MachineAmounts<Estimate>>
  /** Its electricity over the period [$]; null without a price, too. */
  costs: BothSides<Estimate>
  /** Kinds that stand already: what they did here is kept. */
  kept: WorkKind[]
  need: {
    asIs: BalanceNeed
    after: BalanceNeed
    /** What the remedies take off a hard day; null where hard days were not seen. */
    savesLPerDay: Estimate | null
  }
  assumptions: string[]
}

export type WhatIfAnswer = WhatIfTold | BalanceUnknown

/** Rain falls at the record's mean where the year's file does not know it. */
const RAIN_NOT_IN_YEAR = 'The file of the typical year holds no usable rain: the mean rain of the record was used.'

type WhatIfThresholds = Pick<Thresholds, 'radonActPciL' | 'moldClass' | 'moldDecline'>

/**
 * Fits the house and asks; seconds to a minute.
 * @throws RangeError for columns of a typical year that differ in length, or a cold surface without a temperature
 */
export function answerWhatIf(
  house: StudiedHouse,
  asked: WhatIfAsked,
  thresholds: WhatIfThresholds,
  onProgress: OnProgress = () => {},
): WhatIfAnswer {
  const fitted = fittedHouse(house, (share) => onProgress(0.8 * share, 'fitting the house'))
  if ('outcome' in fitted) return fitted
  onProgress(0.8, 'running the house with and without')
  const steps = answerSteps(house, fitted, asked, thresholds)
  for (;;) {
    const step = steps.next()
    if (step.done) return step.value
  }
}

/** The same for a house that is fitted already, pausing all along; about half a second. Errors as `answerWhatIf`. */
export function* answerSteps(
  house: StudiedHouse,
  fitted: FittedHouse,
  asked: WhatIfAsked,
  thresholds: WhatIfThresholds,
): Generator<undefined, WhatIfTold> {
  const { model, floorAreaM2 } = fitted
  const { remedies, year } = asked
  const answer = yield* whatIfSteps(
    model,
    remedies,
    weatherOf(asked, fitted),
    optionsOf(house, fitted, asked, thresholds),
  )
  const holds = remedies.map((remedy) => holdsBack(house, remedy, thresholds))
  const { asIs, after, savesLPerDay } = answer.need
  return {
    ...answer,
    outcome: 'told',
    remedies: remedies.map((remedy, i) => ({ ...remedy, held: heldFor(holds[i]!) })),
    held: heldFor(holds.flat()),
    yearName: year?.name ?? null,
    targetRhPct: model.record.targetRhPct,
    condensation: condensationAnswer(answer.condensation),
    costs: costsOf(answer.machine, asked, ({ low, mid, high }, price) => ({
      low: low * price,
      mid: mid * price,
      high: high * price,
    })),
    need: { asIs: needAnswer(asIs, floorAreaM2), after: needAnswer(after, floorAreaM2), savesLPerDay },
    assumptions: [
      ...answer.assumptions,
      ...(year?.rainMm === null ? [RAIN_NOT_IN_YEAR] : []),
      ...(answer.machine.asIs === null ? remedies.flatMap(machineAssumed) : []),
    ],
  }
}

/** The middle alone, for a slider that moves: some milliseconds, without intervals and need. */
export interface WhatIfMiddleTold {
  outcome: 'middle'
  held: { reason: string } | null
  period: WhatIfPeriod
  vaporPressurePa: Compared<number>
  rhPct: Compared<number>
  tempC: Compared<number>
  hoursOver80Share: Compared<number>
  woodMcPct: Compared<number>
  moldIndexEnd: Compared<number>
  condensation: CondensationTold<number>
  machine: BothSides<MachineAmounts<number>>
  costs: BothSides<number>
}

export function answerMiddle(
  house: StudiedHouse,
  fitted: FittedHouse,
  asked: WhatIfAsked,
  thresholds: WhatIfThresholds,
): WhatIfMiddleTold {
  const options = optionsOf(house, fitted, asked, thresholds)
  const middle = whatIfMiddle(fitted.model, asked.remedies, weatherOf(asked, fitted), options)
  const { period, vaporPressurePa, rhPct, tempC, hoursOver80Share, woodMcPct, moldIndex, machine } = middle
  return {
    outcome: 'middle',
    held: heldFor(asked.remedies.flatMap((remedy) => holdsBack(house, remedy, thresholds))),
    period,
    vaporPressurePa,
    rhPct,
    tempC,
    hoursOver80Share,
    woodMcPct,
    moldIndexEnd: moldIndex.end,
    condensation: condensationAnswer(middle.condensation),
    machine,
    costs: costsOf(machine, asked, (kwh, price) => kwh * price),
  }
}

function weatherOf({ year }: WhatIfAsked, { model }: FittedHouse): TypicalYear | null {
  if (year === null) return null
  return { ...year, rainMm: year.rainMm ?? new Float64Array(year.tempC.length).fill(model.prepared.meanRainMm) }
}

function optionsOf(
  house: StudiedHouse,
  { space }: FittedHouse,
  { coldSurface }: WhatIfAsked,
  { moldClass, moldDecline }: WhatIfThresholds,
): WhatIfOptions {
  return { coldSurface: coldSurface ?? recordedSurface(house, space), moldClass, moldDecline }
}

function costsOf<V>(
  { asIs, after }: BothSides<MachineAmounts<V>>,
  { pricePerKwh }: WhatIfAsked,
  cost: (kwh: V, price: number) => V,
): BothSides<V> {
  const of = (amounts: MachineAmounts<V> | null) =>
    amounts === null || pricePerKwh === undefined ? null : cost(amounts.kwh, pricePerKwh)
  return { asIs: of(asIs), after: of(after) }
}

function recordedSurface({ tree }: StudiedHouse, spaceKey: string): ColdSurface | null {
  const spots = tree.spaces.find(({ key }) => key === spaceKey)?.spots ?? []
  const known = spots.find(({ coldSurface }) => (coldSurface?.tempC ?? coldSurface?.insideTempC) !== undefined)
  return known?.coldSurface ?? null
}

function condensationAnswer<V>(found: WhatIfCondensation<V>): CondensationTold<V> {
  if ('cannotTell' in found) return { outcome: 'cannot tell', reason: found.cannotTell, missing: [found.needs] }
  return { outcome: 'told', ...found }
}

/** What a new machine is taken for; one that runs already keeps what is not said of it. */
function machineAssumed(remedy: AskedRemedy): string[] {
  if (!partsAsked(remedy).includes('dehumidifier')) return []
  const { ratedLPerDay, ratingBasis, setRhPct } = remedy.details ?? {}
  const assumed = [
    ...(ratedLPerDay === undefined ? [`${USUAL_RATED_L_PER_DAY} L a day`] : []),
    ...(ratingBasis === undefined ? ['rated at 80 °F / 60 %'] : []),
    ...(setRhPct === undefined ? [`set at ${USUAL_SET_RH_PCT} % RH`] : []),
  ]
  return assumed.length === 0 ? [] : [`Not said of the dehumidifier: ${assumed.join(', ')}.`]
}
