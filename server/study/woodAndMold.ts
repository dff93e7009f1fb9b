/** What wood and mold make of the air: estimated wood moisture, mold index and the 30-day surface line, spot by spot. */
import type { Thresholds } from '../advice/defaults.ts'
import { HOUR_MS } from '../moisture/input.ts'
import type { ObservedSpot } from '../moisture/observed.ts'
import { knownHours, localDays } from '../moisture/observed.ts'
import {
  moldBand,
  type ThirtyDay,
  thirtyDaySurface,
  type WoodEstimate,
  woodMoisture,
  woodWatchLines,
} from '../moisture/risk.ts'
import { spaceKinds } from '../moisture/spaceKind.ts'
import { localDateText } from '../series/localTime.ts'
import { cannotTell, type Finding, type FindingNumber, type FindingSubject } from './finding.ts'
import type { WoodData } from './findingData.ts'
import { type ObservedSpace, observedSpaces } from './observedHouse.ts'
import type { StudiedHouse } from './studiedHouse.ts'

const QUESTION = 'wood and mold'

interface Asked {
  house: StudiedHouse
  one: ObservedSpace
  spot: ObservedSpot
  name: string
  subject: FindingSubject
  held: Thresholds
}

export function woodAndMold(house: StudiedHouse, held: Thresholds): Finding[] {
  const spaces = observedSpaces(house)
  if (spaces.length === 0) {
    return [cannotTell(QUESTION, {}, 'How wet the wood is, is not known.', ['a logger placed in a space'])]
  }
  return spaces.flatMap((one) =>
    one.observed.spots.flatMap((spot, s) => {
      const subject = { space: one.space.key, spot: spot.key }
      const asked: Asked = { house, one, spot, name: one.spots[s]!.name, subject, held }
      if (knownHours(spot.vaporPressurePa, 0, spot.vaporPressurePa.length) === 0) return [nothingKnown(asked)]
      return [wood(asked), mold(asked), surface(asked)]
    }),
  )
}

function nothingKnown({ name, subject }: Asked): Finding {
  const data: WoodData = { topic: 'wood moisture', state: 'cannot tell' }
  const sentence = `${name}: temperature and humidity were not measured, so wood and mold cannot be estimated.`
  return cannotTell(QUESTION, subject, sentence, [`temperature and RH at ${name}`], { data })
}

const dateAt = ({ house }: Asked, h: number) => localDateText(house.grid.from + h * HOUR_MS, house.tree.timeZone)

function wood(asked: Asked): Finding {
  const { house, one, spot, name, subject, held } = asked
  const estimate = woodMoisture(spot, house.grid.from, one.pins[spot.key] ?? [], held)
  const last = estimate.midPct.findLastIndex((value) => !Number.isNaN(value))
  const most = estimate.midPct.reduce((best, value, h) => (value > (estimate.midPct[best] ?? -1) ? h : best), last)
  const [decay, fastener] = woodWatchLines(estimate, held)
  const numbers: Record<string, FindingNumber> = {
    now: woodNumber(estimate, last),
    most: woodNumber(estimate, most),
    fastenerLine: { value: held.woodFastenerPct, unit: '%' },
    decayLine: { value: held.woodDecayWatchPct, unit: '%' },
    overFastener: { value: fastener!.crossed.days, unit: 'days' },
    overDecay: { value: woodDaysOver(estimate, held.woodDecayWatchPct), unit: 'days' },
  }
  const state = decay!.state === 'clear' ? fastener!.state : decay!.state
  const data: WoodData = { topic: 'wood moisture', state }
  return {
    question: QUESTION,
    subject,
    sentence: `${name}: wood {now} at the end of the record, {most} at most (${dateAt(asked, most)}). Over {fastenerLine}, where fasteners in treated wood corrode, for {overFastener}; over {decayLine}, the watch line for decay, for {overDecay}.`,
    numbers,
    evidenceFor: [basisOf(asked, estimate)],
    evidenceAgainst: ['Wood that got wet by liquid water is wetter than this estimate.'],
    certainty: estimate.measuredHours > 0 || estimate.resetAt.length > 0 ? 'likely' : 'weak',
    wouldChangeIt: 'Wood read by pins at this spot.',
    data,
  }
}

function basisOf({ house }: Asked, { measuredHours, resetAt }: WoodEstimate): string {
  if (measuredHours > 0) return 'The pins at this spot log it; between them it is estimated from the air.'
  const dates = resetAt.map((at) => localDateText(at, house.tree.timeZone))
  if (dates.length === 0) return 'Estimated from the air alone: nobody has read the wood here by pins.'
  return `Estimated from the air, set to the pins read by hand ${dates.length === 1 ? 'on' : 'last on'} ${dates.at(-1)}.`
}

function woodNumber({ midPct, lowPct, highPct }: WoodEstimate, h: number): FindingNumber {
  const interval = 'usual error of an estimate'
  return { value: midPct[h]!, low: lowPct[h]!, high: highPct[h]!, unit: '% of dry mass', interval }
}

const woodDaysOver = ({ midPct }: WoodEstimate, linePct: number): number =>
  midPct.reduce((hours, value) => (value > linePct ? hours + 1 : hours), 0) / 24

function mold({ spot, name, subject, held }: Asked): Finding {
  const band = moldBand(spot, held)
  const measured = band.measuredSurfaceHours > 0
  const numbers: Record<string, FindingNumber> = {
    now: { value: band.now.low, low: band.now.low, high: band.now.high, unit: 'index' },
    most: { value: band.max.low, low: band.max.low, high: band.max.high, unit: 'index' },
    colder: { value: held.surfaceColderK, unit: 'K' },
    missing: { value: band.missingHours, unit: 'h' },
  }
  for (const number of [numbers.now!, numbers.most!]) number.interval = 'surface as warm as the air, and a colder one'
  const state: WoodData['state'] = band.now.low >= held.moldWetIndex ? 'act' : band.max.high >= 1 ? 'watch' : 'clear'
  const data: WoodData = { topic: 'mold index', state }
  return {
    question: QUESTION,
    subject,
    sentence: `${name}: mold index {now} now, {most} at most in this record (1: seen under a microscope, 3: seen by eye, 6: full cover).`,
    numbers,
    evidenceFor: [
      measured
        ? 'From the measured surface.'
        : 'The first number is for a surface as warm as the air, the last for one {colder} colder.',
    ],
    evidenceAgainst: [
      'It says what this air would grow from nothing, not what is there: look.',
      ...(band.missingHours > 0 ? ['Hours not known ({missing}) grew nothing in it.'] : []),
    ],
    certainty: measured ? 'likely' : 'weak',
    wouldChangeIt: 'A surface probe on the coldest framing, and a look.',
    data,
  }
}

function surface(asked: Asked): Finding {
  const { house, one, spot, name, subject, held } = asked
  const days = localDays(one.observed)
  const thirty = thirtyDaySurface(spot, days, held)
  const known = thirty.flatMap((value, d) => (value.kind === 'known' && value.warmEnough ? [{ ...value, d }] : []))
  const last = known.at(-1)
  if (last === undefined) {
    const ended = thirty.findLast((value): value is ThirtyDay & { kind: 'cannot tell' } => value.kind === 'cannot tell')
    const sentence = `${name}: RH at a surface over ${held.surfaceMeanDays} days cannot be told.${ended ? ` ${ended.reason}` : ' It was always too cold for mold.'}`
    const data: WoodData = { topic: '30-day surface', state: 'cannot tell' }
    return cannotTell(
      QUESTION,
      subject,
      sentence,
      [`${held.surfaceMinCompleteDays} complete days at growing temperature`],
      { data },
    )
  }
  const kinds = spaceKinds(one.space, house.works)
  const lineAt = (d: number) => (kinds.at(days[d]!.at) === 'vented' ? held.surfaceDampPct : held.surfaceDampClosedPct)
  const most = known.reduce((a, b) => (b.rhPct.low > a.rhPct.low ? b : a))
  const over = known.filter(({ d, rhPct }) => rhPct.low > lineAt(d)).length
  const perhaps = known.filter(({ d, rhPct }) => rhPct.high > lineAt(d)).length
  const rh = ({ rhPct: { low, high } }: { rhPct: { low: number; high: number } }): FindingNumber => {
    return { value: low, low, high, unit: '%', interval: 'surface as warm as the air, and a colder one' }
  }
  const numbers: Record<string, FindingNumber> = {
    now: rh(last),
    most: rh(most),
    over: { value: over, unit: 'days' },
    perhaps: { value: perhaps, unit: 'days' },
    line: { value: lineAt(last.d), unit: '%' },
    colder: { value: held.surfaceColderK, unit: 'K' },
  }
  const state: WoodData['state'] = last.rhPct.low > lineAt(last.d) ? 'act' : perhaps > 0 ? 'watch' : 'clear'
  const data: WoodData = { topic: '30-day surface', state }
  const date = localDateText(days[most.d]!.at, house.tree.timeZone)
  return {
    question: QUESTION,
    subject,
    sentence: `${name}: surfaces, by their ${held.surfaceMeanDays}-day mean RH: {most} at most (${date}), {now} at the end; over the mold line ({line} now) on {over}.`,
    numbers,
    evidenceFor: [
      'The last number is for a surface {colder} colder than the air; there the line was crossed on {perhaps}.',
    ],
    evidenceAgainst: [],
    certainty: 'likely',
    wouldChangeIt: 'A surface probe on the coldest framing.',
    data,
  }
}
