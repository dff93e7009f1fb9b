/**
 * What the air under the house did after each storm: vapor in the 72 h from the start of the rain minus the 72 h before
 * it, the weather taken away (weatherTakenAway.ts), because outdoor vapor moves with rain by itself. With daily rain the
 * true start is up to a day later, so a response then reads low by up to a third.
 *
 * It sees water that comes and goes in days. Ground that soaks and stays wet for weeks adds vapor all the time and hardly
 * more after each rain: no rise here does not clear the rain.
 */
import { HOUR_MS } from './input.ts'
import { knownHours, meanOver, type Observed, type ObservedSpot, rainByHourMm } from './observed.ts'
import { groupStorms, type Storm, type StormGroup, type StormLimits, stormsOf } from './storms.ts'
import { takeWeatherAway, type WeatherTakenAway } from './weatherTakenAway.ts'

const MM_PER_INCH = 25.4

export type Liquid = 'seen' | 'not seen' | 'not measured'

/** Whether a spot's water sensor saw liquid in [from, to) hours. */
export function liquidIn(spot: ObservedSpot, from: number, to: number): Liquid {
  const share = spot.waterPresentShare?.subarray(Math.max(0, from), Math.max(0, to))
  if (!share?.some((value) => !Number.isNaN(value))) return 'not measured'
  return share.some((value) => value > 0) ? 'seen' : 'not seen'
}

export interface StormResponse {
  group: StormGroup
  spot: string
  liquid: Liquid
  answer:
    | {
        kind: 'measured'
        /** Mean excess after minus before, as if over one window length, with a 90 % interval [Pa]. */
        changePa: number
        lowPa: number
        highPa: number
        perInchPa: number
        perInchLowPa: number
        perInchHighPa: number
        clear: boolean
      }
    | { kind: 'cannot tell'; reason: string }
}

export interface RainResponse {
  storms: readonly Storm[]
  /** Hours of the record without a rain value; storms may hide there. */
  unknownRainHours: number
  responses: readonly StormResponse[]
  /** Per spot: 90 % noise of such a difference in dry weather; null when there was too little dry weather. */
  noisePa: Readonly<Record<string, number | null>>
  /** Per spot: how the weather was taken away. */
  methods: Readonly<Record<string, WeatherTakenAway['method']>>
}

/**
 * Responses of every spot to every group of storms of at least `stormMinMm`. A response is clear when its 90 % interval,
 * from the spread of such differences at other times, is above zero and it reaches `stormClearMinPa`.
 */
export function rainResponse(observed: Observed, limits: StormLimits): RainResponse {
  const { rain, startAt, hours, outdoor, spots } = observed
  const storms = stormsOf(rain, startAt, limits)
  const rainMm = rainByHourMm(rain, startAt, hours)
  const groups = groupStorms(storms, limits)
  const noisePa: Record<string, number | null> = {}
  const methods: Record<string, WeatherTakenAway['method']> = {}
  const responses: StormResponse[] = []
  for (const spot of spots) {
    const own = outdoor === null ? null : takeWeatherAway(spot, outdoor, rainMm, limits)
    noisePa[spot.key] = own?.noisePa ?? null
    if (own) methods[spot.key] = own.method
    for (const group of groups) {
      responses.push(oneResponse(group, spot, own, rainMm, startAt, limits))
    }
  }
  return { storms, unknownRainHours: hours - knownHours(rainMm, 0, hours), responses, noisePa, methods }
}

const hoursText = (hours: number) => `${Math.round(hours)} h`

function oneResponse(
  group: StormGroup,
  spot: ObservedSpot,
  own: WeatherTakenAway | null,
  rainMm: Float64Array,
  startAt: number,
  limits: StormLimits,
): StormResponse {
  const window = limits.stormWindowHours
  const start = Math.round((group.from - startAt) / HOUR_MS)
  // One storm: one window from its start. Several, or one longer than a day: until a window after the last rain began.
  const lasts = Math.round((group.to - group.from) / HOUR_MS)
  const end = group.storms === 1 && lasts <= 24 ? start + window : start + lasts + window
  const liquid = liquidIn(spot, start, end)
  const cannotTell = (reason: string): StormResponse => ({
    group,
    spot: spot.key,
    liquid,
    answer: { kind: 'cannot tell', reason },
  })

  if (own === null) return cannotTell('Outdoor air is not known, so its vapor cannot be taken away.')
  const { vaporPa, noisePa } = own
  if (start < window) return cannotTell(`The record begins less than ${hoursText(window)} before the rain.`)
  const before = knownHours(vaporPa, start - window, start)
  const after = knownHours(vaporPa, start, Math.min(end, vaporPa.length))
  if (before < limits.stormWindowKnownShare * window || after < limits.stormWindowKnownShare * (end - start)) {
    const known = `${before} of ${window} h before and ${after} of ${end - start} h after`
    return cannotTell(`Readings inside and outside are known for only ${known} the rain began.`)
  }
  const rainKnown = knownHours(rainMm, start - window, start)
  if (rainKnown < limits.stormWindowKnownShare * window) {
    return cannotTell(`Rain in the ${hoursText(window)} before is not known, so the ground may have been wet already.`)
  }
  const rainBefore = meanOver(rainMm, start - window, start) * rainKnown
  if (rainBefore > limits.stormPriorRainMaxMm) {
    return cannotTell(
      `${rainBefore.toFixed(0)} mm fell in the ${hoursText(window)} before, so the ground was wet already.`,
    )
  }
  if (noisePa === null) return cannotTell('There was too little weather to know how much the air changes without rain.')

  const stretch = (end - start) / window
  const changePa = (meanOver(vaporPa, start, end) - meanOver(vaporPa, start - window, start)) * stretch
  const marginPa = noisePa * stretch
  const inches = group.rainMm / MM_PER_INCH
  return {
    group,
    spot: spot.key,
    liquid,
    answer: {
      kind: 'measured',
      changePa,
      lowPa: changePa - marginPa,
      highPa: changePa + marginPa,
      perInchPa: changePa / inches,
      perInchLowPa: (changePa - marginPa) / inches,
      perInchHighPa: (changePa + marginPa) / inches,
      clear: changePa - marginPa > 0 && changePa >= limits.stormClearMinPa,
    },
  }
}

export interface SpotRainSummary {
  spot: string
  /** Storm groups with an answer, and those clear. */
  measured: number
  clear: number
  /** Median response per inch over the measured storms, with the smallest and largest; null when none was measured. */
  perInchPa: { low: number; mid: number; high: number } | null
  liquid: Liquid
  sentence: string
}

/** One line a spot; says storms that were overlapping or could not be used. */
export function summarizeRainResponse({ responses, storms, unknownRainHours }: RainResponse): SpotRainSummary[] {
  const keys = [...new Set(responses.map((response) => response.spot))]
  return keys.map((spot) => {
    const own = responses.filter((response) => response.spot === spot)
    const measured = own.flatMap(({ answer }) => (answer.kind === 'measured' ? [answer] : []))
    const clear = measured.filter((answer) => answer.clear).length
    const perInch = measured.map((answer) => answer.perInchPa).sort((a, b) => a - b)
    const middle = perInch.length >> 1
    const mid = perInch.length % 2 === 1 ? perInch[middle]! : (perInch[middle - 1]! + perInch[middle]!) / 2
    const liquid: Liquid = own.some((r) => r.liquid === 'seen')
      ? 'seen'
      : own.some((r) => r.liquid === 'not seen')
        ? 'not seen'
        : 'not measured'
    const together = own.filter((response) => response.group.storms > 1).length
    const parts = [
      `${measured.length} of ${own.length} rains could be judged, ${clear} with a clear rise.`,
      together > 0 ? `${together} of them join storms less than a window apart.` : '',
      unknownRainHours > 0
        ? `Rain is not known for ${hoursText(unknownRainHours)}; ${storms.length} storms are known.`
        : '',
      liquid === 'not measured' ? 'No sensor for liquid water reported here.' : `Liquid water: ${liquid}.`,
    ]
    return {
      spot,
      measured: measured.length,
      clear,
      perInchPa: perInch.length === 0 ? null : { low: perInch[0]!, mid, high: perInch.at(-1)! },
      liquid,
      sentence: parts.filter((part) => part !== '').join(' '),
    }
  })
}
