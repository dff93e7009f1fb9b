/**
 * The baseline bar: what days and weather have been seen before the first work, what can be said with them today, and
 * what one more week or storm would add. Lengths follow trade practice; six weeks is a published minimum for humidity
 * logging in a city's measurement guide, the rest are proposals.
 */
import { dayWeather, type WeatherLimits } from './coupling.ts'
import { HOUR_MS } from './input.ts'
import {
  isComplete,
  knownHours,
  type LocalDay,
  localDays,
  meanOfSpots,
  type Observed,
  rainByHourMm,
} from './observed.ts'
import { type StormLimits, stormsOf } from './storms.ts'

export interface BaselineLimits extends WeatherLimits, StormLimits {
  screeningDays: number
  screeningStorms: number
  diagnosisDays: number
  diagnosisStorms: number
  diagnosisDryDays: number
  /** A whole year; or a humid season and a cold month by these counts of days. */
  closingDays: number
  closingHumidDays: number
  closingColdDryDays: number
}

export type BaselineStage = 'one visit' | 'screening' | 'diagnosis' | 'closing decision'

/** One bar: so many of what the next stage wants; `have` null when it cannot be counted. */
export interface BaselineCount {
  what: 'complete days' | 'storms' | 'dry days' | 'humid days' | 'cold dry days'
  have: number | null
  wanted: number
}

export interface Baseline {
  /** Span looked at, epoch ms: from the record's start to the first work or the end. */
  from: number
  to: number
  stage: BaselineStage
  completeDays: number
  /** null: rain is not known at all. */
  storms: number | null
  dryDays: number | null
  humidDays: number | null
  coldDryDays: number | null
  /** Days whose rain is not known, wholly or in part. */
  rainUnknownDays: number
  canSay: string[]
  cannotSay: string[]
  next: { stage: BaselineStage; missing: BaselineCount[] } | null
  /** What the coming week or storm would add, in words. */
  adds: string[]
}

/** @param firstWorkAt start of the first work, epoch ms; null when nothing was done */
export function baselineOf(observed: Observed, firstWorkAt: number | null, limits: BaselineLimits): Baseline {
  const end = observed.startAt + observed.hours * HOUR_MS
  const to = Math.min(end, Math.max(observed.startAt, firstWorkAt ?? end))
  const days = localDays(observed).filter((day) => observed.startAt + day.to * HOUR_MS <= to)
  const counts = countDays(observed, days, to, limits)
  const stages = stagesOf(counts, limits)
  const reached = stages.filter(({ missing }) => missing.length === 0)
  // A later stage holds what an earlier one wants, so the last one reached in a row is the stage.
  const depth = stages.findIndex(({ missing }) => missing.length > 0)
  const stage = depth === 0 ? 'one visit' : (stages[(depth < 0 ? reached.length : depth) - 1]?.stage ?? 'one visit')
  const next = depth < 0 ? null : stages[depth]!
  return {
    from: observed.startAt,
    to,
    stage,
    ...counts,
    ...wordsFor(stage, counts, limits),
    next,
    adds: addsOf(next, counts),
  }
}

type Counts = Pick<Baseline, 'completeDays' | 'storms' | 'dryDays' | 'humidDays' | 'coldDryDays' | 'rainUnknownDays'>

function countDays(observed: Observed, days: readonly LocalDay[], to: number, limits: BaselineLimits): Counts {
  const inside = meanOfSpots(observed.spots, (spot) => spot.vaporPressurePa)
  const { outdoor } = observed
  const complete = days.map(
    (day) =>
      isComplete(knownHours(inside, day.from, day.to), day, limits) &&
      (outdoor === null || isComplete(knownHours(outdoor.vaporPressurePa, day.from, day.to), day, limits)),
  )
  const completeDays = complete.filter(Boolean).length
  const rainMm = rainByHourMm(observed.rain, observed.startAt, observed.hours)
  const rainUnknownDays = days.filter((day) => knownHours(rainMm, day.from, day.to) < day.to - day.from).length
  const rainKnown = observed.rain !== null && rainUnknownDays < days.length
  const weather = outdoor === null ? null : dayWeather(observed, outdoor, days, limits)
  const count = (chosen: readonly boolean[]) => chosen.filter((yes, d) => yes && complete[d]).length
  const storms = stormsOf(observed.rain, observed.startAt, limits).filter(
    (storm) => storm.rainMm >= limits.stormMinMm && storm.from >= observed.startAt && storm.to <= to,
  )
  const dryDay = (day: LocalDay) => {
    const rain = rainMm.subarray(day.from, day.to)
    return rain.every((value) => value >= 0) && rain.reduce((sum, value) => sum + value, 0) < DRY_DAY_MM
  }
  return {
    completeDays,
    storms: rainKnown ? storms.length : null,
    dryDays: rainKnown ? count(days.map(dryDay)) : null,
    humidDays: weather === null ? null : count(weather.humid),
    coldDryDays: weather === null || !rainKnown ? null : count(weather.coldDry),
    rainUnknownDays,
  }
}

/** Less rain than this in a day wets no ground [mm]. */
const DRY_DAY_MM = 1

function stagesOf(counts: Counts, limits: BaselineLimits): { stage: BaselineStage; missing: BaselineCount[] }[] {
  const want = (what: BaselineCount['what'], have: number | null, wanted: number): BaselineCount[] =>
    have !== null && have >= wanted ? [] : [{ what, have, wanted }]
  const year = want('complete days', counts.completeDays, limits.closingDays)
  const seasons = [
    ...want('humid days', counts.humidDays, limits.closingHumidDays),
    ...want('cold dry days', counts.coldDryDays, limits.closingColdDryDays),
  ]
  return [
    {
      stage: 'screening',
      missing: [
        ...want('complete days', counts.completeDays, limits.screeningDays),
        ...want('storms', counts.storms, limits.screeningStorms),
      ],
    },
    {
      stage: 'diagnosis',
      missing: [
        ...want('complete days', counts.completeDays, limits.diagnosisDays),
        ...want('storms', counts.storms, limits.diagnosisStorms),
        ...want('dry days', counts.dryDays, limits.diagnosisDryDays),
      ],
    },
    { stage: 'closing decision', missing: year.length === 0 ? [] : seasons },
  ]
}

const SAYS: Record<BaselineStage, { canSay: string[]; cannotSay: string[] }> = {
  'one visit': {
    canSay: ['Hazards, liquid water and wood moisture as they are at this moment.'],
    cannotSay: ['No trend, no source and no rain response.'],
  },
  screening: {
    canSay: ['A first sorting: a leak, the ground, or outdoor air.'],
    cannotSay: ['The rain response and the size of each source are not settled by one storm.'],
  },
  diagnosis: {
    canSay: ['Where the water comes from, and how the space answers rain.'],
    cannotSay: ['Whether it must be closed: a humid season and a cold month have not both been seen.'],
  },
  'closing decision': {
    canSay: ['Where the water comes from, how the space answers rain, and whether it must be closed.'],
    cannotSay: [],
  },
}

function wordsFor(stage: BaselineStage, { completeDays, humidDays }: Counts, limits: BaselineLimits) {
  const { canSay, cannotSay } = SAYS[stage]
  if (stage !== 'one visit' || completeDays < limits.screeningDays || humidDays === null) return { canSay, cannotSay }
  // Days enough, and only rain is lacking: what needs no rain can be said.
  return {
    canSay: [...canSay, `Vapor inside against vapor outdoors over ${completeDays} days.`],
    cannotSay: ['Nothing that has to do with rain, so no source is settled.'],
  }
}

function addsOf(next: Baseline['next'], counts: Counts): string[] {
  if (next === null) return ['More days narrow the numbers; no stage is waiting for them.']
  const adds = next.missing.map(({ what, have, wanted }) => {
    if (have === null) {
      const lacking = what === 'storms' || what === 'dry days' || what === 'cold dry days' ? 'rain' : 'outdoor air'
      return `Until ${lacking} is recorded, ${what} cannot be counted and ${next.stage} cannot be reached.`
    }
    const left = wanted - have
    if (what === 'storms') return `One more storm makes ${have + 1} of ${wanted} that ${next.stage} needs.`
    if (what === 'complete days') {
      return left <= 7
        ? `${left} more complete days reach the ${wanted} that ${next.stage} needs.`
        : `One more week makes ${have + 7} of the ${wanted} complete days that ${next.stage} needs.`
    }
    return `${left} more ${what} are needed for ${next.stage} (${have} of ${wanted}); they come with their season.`
  })
  if (counts.rainUnknownDays > 0 && counts.storms !== null) {
    adds.push(`Rain is not known on ${counts.rainUnknownDays} days; filling them in may already add a storm.`)
  }
  return adds
}
