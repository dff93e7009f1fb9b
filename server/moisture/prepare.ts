/**
 * Turns a record into the gap-free hourly drivers of the balance: space air, ground, outdoor air, house air, rain.
 * Gaps are filled here and only here; hours without a measurement in the space carry no weight in the fit.
 */
import { standardPressurePa } from '../physics/air.ts'
import { DAY_HOURS, HOUR_MS, type HouseRecord, type RainRecord } from './input.ts'
import { saturationPa } from './lookups.ts'
import { combineSpots, type SpaceSeries } from './spots.ts'

/** Yearly swing of crawl space temperature and the ground filter's time (method: 60 days was chosen on made houses). */
const YEARLY_SWING_K = 6.5
export const GROUND_DAYS = 60
const WARMEST_DAY_OF_YEAR = 212
const DAYS_A_YEAR = 365.25
/** House air is moister than outdoors by cooking and people, and dried by cooling in summer (judgement). */
const HOUSE_EXCESS_PA = 250
const HOUSE_TOP_PA = 1600
/** Cooling degree days count from 65 °F; a unit sized for a day of 80 °F runs flat out there (common practice). */
const COOLING_BASE_C = 18.3
const FULL_COOLING_K = 8
const HEATED_HOUSE_C = 21
const USUAL_UPDRAFT_K = 15

/** Drivers of the space that change when its temperature is another one. */
export interface Climate {
  tempC: Float64Array
  /** Saturation pressure at the air's temperature [Pa]. */
  saturationPa: Float64Array
  /** One-day and 60-day mean temperature behind the ground's surface [°C]. */
  dayTempC: Float64Array
  seasonTempC: Float64Array
  /** sqrt(|space - outdoor| / 6 K): drives the part of the air exchange that is not wind. */
  draft: Float64Array
  /** Load of the house's air conditioning, 0 off to 1 full: blows house air down by leaky ducts. */
  cooling: Float64Array
  /** sqrt((house - outdoor) / 15 K) of a heated house: draws air up through the floor, which outdoor air replaces. */
  updraft: Float64Array
}

export interface Prepared {
  record: HouseRecord
  hours: number
  space: SpaceSeries
  climate: Climate
  outdoorTempC: Float64Array
  outdoorPa: Float64Array
  housePa: Float64Array
  rainMm: Float64Array
  rainKnown: boolean
  houseMeasured: boolean
  /** Mean rain an hour, for the state of the ground before the record began. */
  meanRainMm: number
  pressurePa: number
  latitude: number
  /** Sentences: what had to be filled or assumed. */
  assumptions: string[]
}

/** @throws RangeError when arrays do not match the record's hours */
export function prepareRecord(record: HouseRecord): Prepared | { cannotTell: string; needs: string } {
  const { hours } = record
  const assumptions: string[] = []
  const space = combineSpots(record.spots, hours)
  if (space.worstSpot === null) {
    return { cannotTell: 'No spot in the space has three days of readings.', needs: 'readings from the space' }
  }
  const outdoor = chooseOutdoor(record, assumptions)
  if (outdoor === null) {
    const cannotTell = 'Nothing is known of the outdoor air, so weather and work cannot be told apart.'
    return { cannotTell, needs: 'an outdoor logger or a weather station near the house' }
  }
  const tempC = filled(space.tempC)
  const latitude = record.latitude ?? 38
  if (record.latitude === null)
    assumptions.push('Latitude not recorded: seasons of the northern mid-latitudes assumed.')
  const rain = rainByHour(record.rain, record.startAt, hours)
  if (!rain.known) {
    assumptions.push('Rain not known: water from rain is not told apart from the ground, and no rain answer is given.')
  } else if (rain.missingHours > hours / 20) {
    const days = Math.round(rain.missingHours / DAY_HOURS)
    assumptions.push(`Rain is missing for ${days} days; the mean of the rest was used there.`)
  }
  if (record.rain?.step === 'daily') assumptions.push('Daily rain spread evenly over each day.')
  const housePa = houseAir(record, outdoor.vaporPressurePa)
  if (record.houseAir === null) {
    assumptions.push(
      `House air not measured: outdoor air + ${HOUSE_EXCESS_PA} Pa, at most ${HOUSE_TOP_PA} Pa, assumed.`,
    )
  }
  return {
    record,
    hours,
    space,
    climate: climateOf(tempC, outdoor.tempC, record.startAt, latitude),
    outdoorTempC: outdoor.tempC,
    outdoorPa: outdoor.vaporPressurePa,
    housePa,
    rainMm: rain.rainMm,
    rainKnown: rain.known,
    houseMeasured: record.houseAir !== null,
    meanRainMm: meanOf(rain.rainMm),
    pressurePa: standardPressurePa(record.elevationM ?? 0),
    latitude,
    assumptions,
  }
}

/** The drivers that follow from a space temperature: saturation, ground filters, draft. */
export function climateOf(
  tempC: Float64Array,
  outdoorTempC: Float64Array,
  startAt: number,
  latitude: number,
  seasonStartC?: number,
): Climate {
  const hours = tempC.length
  const first = tempC.subarray(0, Math.min(hours, 10 * DAY_HOURS))
  const start = seasonStartC ?? meanOf(first) + seasonLagK(startAt, latitude)
  const draft = new Float64Array(hours)
  const saturation = new Float64Array(hours)
  for (let h = 0; h < hours; h++) {
    saturation[h] = saturationPa(tempC[h]!)
    draft[h] = Math.sqrt(Math.abs(tempC[h]! - outdoorTempC[h]!) / 6)
  }
  return {
    tempC,
    saturationPa: saturation,
    dayTempC: lowPass(tempC, DAY_HOURS, meanOf(first.subarray(0, Math.min(first.length, 2 * DAY_HOURS)))),
    seasonTempC: lowPass(tempC, GROUND_DAYS * DAY_HOURS, start),
    draft,
    cooling: lowPass(outdoorTempC, DAY_HOURS, meanOf(outdoorTempC.subarray(0, DAY_HOURS))).map(coolingLoad),
    updraft: outdoorTempC.map((t) => Math.sqrt(Math.max(0, HEATED_HOUSE_C - t) / USUAL_UPDRAFT_K)),
  }
}

const coolingLoad = (dayTempC: number): number => Math.min(1, Math.max(0, (dayTempC - COOLING_BASE_C) / FULL_COOLING_K))

/** How far the 60-day ground node stands off the air on this date of the yearly wave [K]. */
export function seasonLagK(at: number, latitude: number): number {
  const date = new Date(at)
  const dayOfYear = (at - Date.UTC(date.getUTCFullYear(), 0, 1)) / (DAY_HOURS * HOUR_MS)
  const shift = latitude < 0 ? DAYS_A_YEAR / 2 : 0
  const phase = (2 * Math.PI * (dayOfYear - WARMEST_DAY_OF_YEAR - shift)) / DAYS_A_YEAR
  const lag = Math.atan((2 * Math.PI * GROUND_DAYS) / DAYS_A_YEAR)
  return YEARLY_SWING_K * (Math.cos(lag) * Math.cos(phase - lag) - Math.cos(phase))
}

/** First-order low pass with this time constant, exact for values held constant over each hour. */
export function lowPass(values: Float64Array, hoursConstant: number, start: number): Float64Array {
  const out = new Float64Array(values.length)
  const share = 1 - Math.exp(-1 / hoursConstant)
  let state = start
  for (let h = 0; h < values.length; h++) {
    state += share * (values[h]! - state)
    out[h] = state
  }
  return out
}

export function meanOf(values: Float64Array): number {
  let sum = 0
  for (const v of values) sum += v
  return values.length === 0 ? Number.NaN : sum / values.length
}

/** Straight lines across gaps, the nearest value beyond the ends. */
export function filled(values: Float64Array): Float64Array {
  const out = Float64Array.from(values)
  let last = -1
  for (let h = 0; h < out.length; h++) {
    if (!Number.isFinite(out[h]!)) continue
    const from = last < 0 ? out[h]! : out[last]!
    for (let k = last + 1; k < h; k++) out[k] = last < 0 ? out[h]! : from + ((out[h]! - from) * (k - last)) / (h - last)
    last = h
  }
  if (last >= 0) out.fill(out[last]!, last + 1)
  return out
}

function chooseOutdoor(record: HouseRecord, assumptions: string[]) {
  const { outdoor, station, hours } = record
  const own = outdoor === null ? 0 : countFinite(outdoor.vaporPressurePa)
  const far = station === null ? 0 : countFinite(station.vaporPressurePa)
  if (own + far < 3 * DAY_HOURS) return null
  const pick = (key: 'tempC' | 'vaporPressurePa') => {
    const out = new Float64Array(hours)
    for (let h = 0; h < hours; h++) {
      const here = outdoor?.[key][h] ?? Number.NaN
      out[h] = Number.isFinite(here) ? here : (station?.[key][h] ?? Number.NaN)
    }
    return out
  }
  const tempC = pick('tempC')
  const vaporPressurePa = pick('vaporPressurePa')
  const missing = hours - countFinite(vaporPressurePa)
  if (own === 0) assumptions.push('Outdoor air from the weather station, no logger outdoors.')
  else if (far > 0 && own < hours) {
    assumptions.push(`Weather station used for ${hours - own} hours without the outdoor logger.`)
  }
  if (missing > 3 * DAY_HOURS)
    assumptions.push(`Outdoor air missing for ${missing} hours, straight lines drawn across.`)
  return { tempC: filled(tempC), vaporPressurePa: filled(vaporPressurePa) }
}

function houseAir(record: HouseRecord, outdoorPa: Float64Array): Float64Array {
  return outdoorPa.map((e, h) => {
    const measured = record.houseAir?.vaporPressurePa[h] ?? Number.NaN
    return Number.isFinite(measured) ? measured : assumedHousePa(e)
  })
}

/** Vapor pressure of the living space where no logger stands there [Pa]. */
export const assumedHousePa = (outdoorPa: number): number => Math.min(outdoorPa + HOUSE_EXCESS_PA, HOUSE_TOP_PA)

function rainByHour(rain: RainRecord | null, startAt: number, hours: number) {
  const rainMm = new Float64Array(hours).fill(Number.NaN)
  if (rain?.step === 'hourly') rainMm.set(rain.rainMm.subarray(0, hours))
  if (rain?.step === 'daily') for (const day of rain.days) spread(rainMm, day, startAt)
  const known = countFinite(rainMm)
  let sum = 0
  for (const mm of rainMm) if (Number.isFinite(mm)) sum += mm
  const mean = known > 0 ? sum / known : 0
  for (let h = 0; h < hours; h++) if (!Number.isFinite(rainMm[h]!)) rainMm[h] = mean
  return { rainMm, known: known > hours / 2, missingHours: hours - known }
}

function spread(rainMm: Float64Array, day: { from: number; to: number; rainMm: number }, startAt: number): void {
  if (!Number.isFinite(day.rainMm)) return
  const from = Math.round((day.from - startAt) / HOUR_MS)
  const to = Math.round((day.to - startAt) / HOUR_MS)
  for (let h = Math.max(0, from); h < Math.min(rainMm.length, to); h++) rainMm[h] = day.rainMm / (to - from)
}

function countFinite(values: Float64Array): number {
  let n = 0
  for (const v of values) if (Number.isFinite(v)) n++
  return n
}
