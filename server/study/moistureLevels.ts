/** How moist is the air at each spot in each period, and how much of it is not simply outdoor air? */
import { dewPointCInto, rhPctFromVaporPressureInto } from '../physics/airColumns.ts'
import { equilibriumMoisturePctInto } from '../physics/wood.ts'
import { joistMoistureInto, meanMoisturePct } from '../physics/woodLag.ts'
import { dailyMeans } from '../series/days.ts'
import { localDateText } from '../series/localTime.ts'
import { markBit } from '../series/marks.ts'
import type { Period } from '../series/periods.ts'
import { meanOf, quantile } from '../series/robust.ts'
import { vaporUncertaintyPa } from '../series/sensorUncertainty.ts'
import { cannotTell, type Finding, type FindingNumber } from './finding.ts'
import type { StudiedHouse, StudiedSpot } from './studiedHouse.ts'

const QUESTION = 'moisture levels'
/** Fewer complete days than this say nothing about a period. Proposal. */
const MIN_DAYS = 7
const RH_LINES_PCT = [60, 70, 80, 90] as const
/** A vapor excess below this can be the sensors (trade notes; proposal). */
const CLEAR_EXCESS_PA = 150
/** Meter practice, from memory: about ±2 points even when corrected; an estimate is no better. */
const WOOD_UNCERTAINTY_PCT = 2
/** The estimate starts at equilibrium; the first month is a guess (physics/woodLag.ts). */
const WOOD_WARM_UP_HOURS = 30 * 24
/** A shorter part of a period hardly moves its means. Proposal. */
const DRYING_SHARE = 0.25
const SATURATED = markBit('saturated')
/** Above this share of the hours the doubt is told. Proposal. */
const SATURATED_SHARE = 0.1

export function moistureLevels(house: StudiedHouse): Finding[] {
  const spots = house.spots.filter(({ space }) => space.role !== 'outdoor')
  if (house.grid.hours === 0 || spots.length === 0) {
    const missing = ['readings of a logger placed at a spot of this house']
    return [cannotTell(QUESTION, {}, 'Nothing has been measured in this house yet.', missing)]
  }
  return spots.flatMap((spot) => {
    const wood = woodEstimatePct(spot)
    return house.periods.map((period) => levelOf(house, spot, period, wood))
  })
}

function levelOf(house: StudiedHouse, spot: StudiedSpot, period: Period, wood: Float64Array): Finding {
  const { hours } = spot
  const subject = { space: spot.space.key, spot: spot.path, period: period.key }
  const inPeriod = house.days.filter((day) => day.from >= period.from && day.to <= period.to)
  const dates = `${localDateText(period.from, house.tree.timeZone)} to ${localDateText(period.to - 1, house.tree.timeZone)}`
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
  addWood(numbers, hours.woodMcPct.slice(first, end), wood.slice(first, end))

  const clear = excess !== undefined && excess.low! > 0 && excess.value > CLEAR_EXCESS_PA
  const outdoorWords = againstOutdoors(excess, spot.space.role === 'living')
  const evidenceFor = ['RH was over 80 % for {hoursOver80} of {knownHours}, over 90 % for {hoursOver90}.']
  const evidenceAgainst: string[] = []
  if (numbers.woodEstimate)
    evidenceFor.push('Wood moisture, estimated from the air: {woodEstimate} at the end of the period.')
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
  }
}

function againstOutdoors(excess: FindingNumber | undefined, livedIn: boolean): string {
  if (excess === undefined) return 'outdoor air is not known for these days'
  if (excess.high! < 0) return '{vaporExcess} against outdoors: drier than outdoor air'
  if (excess.low! <= 0) return '{vaporExcess} against outdoors, within what the sensors leave open'
  if (livedIn) return '{vaporExcess} more vapor than outdoors, as people and cooking bring'
  return excess.value > CLEAR_EXCESS_PA
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

function addWood(numbers: Record<string, FindingNumber>, measured: Float64Array, estimated: Float64Array): void {
  const last = estimated.findLast((value) => !Number.isNaN(value))
  if (last !== undefined) {
    const [low, high] = [last - WOOD_UNCERTAINTY_PCT, last + WOOD_UNCERTAINTY_PCT]
    numbers.woodEstimate = { value: last, unit: '% of dry mass', low, high, interval: 'usual error of an estimate' }
  }
  if (measured.some((value) => !Number.isNaN(value))) {
    numbers.woodMeasured = { value: meanOf(measured), unit: '% of dry mass' }
    numbers.woodHighest = { value: quantile(measured, 1), unit: '% of dry mass' }
  }
}

/** Mean moisture of a two-inch joist in this air, hour by hour; NaN before the first month is over. */
function woodEstimatePct({ hours }: StudiedSpot): Float64Array {
  const length = hours.at.length
  const column = () => new Float64Array(length)
  const rhPct = rhPctFromVaporPressureInto(column(), hours.tempC, hours.vaporPressurePa)
  const equilibriumPct = equilibriumMoisturePctInto(column(), hours.tempC, rhPct)
  const [surface, core] = [column(), column()]
  joistMoistureInto(surface, core, equilibriumPct, 1)
  const firstKnown = equilibriumPct.findIndex((value) => !Number.isNaN(value))
  return surface.map((surfacePct, i) => {
    if (firstKnown < 0 || i < firstKnown + WOOD_WARM_UP_HOURS || Number.isNaN(equilibriumPct[i]!)) return Number.NaN
    return meanMoisturePct({ surfacePct, corePct: core[i]! })
  })
}
