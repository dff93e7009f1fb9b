/** What did each work change, on days before and after it that had the same weather? A picture beside the balance. */
import { saturationVaporPressurePa } from '../physics/air.ts'
import { dewPointCInto } from '../physics/airColumns.ts'
import { dailyMeans, dayOfYear, type LocalDay } from '../series/days.ts'
import { HOUR_MS } from '../series/hourly.ts'
import { type ComparedDay, type MatchedEffect, matchedDaysEffect } from '../series/matchedDays.ts'
import type { Period } from '../series/periods.ts'
import { groupLevel, meanOf } from '../series/robust.ts'
import type { SpaceTree } from '../store/houseTree.ts'
import { cannotTell, type Finding, type FindingNumber } from './finding.ts'
import type { WorkData } from './findingData.ts'
import { rainNotKnown } from './rainNotKnown.ts'
import type { StudiedHouse } from './studiedHouse.ts'
import { workWords } from './workWords.ts'

const QUESTION = 'matched days'
const RAIN_HOURS = 72
/** Share of the 72 hours that must be known, and the rain that makes a day wet (0.1 in). Proposals. */
const RAIN_KNOWN_SHARE = 0.9
const WET_MM = 2.5
/** Standard drift of a humidity sensor against another. Proposal, from memory of ordinary data sheets. */
const DRIFT_RH_PCT_A_YEAR = 0.5
const YEAR_MS = 365.25 * 24 * HOUR_MS

export function matchedDays(house: StudiedHouse): Finding[] {
  const spaces = house.tree.spaces.filter(({ role }) => role !== 'outdoor' && role !== 'living')
  const steps = house.periods.slice(1).filter(({ begins }) => begins.length > 0)
  if (steps.length === 0) {
    const missing = ['a work with its date, and readings on both sides of it']
    return [cannotTell(QUESTION, {}, 'No work lies within the record, so there is nothing to compare.', missing)]
  }
  return steps.flatMap((after) => {
    const before = house.periods[house.periods.indexOf(after) - 1]!
    return spaces.map((space) => effectOf(house, space, before, after))
  })
}

function effectOf(house: StudiedHouse, space: SpaceTree, before: Period, after: Period): Finding {
  const works = after.begins
  const subject = { space: space.key, works, period: after.key }
  const data: WorkData = { what: workWords(house, works) }
  const { what } = data
  const spots = house.spots.filter((spot) => spot.space.key === space.key)
  if (!house.outdoor) {
    const sentence = `${space.name}: what ${what} changed cannot be told apart from the weather.`
    return cannotTell(QUESTION, subject, sentence, ['outdoor temperature and humidity, from a logger or a station'], {
      evidenceAgainst: rainNotKnown(house),
      data,
    })
  }
  const outdoorPa = house.outdoor.hours.vaporPressurePa
  const excessPa = groupLevel(spots.map(({ hours }) => hours.vaporPressurePa.map((pa, i) => pa - outdoorPa[i]!)))
  const compared = comparedDays(house, excessPa)
  const daysOf = (from: number, to: number) =>
    compared.filter(({ day }) => day.from >= from && day.to <= to).map(({ value }) => value)
  const early = daysOf(Math.max(before.from, before.dryingTo ?? before.from), before.to)
  const driftPa = sensorDriftPa(
    house,
    spots.map(({ hours }) => hours.tempC),
    before,
    after,
  )
  const settled = matchedDaysEffect(early, daysOf(after.dryingTo ?? after.from, after.to), driftPa)
  const isSettled = settled.changePa !== undefined
  const effect = isSettled ? settled : matchedDaysEffect(early, daysOf(after.from, after.to), driftPa)

  const numbers: Record<string, FindingNumber> = { pairs: { value: effect.pairs.length, unit: 'pairs' } }
  if (effect.changePa !== undefined) {
    const { changePa: value, lowPa: low, highPa: high } = effect
    numbers.change = { value, unit: 'Pa', low, high, interval: '90 % interval' }
  }
  const part = isSettled ? 'after drying' : 'so far, drying included'
  const evidenceFor =
    effect.changePa === undefined ? [] : [`{pairs} of days with the same outdoor dew point, rain and season, ${part}.`]
  const evidenceAgainst = doubts(house, before, after, isSettled, effect)
  if (effect.verdict === 'cannot tell') {
    const range =
      effect.changePa === undefined
        ? ''
        : ' Over {pairs} of such days vapor above outdoors changed by {change}: too wide to say.'
    const sentence = `${space.name}: whether ${what} made it drier cannot be told from days of like weather.${range}`
    return cannotTell(QUESTION, subject, sentence, [effect.needs], {
      numbers,
      evidenceFor,
      evidenceAgainst: effect.changePa === undefined ? [effect.reason, ...evidenceAgainst] : evidenceAgainst,
      data,
    })
  }
  const words = {
    drier: `is drier since ${what}: {change} of vapor against outdoors`,
    wetter: `is wetter since ${what}: {change} of vapor against outdoors`,
    'no clear change': `shows no clear change since ${what}: {change} of vapor against outdoors`,
  }
  return {
    question: QUESTION,
    subject,
    sentence: `${space.name} ${words[effect.verdict]} on days of like weather before and after (${part}).`,
    numbers,
    evidenceFor,
    evidenceAgainst,
    certainty: isSettled ? 'likely' : 'weak',
    wouldChangeIt:
      'More days after the work in the season and weather of the days before it, or a balance that says otherwise.',
    data,
  }
}

function doubts(
  house: StudiedHouse,
  before: Period,
  after: Period,
  isSettled: boolean,
  effect: MatchedEffect,
): string[] {
  const found: string[] = rainNotKnown(house)
  if (after.begins.length > 1) found.push('Several works at once: they are answered for together.')
  if (before.begins.length > 0 || before.ends.length > 0) found.push('The days before it follow another work.')
  if (!isSettled && effect.pairs.length > 0) found.push('The space was still drying on some of these days.')
  if (house.marks.some(({ kind, from, to }) => kind === 'moved' && from < after.to && to > before.from)) {
    found.push('A logger seems to have been moved in this time.')
  }
  found.push('Ground warmth and wind are alike only as far as the season makes them so.')
  return found
}

/** Complete local days with their weather. */
function comparedDays(house: StudiedHouse, excessPa: Float64Array): { day: LocalDay; value: ComparedDay }[] {
  const outdoor = house.outdoor!.hours
  const excess = dailyMeans(house.days, excessPa)
  const outdoorPa = dailyMeans(house.days, outdoor.vaporPressurePa)
  const dewPointC = dewPointCInto(new Float64Array(outdoorPa.length), outdoorPa)
  return house.days.flatMap((day, d) => {
    if (Number.isNaN(excess[d]! + dewPointC[d]!)) return []
    const value: ComparedDay = {
      date: day.date,
      dayNumber: Math.round(Date.parse(`${day.date}T00:00:00Z`) / (24 * HOUR_MS)),
      dayOfYear: dayOfYear(day.date),
      excessPa: excess[d]!,
      outdoorDewPointC: dewPointC[d]!,
      rain: rainState(house.rain?.rainMm, day.end),
    }
    return [{ day, value }]
  })
}

function rainState(rainMm: Float64Array | undefined, end: number): ComparedDay['rain'] {
  if (!rainMm) return 'unknown'
  const hours = rainMm.subarray(Math.max(0, end - RAIN_HOURS), end)
  let [known, sumMm] = [0, 0]
  for (const value of hours) {
    if (Number.isNaN(value)) continue
    known++
    sumMm += value
  }
  if (sumMm >= WET_MM) return 'wet' // more unknown rain would not make it less wet
  return known >= RAIN_KNOWN_SHARE * RAIN_HOURS ? 'dry' : 'unknown'
}

/** Between the middles of the two periods, of the space's and the outdoor sensor together. */
function sensorDriftPa(house: StudiedHouse, temps: readonly Float64Array[], before: Period, after: Period): number {
  const years = ((after.from + after.to) / 2 - (before.from + before.to) / 2) / YEAR_MS
  const tempC = meanOf(temps.map((column) => meanOf(column)))
  if (Number.isNaN(tempC)) return 0
  const onePa = ((DRIFT_RH_PCT_A_YEAR * years) / 100) * saturationVaporPressurePa(Math.min(60, Math.max(-40, tempC)))
  return house.outdoor ? onePa * Math.SQRT2 : onePa
}
