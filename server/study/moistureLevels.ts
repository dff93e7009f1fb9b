/** How moist is the air at each spot in each period, and how much of it is not simply outdoor air? */
import type { Thresholds } from '../advice/defaults.ts'
import { type WoodEstimate, woodMoisture } from '../moisture/risk.ts'
import { dewPointCInto } from '../physics/airColumns.ts'
import { dailyMeans } from '../series/days.ts'
import { markBit } from '../series/marks.ts'
import type { Period } from '../series/periods.ts'
import { meanOf, quantile } from '../series/robust.ts'
import { vaporUncertaintyPa } from '../series/sensorUncertainty.ts'
import { cannotTell, type Finding, type FindingNumber } from './finding.ts'
import { observedSpaces } from './observedHouse.ts'
import type { StudiedHouse, StudiedSpot } from './studiedHouse.ts'
import { datesOf } from './workWords.ts'

const QUESTION = 'moisture levels'
/** Fewer complete days than this say nothing about a period. Proposal. */
const MIN_DAYS = 7
const RH_LINES_PCT = [60, 70, 80, 90] as const
/** A shorter part of a period hardly moves its means. Proposal. */
const DRYING_SHARE = 0.25
const SATURATED = markBit('saturated')
/** Above this share of the hours the doubt is told. Proposal. */
const SATURATED_SHARE = 0.1

export function moistureLevels(house: StudiedHouse, held: Thresholds): Finding[] {
  const spots = house.spots.filter(({ space }) => space.role !== 'outdoor')
  if (house.grid.hours === 0 || spots.length === 0) {
    const missing = ['readings of a logger placed at a spot of this house']
    return [cannotTell(QUESTION, {}, 'Nothing has been measured in this house yet.', missing)]
  }
  return spots.flatMap((spot) => {
    const wood = woodAt(house, spot, held)
    return house.periods.map((period) => levelOf(house, spot, period, wood, held))
  })
}

/** Of framing under the house alone: nobody asks it of the hall. */
function woodAt(house: StudiedHouse, { path }: StudiedSpot, held: Thresholds): WoodEstimate | null {
  for (const { observed, pins } of observedSpaces(house)) {
    const spot = observed.spots.find(({ key }) => key === path)
    if (spot) return woodMoisture(spot, observed.startAt, pins[path] ?? [], held)
  }
  return null
}

function levelOf(
  house: StudiedHouse,
  spot: StudiedSpot,
  period: Period,
  wood: WoodEstimate | null,
  held: Thresholds,
): Finding {
  const { hours } = spot
  const subject = { space: spot.space.key, spot: spot.path, period: period.key }
  const inPeriod = house.days.filter((day) => day.from >= period.from && day.to <= period.to)
  const data = datesOf(period, house.tree.timeZone)
  const dates = `${data.from} to ${data.to}`
  const dayMeans = dailyMeans(inPeriod, hours.vaporPressurePa)
  const complete = dayMeans.filter((value) => !Number.isNaN(value)).length
  const numbers: Record<string, FindingNumber> = {
    completeDays: { value: complete, unit: 'days' },
    daysInPeriod: { value: inPeriod.length, unit: 'days' },
  }
  if (complete < MIN_DAYS) {
    const sentence = `${spot.name}, ${dates}: {completeDays} of {daysInPeriod} have enough readings, too few to describe the period.`
    return cannotTell(QUESTION, subject, sentence, [`${MIN_DAYS - complete} more complete days at ${spot.name}`], {
      numbers,
      data,
    })
  }
  const [first, end] = [inPeriod[0]!.first, inPeriod[inPeriod.length - 1]!.end]
  const vaporPa = hours.vaporPressurePa.slice(first, end)
  const dewPointC = dewPointCInto(new Float64Array(vaporPa.length), vaporPa)
  numbers.meanDewPoint = { value: meanOf(dewPointC), unit: '°C' }
  numbers.highDewPoint = { value: quantile(dewPointC, 0.95), unit: '°C' }
  const rhPct = hours.rhPct.slice(first, end).filter((value) => !Number.isNaN(value))
  numbers.knownHours = { value: rhPct.length, unit: 'h' }
  for (const line of RH_LINES_PCT) {
    numbers[`hoursOver${line}`] = { value: rhPct.filter((value) => value > line).length, unit: 'h' }
  }
  const excess = excessNumber(house, spot, first, end)
  if (excess) numbers.vaporExcess = excess
  if (wood) addWood(numbers, hours.woodMcPct.slice(first, end), wood, first, end)

  const clear = excess !== undefined && excess.low! > 0 && excess.value > held.sensorLimitPa
  const outdoorWords = againstOutdoors(excess, spot.space.role === 'living', held)
  const evidenceFor = ['RH was over 80 % for {hoursOver80} of {knownHours}, over 90 % for {hoursOver90}.']
  const evidenceAgainst: string[] = []
  if (numbers.woodEstimate)
    evidenceFor.push('Wood moisture, estimated: {woodEstimate} at the end of the period, {woodMost} at most.')
  if (numbers.woodMeasured)
    evidenceFor.push('Wood moisture, measured: {woodMeasured} on average, {woodHighest} at most.')
  if (complete < 0.8 * inPeriod.length) evidenceAgainst.push('Only {completeDays} of {daysInPeriod} are complete.')
  const dryingMs = (period.dryingTo ?? period.from) - period.from
  if (spot.space.role !== 'living' && dryingMs > DRYING_SHARE * (period.to - period.from)) {
    evidenceAgainst.push('The drying after the work is a large part of this period.')
  }
  const saturated = hours.marks.subarray(first, end).filter((bits) => (bits & SATURATED) !== 0).length
  if (saturated > SATURATED_SHARE * rhPct.length) {
    numbers.saturatedHours = { value: saturated, unit: 'h' }
    evidenceAgainst.push('For {saturatedHours} the sensor was at or near saturation, where it may read high.')
  }
  for (const mark of house.marks) {
    if (mark.probe === spot.path && mark.from < period.to && mark.to > period.from) evidenceAgainst.push(mark.reason)
  }
  return {
    question: QUESTION,
    subject,
    sentence: `${spot.name}, ${dates}: dew point {meanDewPoint} on average, below {highDewPoint} in 95 % of the hours; ${outdoorWords}.`,
    numbers,
    evidenceFor,
    evidenceAgainst,
    certainty: evidenceAgainst.length > 0 || excess === undefined ? 'weak' : clear ? 'shown' : 'likely',
    wouldChangeIt: excess
      ? 'A side-by-side check of this logger with the outdoor one narrows the vapor excess to about a third.'
      : 'An outdoor logger or a weather station tells how much of this is outdoor air.',
    data,
  }
}

function againstOutdoors(excess: FindingNumber | undefined, livedIn: boolean, held: Thresholds): string {
  if (excess === undefined) return 'outdoor air is not known for these days'
  if (excess.high! < 0) return '{vaporExcess} against outdoors: drier than outdoor air'
  if (excess.low! <= 0) return '{vaporExcess} against outdoors, within what the sensors leave open'
  if (livedIn) return '{vaporExcess} more vapor than outdoors, as people and cooking bring'
  return excess.value > held.sensorLimitPa
    ? '{vaporExcess} more vapor than outdoors: water enters the air here'
    : '{vaporExcess} more vapor than outdoors, too little to call a source'
}

/** Mean over the hours both know, with what the accuracy of the two sensors leaves open. */
function excessNumber(house: StudiedHouse, spot: StudiedSpot, first: number, end: number): FindingNumber | undefined {
  const outdoor = house.outdoor
  if (!outdoor) return undefined
  const excess: number[] = []
  const uncertain: number[] = []
  for (let i = first; i < end; i++) {
    const difference = spot.hours.vaporPressurePa[i]! - outdoor.hours.vaporPressurePa[i]!
    if (Number.isNaN(difference)) continue
    excess.push(difference)
    const [here, there] = [spot.hours, outdoor.hours]
    const knownAir = [here.tempC[i]!, here.rhPct[i]!, there.tempC[i]!, there.rhPct[i]!]
    if (excess.length % 24 !== 0 || knownAir.some((value) => Number.isNaN(value) || value < -40 || value > 100))
      continue
    uncertain.push(
      Math.hypot(
        vaporUncertaintyPa(knownAir[0]!, knownAir[1]!, spot.accuracy),
        vaporUncertaintyPa(knownAir[2]!, knownAir[3]!, outdoor.accuracy),
      ),
    )
  }
  if (excess.length < MIN_DAYS * 20 || uncertain.length === 0) return undefined
  // Offsets of sensors stay for months, so averaging does not make them smaller.
  const [value, half] = [meanOf(excess), meanOf(uncertain)]
  return { value, unit: 'Pa', low: value - half, high: value + half, interval: 'accuracy of the two sensors' }
}

function addWood(
  numbers: Record<string, FindingNumber>,
  measured: Float64Array,
  wood: WoodEstimate,
  first: number,
  end: number,
): void {
  const known = (h: number) => !Number.isNaN(wood.midPct[h]!)
  const hours = Array.from({ length: end - first }, (_, i) => first + i).filter(known)
  const last = hours.at(-1)
  if (last !== undefined) {
    const most = hours.reduce((a, b) => (wood.midPct[b]! > wood.midPct[a]! ? b : a))
    const number = (h: number): FindingNumber => {
      const [low, high] = [wood.lowPct[h]!, wood.highPct[h]!]
      return { value: wood.midPct[h]!, unit: '% of dry mass', low, high, interval: 'usual error of an estimate' }
    }
    numbers.woodEstimate = number(last)
    numbers.woodMost = number(most)
  }
  if (measured.some((value) => !Number.isNaN(value))) {
    numbers.woodMeasured = { value: meanOf(measured), unit: '% of dry mass' }
    numbers.woodHighest = { value: quantile(measured, 1), unit: '% of dry mass' }
  }
}
