/** What the air did in the 72 hours after each rain, outdoor vapor removed, and whether liquid water was seen. */
import type { Thresholds } from '../advice/defaults.ts'
import { type Liquid, type RainResponse, rainResponse, type StormResponse } from '../moisture/rainResponse.ts'
import { localDateText } from '../series/localTime.ts'
import type { Period } from '../series/periods.ts'
import { median } from '../series/robust.ts'
import { cannotTell, type Finding, type FindingNumber } from './finding.ts'
import type { StormData, StormsData } from './findingData.ts'
import { type ObservedSpace, observedSpaces } from './observedHouse.ts'
import { rainNotKnown } from './rainNotKnown.ts'
import type { StudiedHouse } from './studiedHouse.ts'
import { takeNumbersOut } from './takeNumbersOut.ts'
import { MM_PER_INCH } from './wording.ts'
import { datesOf, workWords } from './workWords.ts'

const QUESTION = 'storms'
const DOUBT = 'Ground that stays soaked for weeks answers no single rain: no rise does not clear the rain.'

export function storms(house: StudiedHouse, held: Thresholds): Finding[] {
  const spaces = observedSpaces(house)
  if (house.rain === null || spaces.length === 0) {
    const sentence = 'What rain does to this house is not known: there is no rain record.'
    const missing = ['rain, from a gauge or a weather station nearby']
    return [cannotTell(QUESTION, {}, sentence, missing, { evidenceAgainst: rainNotKnown(house) })]
  }
  return spaces.flatMap((one) => {
    const response = responseOf(one, held)
    return [
      listFinding(house, one, response, held),
      ...one.spots.flatMap(({ path, name }) =>
        house.periods.map((period) => periodFinding(house, one, path, name, period, response, held)),
      ),
    ]
  })
}

const known = new WeakMap<ObservedSpace, { held: Thresholds; response: RainResponse }>()

/** Made once a space: the order of reasoning asks for it again. */
export function responseOf(one: ObservedSpace, held: Thresholds): RainResponse {
  const kept = known.get(one)
  if (kept?.held === held) return kept.response
  const response = rainResponse(one.observed, held)
  known.set(one, { held, response })
  return response
}

function listFinding(house: StudiedHouse, one: ObservedSpace, response: RainResponse, held: Thresholds): Finding {
  const { space, spots } = one
  const data = stormsData(house, response, held)
  const seen = data.storms.some(({ responses }) => responses.some(({ liquid }) => liquid === 'seen'))
  const measured = spots.some(({ hours }) => hours.waterPresentShare.some((value) => !Number.isNaN(value)))
  const numbers: Record<string, FindingNumber> = {
    storms: { value: data.storms.length, unit: 'rains' },
    stormMin: { value: held.stormMinMm, unit: 'mm' },
    unknown: { value: data.unknownRainHours, unit: 'h' },
  }
  const clear = data.storms.filter(({ responses }) => responses.some((one) => one.clear)).length
  numbers.clear = { value: clear, unit: 'count' }
  const liquid = measured
    ? seen
      ? 'Liquid water was seen.'
      : 'No liquid water was seen.'
    : 'No sensor for liquid water.'
  return {
    question: QUESTION,
    subject: { space: space.key },
    sentence: `${space.name}: {storms} of {stormMin} or more in the record; vapor rose clearly after {clear} of them, at one spot at least. ${liquid}`,
    numbers,
    evidenceFor: beforeAndSince(house, one, response, held),
    evidenceAgainst: data.unknownRainHours > 0 ? ['Rain is not known for {unknown}: storms may hide there.'] : [],
    certainty: 'shown',
    wouldChangeIt: measured ? 'More storms.' : 'A sensor for liquid water at the low point, and more storms.',
    data,
  }
}

/** Where works part the record: what rain did at the spot that answered it most, period by period. */
function beforeAndSince(
  house: StudiedHouse,
  { spots }: ObservedSpace,
  response: RainResponse,
  held: Thresholds,
): string[] {
  if (house.periods.length < 2) return []
  const counts = spots.map(({ path }) => house.periods.map((period) => responsesIn(response, path, period, held)))
  const total = (of: (typeof counts)[number]) => of.reduce((sum, { clear }) => sum + clear, 0)
  const most = counts.reduce((best, own, s) => (total(own) > total(counts[best]!) ? s : best), 0)
  const parts = counts[most]!.flatMap(({ measured, clear }, p) => {
    const { begins, ends } = house.periods[p]!
    const works = [...begins, ...ends]
    if (measured.length === 0) return []
    const lead = works.length === 0 ? 'before the first work' : `then, from ${workWords(house, works)} on,`
    return [`${lead} ${clear} of ${measured.length}`]
  })
  return parts.length < 2 ? [] : [`Rains with a clear rise at ${spots[most]!.name}: ${parts.join('; ')}.`]
}

function stormsData(house: StudiedHouse, response: RainResponse, held: Thresholds): StormsData {
  const groups = [...new Set(response.responses.map(({ group }) => group))]
  return {
    storms: groups.map((group): StormData => {
      return {
        ...group,
        date: localDateText(group.from, house.tree.timeZone),
        responses: response.responses.filter((one) => one.group === group).map(responseData),
      }
    }),
    smallerRains: response.storms.filter(({ rainMm }) => rainMm < held.stormMinMm).length,
    unknownRainHours: response.unknownRainHours,
  }
}

function responseData({ spot, liquid, answer }: StormResponse): StormData['responses'][number] {
  if (answer.kind === 'cannot tell') {
    return { spot, liquid, changePa: null, lowPa: null, highPa: null, clear: false, reason: answer.reason }
  }
  const { changePa, lowPa, highPa, clear } = answer
  return { spot, liquid, changePa, lowPa, highPa, clear, reason: null }
}

/** Responses to storms whose whole windows lie in a period: one that touches a work tells of neither side of it. */
export function responsesIn(
  response: RainResponse,
  spot: string,
  period: Pick<Period, 'from' | 'to'>,
  held: Thresholds,
) {
  const windowMs = held.stormWindowHours * 3_600_000
  const own = response.responses.filter(
    ({ spot: key, group }) => key === spot && group.from - windowMs >= period.from && group.to + windowMs <= period.to,
  )
  const measured = own.flatMap(({ answer }) => (answer.kind === 'measured' ? [answer] : []))
  const liquid: Liquid = own.some((one) => one.liquid === 'seen')
    ? 'seen'
    : own.some((one) => one.liquid === 'not seen')
      ? 'not seen'
      : 'not measured'
  return { own, measured, clear: measured.filter((answer) => answer.clear).length, liquid }
}

function periodFinding(
  house: StudiedHouse,
  { space }: ObservedSpace,
  spot: string,
  name: string,
  period: Period,
  response: RainResponse,
  held: Thresholds,
): Finding {
  const { own, measured, clear, liquid } = responsesIn(response, spot, period, held)
  const data = datesOf(period, house.tree.timeZone)
  const subject = { space: space.key, spot, period: period.key }
  const dates = `${name}, ${data.from} to ${data.to}`
  const numbers: Record<string, FindingNumber> = {
    rains: { value: own.length, unit: 'rains' },
    judged: { value: measured.length, unit: 'rains' },
    clear: { value: clear, unit: 'count' },
  }
  const seen = liquid === 'not measured' ? '' : ` Liquid water: ${liquid}.`
  if (measured.length === 0) {
    const missing = [
      own.length === 0 ? 'a storm in this time' : 'storms with dry days before them and readings around them',
    ]
    const reasons = [...new Set(own.flatMap(({ answer }) => (answer.kind === 'cannot tell' ? [answer.reason] : [])))]
    const evidenceAgainst = reasons.slice(0, 2).map((reason) => takeNumbersOut(reason, numbers))
    return cannotTell(QUESTION, subject, `${dates}: no rain of {rains} could be judged.${seen}`, missing, {
      numbers,
      evidenceAgainst,
      data,
    })
  }
  const perMm = measured.map(({ perInchPa }) => perInchPa / MM_PER_INCH).sort((a, b) => a - b)
  numbers.perRain = {
    value: median(perMm),
    unit: 'Pa/mm',
    ...(perMm.length > 1 && { low: perMm[0]!, high: perMm.at(-1)!, interval: 'smallest and largest of these rains' }),
  }
  const few = measured.length < held.diagnosisStorms
  return {
    question: QUESTION,
    subject,
    sentence: `${dates}: vapor rose clearly after {clear} of {judged}; {perRain} in the middle of them.${seen}`,
    numbers,
    evidenceFor: [],
    evidenceAgainst: [
      ...(few ? [`Fewer than ${held.diagnosisStorms} rains could be judged.`] : []),
      ...(clear === 0 ? [DOUBT] : []),
    ],
    certainty: few ? 'weak' : 'likely',
    wouldChangeIt: 'More storms after dry days, and a sensor for liquid water at the low point.',
    data,
  }
}
