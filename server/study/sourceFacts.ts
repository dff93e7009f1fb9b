/** What the order of reasoning wants to know of one space in one span of time, with "not known" where it is not. */
import type { HouseFindings, Trend } from '../advice/clues.ts'
import type { Thresholds } from '../advice/defaults.ts'
import { type Baseline, baselineOf } from '../moisture/baseline.ts'
import { condensationOn } from '../moisture/condensation.ts'
import { couplingToOutdoorAir, dayWeather, excessByWeather } from '../moisture/coupling.ts'
import { HOUR_MS } from '../moisture/input.ts'
import { localDays, meanOver, type Observed, vaporExcessPa } from '../moisture/observed.ts'
import type { SpotRainSummary } from '../moisture/rainResponse.ts'
import { woodMoisture } from '../moisture/risk.ts'
import { dewPointCInto } from '../physics/airColumns.ts'
import { instantOfLocalText } from '../series/localTime.ts'
import type { Period } from '../series/periods.ts'
import { median } from '../series/robust.ts'
import { checkedSideBySide, inPeriod, type ObservedSpace } from './observedHouse.ts'
import { couplingWords } from './outdoorCoupling.ts'
import { responseOf, responsesIn } from './storms.ts'
import type { StudiedHouse } from './studiedHouse.ts'

export interface SourceFacts {
  found: HouseFindings
  baseline: Baseline
  /** The spot with most vapor against outdoors: the one the clues speak of. */
  wettest: string | null
}

type Span = Pick<Period, 'from' | 'to'>

export function sourceFacts(house: StudiedHouse, one: ObservedSpace, span: Span, held: Thresholds): SourceFacts {
  const cut = inPeriod(one.observed, span)
  const seen = baselineOf(cut, null, held)
  const wettest = wettestOf(cut)
  const spot = wettest === null ? null : cut.spots[wettest]!
  const outdoor = cut.outdoor
  const coupling = spot ? couplingToOutdoorAir(cut, spot, checkedSideBySide(house, one.spots[wettest!]!), held) : null
  const lastWork = house.works.filter(({ from }) => from <= span.from).map(({ from }) => from)
  const found: HouseFindings = {
    sensorsChecked: one.spots.every((studied) => checkedSideBySide(house, studied)),
    baseline: {
      enough: seen.stage === 'diagnosis' || seen.stage === 'closing decision',
      needs: (seen.next?.missing ?? [])
        .map(({ what, have, wanted }) => `${what} ${have ?? 'not known'} of ${wanted}`)
        .join(', '),
    },
    ...rainFacts(one, span, held),
    excess: spot && outdoor ? excessByWeather(cut, spot, outdoor, held) : { all: null, coldDry: null, humid: null },
    coupling:
      coupling && coupling.verdict !== 'cannot tell' ? { ...coupling, sentence: couplingWords(coupling) } : coupling,
    coverShare: coverShareIn(house, one, span),
    downspouts: downspoutsIn(house, span),
    floor: floorIn(house, span),
    outdoorCondensingShare: condensingShare(cut, held),
    step: 'not looked for',
    coolingDips: 'not known',
    condensationDays: condensationDays(one, cut, held),
    meanRhPct: spot ? meanOver(spot.rhPct, 0, spot.rhPct.length) : null,
    weeksSinceWork: lastWork.length === 0 ? null : (span.to - Math.max(...lastWork)) / (7 * 24 * HOUR_MS),
    excessTrend: spot && outdoor ? excessTrend(vaporExcessPa(spot, outdoor), held) : 'cannot tell',
    woodTrend: wettest === null ? 'cannot tell' : woodTrend(one, wettest, span, held),
    houseExhausts: 'not looked at',
    warmPulses: 'not looked for',
  }
  return { found, baseline: seen, wettest: wettest === null ? null : one.spots[wettest]!.name }
}

/** Index of the spot with the highest mean excess, or vapor where outdoor air is not known. */
function wettestOf({ spots, outdoor }: Observed): number | null {
  const means = spots.map((spot) => {
    const column = outdoor ? vaporExcessPa(spot, outdoor) : spot.vaporPressurePa
    return meanOver(column, 0, column.length)
  })
  let best: number | null = null
  for (const [s, mean] of means.entries())
    if (mean > (best === null ? Number.NEGATIVE_INFINITY : means[best]!)) best = s
  return best
}

/** Of the spot that answers rain most often; liquid anywhere in the space counts. */
function rainFacts(one: ObservedSpace, span: Span, held: Thresholds): Pick<HouseFindings, 'liquid' | 'rain'> {
  const cut = inPeriod(one.observed, span)
  const shares = cut.spots.flatMap(({ waterPresentShare }) => (waterPresentShare ? [waterPresentShare] : []))
  const heard = shares.some((share) => share.some((value) => !Number.isNaN(value)))
  const wet = shares.some((share) => share.some((value) => value > 0))
  const liquid: SpotRainSummary['liquid'] = !heard ? 'not measured' : wet ? 'seen' : 'not seen'
  if (one.observed.rain === null || one.observed.outdoor === null) return { liquid, rain: null }
  const response = responseOf(one, held)
  const spots = one.spots.map(({ path }) => responsesIn(response, path, span, held))
  const most = spots.reduce((a, b) =>
    b.clear > a.clear || (b.clear === a.clear && b.measured.length > a.measured.length) ? b : a,
  )
  const perInchPa = most.measured.length === 0 ? null : median(most.measured.map((answer) => answer.perInchPa))
  const rain = {
    measured: most.measured.length,
    clear: most.clear,
    perInchPa,
    unknownRainHours: response.unknownRainHours,
  }
  return { liquid, rain }
}

/** The share entered is the one at the start of the record; a cover laid since has its own, where it was told. */
function coverShareIn(house: StudiedHouse, { space }: ObservedSpace, span: Span): number | null {
  const covers = house.works.filter(
    ({ kind, details }) =>
      kind === 'ground cover' || kind === 'encapsulation' || details?.parts?.includes('ground cover'),
  )
  const laid = covers.findLast(({ from }) => from < span.to)
  const share = laid === undefined ? space.groundCoverSharePct : laid.details?.coverSharePct
  return share === undefined ? null : share / 100
}

function downspoutsIn({ tree, works }: StudiedHouse, span: Span): HouseFindings['downspouts'] {
  const ledAway = works.some(({ kind, from }) => kind === 'downspout drain' && from < span.to)
  return ledAway ? 'led away' : (tree.facts?.downspouts ?? 'not looked at')
}

/** Water measured on the floor on a visit; a note in words is for people. */
function floorIn({ tree }: StudiedHouse, { from, to }: Span): HouseFindings['floor'] {
  const depths = (tree.surveys ?? [])
    .filter(({ at }) => instantOfLocalText(at, tree.timeZone) >= from && instantOfLocalText(at, tree.timeZone) < to)
    .flatMap(({ readings }) => readings.filter(({ quantity }) => quantity === 'waterDepthMm'))
  if (depths.length === 0) return 'not looked at'
  return depths.some(({ value }) => value > 0) ? 'wet' : 'dry'
}

/** Share of the hours of humid days in which the outdoor dew point stood at or above the coldest surface (or air). */
function condensingShare(cut: Observed, held: Thresholds): number | null {
  if (cut.outdoor === null) return null
  const days = localDays(cut)
  const { humid } = dayWeather(cut, cut.outdoor, days, held)
  const dewPointC = dewPointCInto(new Float64Array(cut.hours), cut.outdoor.vaporPressurePa)
  let [known, condensing] = [0, 0]
  for (const [d, day] of days.entries()) {
    if (!humid[d]) continue
    for (let h = day.from; h < day.to; h++) {
      const coldest = cut.spots.reduce(
        (low, { surfaceTempC, tempC }) => Math.min(low, notNaN(surfaceTempC?.[h]) ?? notNaN(tempC[h]) ?? low),
        Number.POSITIVE_INFINITY,
      )
      if (Number.isNaN(dewPointC[h]!) || coldest === Number.POSITIVE_INFINITY) continue
      known++
      if (dewPointC[h]! >= coldest) condensing++
    }
  }
  return known === 0 ? null : condensing / known
}

const notNaN = (value: number | undefined) => (value === undefined || Number.isNaN(value) ? undefined : value)

function condensationDays({ coldSurfaces }: ObservedSpace, cut: Observed, held: Thresholds): number | null {
  const days = localDays(cut)
  const counts = cut.spots.flatMap((spot) => {
    const surface = coldSurfaces[spot.key]
    if (surface === undefined) return []
    return [condensationOn(spot, surface, days, held).days.filter(({ wet }) => wet === 'yes').length]
  })
  return counts.length === 0 ? null : Math.max(...counts)
}

const WEEK_HOURS = 168
const trendOf = (fall: number, line: number): Trend =>
  Number.isNaN(fall) ? 'cannot tell' : fall >= line ? 'falling' : fall <= -line ? 'rising' : 'steady'

/** The last week against the one before it. */
function excessTrend(excess: Float64Array, held: Thresholds): Trend {
  const end = excess.length
  if (end < 2 * WEEK_HOURS) return 'cannot tell'
  const fall = meanOver(excess, end - 2 * WEEK_HOURS, end - WEEK_HOURS) - meanOver(excess, end - WEEK_HOURS, end)
  return trendOf(fall, held.fallingExcessPa)
}

/** From the whole record, so that the wood of the span does not begin as a guess. */
function woodTrend({ observed, pins }: ObservedSpace, s: number, span: Span, held: Thresholds): Trend {
  const spot = observed.spots[s]!
  const { midPct } = woodMoisture(spot, observed.startAt, pins[spot.key] ?? [], held)
  const end = Math.min(midPct.length, Math.ceil((span.to - observed.startAt) / HOUR_MS)) - 1
  return trendOf((midPct[end - WEEK_HOURS] ?? Number.NaN) - (midPct[end] ?? Number.NaN), held.fallingWoodPoints)
}
