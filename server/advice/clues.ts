/**
 * Signatures of the sources as a table: one row says what speaks for or against one source, and when. Signatures are
 * common practice of the trade; the few with a published source say so. Suspicion only: shares are the model's answer.
 */
import type { Coupling, ExcessByWeather } from '../moisture/coupling.ts'
import type { Liquid } from '../moisture/rainResponse.ts'
import type { Thresholds } from './defaults.ts'

export const SOURCES = [
  'rain or ground water',
  'leak',
  'ground',
  'outdoor air',
  'cold surface or duct',
  'drying',
  'house air',
] as const
export type Source = (typeof SOURCES)[number]

export type Trend = 'falling' | 'steady' | 'rising' | 'cannot tell'

/** What is known of a house when the question is asked; "not looked at" and null are ordinary answers. */
export interface HouseFindings {
  sensorsChecked: boolean
  baseline: { enough: boolean; needs: string }
  liquid: Liquid
  /** Of the spot that answers rain most; null when rain or outdoor air is not known. */
  rain: { measured: number; clear: number; perInchPa: number | null; unknownRainHours: number } | null
  excess: ExcessByWeather
  coupling: Coupling | null
  coverShare: number | null
  downspouts: 'end at the wall' | 'some led away' | 'led away' | 'not looked at'
  floor: 'dry' | 'damp' | 'wet' | 'not looked at'
  /** Share of humid hours in which the outdoor dew point stood at or above the coldest surface; null: not known. */
  outdoorCondensingShare: number | null
  /** A step up that was looked for apart. `rainNear` null: rain not known around it. */
  step: { risePa: number; leadingSpot: string | null; rainNear: boolean | null } | 'none' | 'not looked for'
  coolingDips: 'yes' | 'no' | 'not known'
  /** Days on which a named cold surface was wet for long; null: no such surface known. */
  condensationDays: number | null
  meanRhPct: number | null
  weeksSinceWork: number | null
  excessTrend: Trend
  woodTrend: Trend
  houseExhausts: 'all end outdoors' | 'some end below' | 'not looked at'
  warmPulses: 'yes' | 'no' | 'not looked for'
}

export interface Clue {
  source: Source
  speaks: 'for' | 'against'
  weight: 'strong' | 'some'
  /** The clue in words when it holds, else null. */
  when: (found: HouseFindings, held: Thresholds) => string | null
}

const pa = (value: number) => `${Math.round(value)} Pa`
const limitOf = (found: HouseFindings, held: Thresholds) =>
  found.sensorsChecked ? held.sensorLimitCheckedPa : held.sensorLimitPa
const covered = (found: HouseFindings, held: Thresholds) =>
  found.coverShare === null ? null : found.coverShare >= held.coverGoodShare
const coldExcess = (found: HouseFindings) => found.excess.coldDry
const coldAbove = (found: HouseFindings, held: Thresholds) => {
  const cold = coldExcess(found)
  return cold !== null && cold.mid > limitOf(found, held) && cold.low > 0
    ? `On ${cold.days} cold dry days the air held ${pa(cold.mid)} (${pa(cold.low)} to ${pa(cold.high)}) more than outdoor air`
    : null
}
const say = (holds: boolean | null, words: () => string): string | null => (holds === true ? words() : null)

type Rain = HouseFindings['rain']
const rainClear = (rain: Rain, held: Thresholds) =>
  rain !== null && rain.clear >= held.stormsClearNeeded && rain.clear >= held.stormsClearShare * rain.measured
const rainUnclear = (rain: Rain, held: Thresholds) =>
  rain !== null && rain.measured >= held.diagnosisStorms && rain.clear <= held.stormsUnclearShare * rain.measured
const rainWords = ({ clear, measured, perInchPa }: NonNullable<Rain>) =>
  `Vapor rose clearly after ${clear} of ${measured} rains${perInchPa === null ? '' : `, by ${pa(perInchPa)} per inch in the middle of them`}.`

const clue = (source: Source, speaks: Clue['speaks'], weight: Clue['weight'], when: Clue['when']): Clue => ({
  source,
  speaks,
  weight,
  when,
})

export const CLUES: readonly Clue[] = [
  clue('rain or ground water', 'for', 'strong', ({ liquid }) => say(liquid === 'seen', () => 'Liquid water was seen.')),
  clue('rain or ground water', 'for', 'strong', ({ floor }) =>
    say(floor === 'wet', () => 'The survey found the floor wet.'),
  ),
  clue('rain or ground water', 'for', 'strong', ({ rain }, held) => say(rainClear(rain, held), () => rainWords(rain!))),
  clue('rain or ground water', 'for', 'some', ({ rain }, held) =>
    say(
      !rainClear(rain, held) && rain !== null && rain.clear > held.stormsUnclearShare * rain.measured,
      () => `${rainWords(rain!)} That is too few to be sure: fronts change the air too.`,
    ),
  ),
  clue('rain or ground water', 'for', 'some', (found, held) =>
    say(
      coldAbove(found, held) !== null && covered(found, held) === true && found.downspouts === 'end at the wall',
      () =>
        `${coldAbove(found, held)}, although the ground is covered, and downspouts end at the wall: soaked ground stays wet for weeks and need not rise after each rain.`,
    ),
  ),
  // Never strong: ground that stays soaked answers no single rain.
  clue('rain or ground water', 'against', 'some', ({ rain, liquid }, held) =>
    say(
      rainUnclear(rain, held),
      () =>
        `${rainWords(rain!)} ${liquid === 'not seen' ? 'The water sensor stayed dry.' : 'Liquid was not measured.'}`,
    ),
  ),

  clue('leak', 'for', 'strong', ({ step }) =>
    say(typeof step === 'object' && step.rainNear === false && step.leadingSpot !== null, () => {
      const { risePa, leadingSpot } = step as { risePa: number; leadingSpot: string }
      return `Vapor stepped up by ${pa(risePa)} at one time without rain, first at ${leadingSpot}.`
    }),
  ),
  clue('leak', 'for', 'some', ({ step }) =>
    say(
      typeof step === 'object' && step.rainNear !== true && (step.leadingSpot === null || step.rainNear === null),
      () => 'Vapor stepped up at one time; whether rain did it, or which spot led, is not known.',
    ),
  ),
  clue('leak', 'for', 'some', (found, held) =>
    say(
      coldAbove(found, held) !== null && covered(found, held) === true && found.floor === 'dry',
      () => `${coldAbove(found, held)}, although the ground is covered and dry.`,
    ),
  ),
  clue('leak', 'against', 'some', ({ step }) => say(step === 'none', () => 'No step was found in the record.')),
  clue('leak', 'against', 'some', ({ step }) =>
    say(
      typeof step === 'object' && step.rainNear === true,
      () => 'The step came with rain, so it is not blind to weather.',
    ),
  ),

  clue('ground', 'for', 'strong', (found, held) =>
    say(
      coldAbove(found, held) !== null && covered(found, held) === false,
      () => `${coldAbove(found, held)}, and the ground is not well covered.`,
    ),
  ),
  clue('ground', 'for', 'some', (found, held) =>
    say(
      coldAbove(found, held) !== null && covered(found, held) === null,
      () => `${coldAbove(found, held)}; whether the ground is covered was not recorded.`,
    ),
  ),
  clue('ground', 'for', 'some', (found, held) =>
    say(
      covered(found, held) === false && coldExcess(found) === null,
      () => 'The ground is not well covered, and no cold dry spell has tested it yet.',
    ),
  ),
  clue('ground', 'against', 'strong', (found, held) => {
    const cold = coldExcess(found)
    return say(
      cold !== null && cold.high < limitOf(found, held),
      () =>
        `On ${cold!.days} cold dry days the air held no more than outdoor air (${pa(cold!.mid)}, at most ${pa(cold!.high)}); wet ground adds vapor in all weather, though strong airing thins it.`,
    )
  }),
  clue('ground', 'against', 'some', (found, held) =>
    say(covered(found, held), () => `The ground is covered (${Math.round(100 * found.coverShare!)} %).`),
  ),

  clue('outdoor air', 'for', 'strong', ({ coupling, outdoorCondensingShare }, held) =>
    say(
      coupling?.verdict === 'follows outdoor air' && (outdoorCondensingShare ?? 0) >= held.outdoorCondensingShare,
      () =>
        `${sentenceOf(coupling)} Outdoor dew point stood above the coldest surface in ${Math.round(100 * outdoorCondensingShare!)} % of the humid hours.`,
    ),
  ),
  clue('outdoor air', 'for', 'some', ({ coupling, outdoorCondensingShare }, held) =>
    say(
      coupling?.verdict === 'follows outdoor air' &&
        (outdoorCondensingShare === null || outdoorCondensingShare < held.outdoorCondensingShare),
      () =>
        `${sentenceOf(coupling)} ${outdoorCondensingShare === null ? 'The coldest surface is not known.' : 'It was seldom moist enough to wet a surface here.'}`,
    ),
  ),
  clue('outdoor air', 'against', 'strong', ({ coupling }) =>
    say(
      coupling?.verdict === 'moister than outdoor air',
      () => `${sentenceOf(coupling)} Outdoor air can only bring what it has.`,
    ),
  ),
  clue('outdoor air', 'against', 'some', ({ coupling }) =>
    say(coupling?.verdict === 'goes its own way', () => sentenceOf(coupling)),
  ),

  clue('cold surface or duct', 'for', 'strong', ({ condensationDays }) =>
    say((condensationDays ?? 0) > 0, () => `A cold surface was wet for long on ${condensationDays} days.`),
  ),
  clue('cold surface or duct', 'for', 'some', (found, held) =>
    say(
      found.coolingDips === 'yes' &&
        (found.meanRhPct ?? 0) > held.surfaceDampPct &&
        (found.excess.all?.mid ?? Number.NaN) <= limitOf(found, held),
      () => 'The space turns cold while cooling runs and RH is high, but it holds no more water than outdoor air.',
    ),
  ),
  clue('cold surface or duct', 'against', 'some', ({ coolingDips, condensationDays }) =>
    say(
      coolingDips === 'no' && condensationDays === 0,
      () => 'No temperature dips with cooling and no condensation on the surface watched.',
    ),
  ),

  clue('drying', 'for', 'strong', ({ weeksSinceWork, excessTrend, woodTrend, rain }, held) =>
    say(
      weeksSinceWork !== null &&
        weeksSinceWork <= held.dryingWeeks &&
        excessTrend === 'falling' &&
        woodTrend === 'falling' &&
        (rain?.clear ?? 1) <= held.stormsUnclearShare * (rain?.measured ?? 0),
      () =>
        `Excess and wood have fallen in the ${Math.round(weeksSinceWork!)} weeks since the work, with no rise after rain.`,
    ),
  ),
  clue('drying', 'for', 'some', ({ weeksSinceWork, excessTrend, woodTrend }, held) =>
    say(
      weeksSinceWork !== null &&
        weeksSinceWork <= held.dryingWeeks &&
        (excessTrend === 'falling') !== (woodTrend === 'falling'),
      () =>
        `${excessTrend === 'falling' ? 'Excess' : 'Wood'} falls since the work; the other does not, or is not known.`,
    ),
  ),
  clue('drying', 'against', 'strong', ({ woodTrend }) => say(woodTrend === 'rising', () => 'Wood is getting moister.')),
  clue('drying', 'against', 'some', ({ weeksSinceWork }) =>
    say(weeksSinceWork === null, () => 'No work has been done that would start a drying.'),
  ),

  clue('house air', 'for', 'strong', ({ houseExhausts }) =>
    say(houseExhausts === 'some end below', () => 'A dryer, bath or kitchen exhaust ends in the space.'),
  ),
  clue('house air', 'for', 'some', ({ warmPulses }) =>
    say(warmPulses === 'yes', () => 'Short warm moist pulses come with use of the house.'),
  ),
  clue('house air', 'for', 'some', (found, held) =>
    say(
      coldAbove(found, held) !== null && covered(found, held) === true && found.houseExhausts !== 'all end outdoors',
      () => `${coldAbove(found, held)}, although the ground is covered; where the exhausts end was not settled.`,
    ),
  ),
  clue('house air', 'against', 'some', ({ houseExhausts, warmPulses }) =>
    say(
      houseExhausts === 'all end outdoors' && warmPulses === 'no',
      () => 'All exhausts end outdoors and no pulses were found.',
    ),
  ),
]

function sentenceOf(coupling: Coupling | null): string {
  return coupling === null || coupling.verdict === 'cannot tell' ? '' : coupling.sentence
}
