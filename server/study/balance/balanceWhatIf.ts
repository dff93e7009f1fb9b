/**
 * What a set of remedies would change in a house. A remedy that a safety fact holds back is computed like any other, and
 * marked as held with the sentence that says what to record first or who decides.
 */
import type { Thresholds } from '../../advice/defaults.ts'
import { type Remedy as AdviceRemedy, type Hold, heldSentence, holdsOn } from '../../advice/holds.ts'
import type { ColdSurface } from '../../moisture/condensation.ts'
import type { Estimate, WorkKind } from '../../moisture/input.ts'
import { USUAL_RATED_L_PER_DAY, USUAL_SET_RH_PCT } from '../../moisture/machine.ts'
import {
  type Compared,
  type MachineAmounts,
  type Remedy,
  type TypicalYear,
  type WhatIf,
  type WhatIfPeriod,
  whatIf,
  whatIfMiddle,
} from '../../moisture/whatif.ts'
import { partsOf } from '../../moisture/works.ts'
import type { RatingBasis } from '../../physics/dehumidifier.ts'
import { safetyFactsOf } from '../safetyFacts.ts'
import type { StudiedHouse } from '../studiedHouse.ts'
import type { BalanceNeed, BalanceUnknown } from './balanceAnswer.ts'
import { type FittedHouse, fittedHouse, type OnProgress } from './balanceMaking.ts'
import { needAnswer } from './balanceNeed.ts'

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
}

export interface WhatIfRemedy extends AskedRemedy {
  held: { reason: string } | null
}

export interface WhatIfTold {
  outcome: 'told'
  remedies: WhatIfRemedy[]
  /** Set when any remedy is held: nothing of the set may be quoted before. */
  held: { reason: string } | null
  weather: WhatIf['weather']
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
  condensation: BalanceUnknown | { outcome: 'told'; surface: string; hours: Compared<Estimate> }
  /** What a dehumidifier does; null where none runs. */
  machine: { asIs: MachineAmounts<Estimate> | null; after: MachineAmounts<Estimate> | null }
  /** Kinds that stand already: what they did here is kept. */
  kept: WorkKind[]
  need: { asIs: BalanceNeed; after: BalanceNeed }
  assumptions: string[]
}

export type WhatIfAnswer = WhatIfTold | BalanceUnknown

/** Closing the space or pulling air out of it; what else is done inside changes nothing about draft, radon or floods. */
const TIGHTENS: Partial<Record<WorkKind, AdviceRemedy>> = {
  'vents sealed': 'close the space',
  encapsulation: 'close the space',
  'vent fan': 'vent fan',
}
/** Holds on the remedy itself; those on entering and digging are for the visit and hold every quote alike. */
const TOPICS: readonly Hold['topic'][] = ['flood zone', 'combustion', 'radon']

/** Rain falls at the record's mean where the year's file does not know it. */
const RAIN_NOT_IN_YEAR = 'The file of the typical year holds no usable rain: the mean rain of the record was used.'

type WhatIfThresholds = Pick<Thresholds, 'radonActPciL' | 'moldClass' | 'moldDecline'>

/**
 * Fits the house and asks; seconds to a minute.
 * @throws RangeError for columns of a typical year that differ in length, or a cold surface without a temperature
 */
export function answerWhatIf(
  house: StudiedHouse,
  { remedies, year, coldSurface: asked = null }: WhatIfAsked,
  thresholds: WhatIfThresholds,
  onProgress: OnProgress = () => {},
): WhatIfAnswer {
  const fitted = fittedHouse(house, (share) => onProgress(0.8 * share, 'fitting the house'))
  if ('outcome' in fitted) return fitted
  onProgress(0.8, 'running the house with and without')
  return answerFitted(house, fitted, { remedies, year, coldSurface: asked }, thresholds)
}

/** The same for a house that is fitted already; about half a second. Errors as `answerWhatIf`. */
export function answerFitted(
  house: StudiedHouse,
  { model, floorAreaM2, space }: FittedHouse,
  { remedies, year, coldSurface: asked = null }: WhatIfAsked,
  thresholds: WhatIfThresholds,
): WhatIfTold {
  const rainMm = year && (year.rainMm ?? new Float64Array(year.tempC.length).fill(model.prepared.meanRainMm))
  const { moldClass, moldDecline } = thresholds
  const coldSurface = asked ?? recordedSurface(house, space)
  const answer = whatIf(model, remedies, year && { ...year, rainMm: rainMm! }, {
    coldSurface,
    moldClass,
    moldDecline,
  })
  const holds = remedies.map((remedy) => holdsBack(house, remedy, thresholds))
  return {
    ...answer,
    outcome: 'told',
    remedies: remedies.map((remedy, i) => ({ ...remedy, held: heldFor(holds[i]!) })),
    held: heldFor(holds.flat()),
    yearName: year?.name ?? null,
    targetRhPct: model.record.targetRhPct,
    condensation: condensationAnswer(answer.condensation),
    need: { asIs: needAnswer(answer.need.asIs, floorAreaM2), after: needAnswer(answer.need.after, floorAreaM2) },
    assumptions: [
      ...answer.assumptions,
      ...(year?.rainMm === null ? [RAIN_NOT_IN_YEAR] : []),
      ...(answer.machine.asIs === null ? remedies.flatMap(machineAssumed) : []),
    ],
  }
}

/** The middle alone, for a slider that moves: a few milliseconds, without intervals and need. */
export interface WhatIfMiddleTold {
  outcome: 'middle'
  held: { reason: string } | null
  vaporPressurePa: Compared<number>
  rhPct: Compared<number>
  tempC: Compared<number>
  woodMcPct: Compared<number>
  moldIndexEnd: Compared<number>
}

export function answerMiddle(
  house: StudiedHouse,
  { model, space }: FittedHouse,
  { remedies, coldSurface = null }: WhatIfAsked,
  thresholds: WhatIfThresholds,
): WhatIfMiddleTold {
  const { moldClass, moldDecline } = thresholds
  const options = { coldSurface: coldSurface ?? recordedSurface(house, space), moldClass, moldDecline }
  const { vaporPressurePa, rhPct, tempC, woodMcPct, moldIndex } = whatIfMiddle(model, remedies, null, options)
  const held = heldFor(remedies.flatMap((remedy) => holdsBack(house, remedy, thresholds)))
  return { outcome: 'middle', held, vaporPressurePa, rhPct, tempC, woodMcPct, moldIndexEnd: moldIndex.end }
}

const partsAsked = (remedy: AskedRemedy): WorkKind[] => partsOf({ key: 'asked', from: 0, ...remedy })

function recordedSurface({ tree }: StudiedHouse, spaceKey: string): ColdSurface | null {
  const spots = tree.spaces.find(({ key }) => key === spaceKey)?.spots ?? []
  const known = spots.find(({ coldSurface }) => (coldSurface?.tempC ?? coldSurface?.insideTempC) !== undefined)
  return known?.coldSurface ?? null
}

function condensationAnswer(found: WhatIf['condensation']): WhatIfTold['condensation'] {
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

function holdsBack({ tree }: StudiedHouse, remedy: AskedRemedy, thresholds: Pick<Thresholds, 'radonActPciL'>): Hold[] {
  const facts = safetyFactsOf(tree)
  return [remedy.kind, ...partsAsked(remedy)]
    .flatMap((kind) => TIGHTENS[kind] ?? [])
    .flatMap((one) => holdsOn(one, facts, thresholds))
    .filter(({ topic }) => TOPICS.includes(topic))
}

/** Each topic is said once. */
function heldFor(holds: readonly Hold[]): WhatIfRemedy['held'] {
  const reason = heldSentence([...new Map(holds.map((hold) => [hold.topic, hold])).values()])
  return reason === null ? null : { reason }
}
