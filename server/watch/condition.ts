/** What holds in a house at an instant: rules raised at its spots, put together to one for each cause. */
import type { Thresholds } from '../advice/defaults.ts'
import type { WatchedHouse, WatchedSpot } from './house.ts'
import type { Raised, Rule } from './rules/rule.ts'
import type { Audience, Circumstance, NoticeBody, NoticeNumbers, NoticePlace, Urgency, Watch } from './types.ts'

export interface Condition {
  watch: Watch
  cause: string
  since: number
  /** When the rule was sure. */
  sureAt: number
  /** When its places were heard last. */
  seenAt: number
  urgency: Urgency
  audience: Audience[]
  place: NoticePlace
  alsoAt: string[]
  about: string | null
  circumstances: Circumstance[]
  numbers: NoticeNumbers
}

/** It held, and is over. */
export interface Ended extends Condition {
  until: number
}

export const keyOf = ({ watch, cause }: { watch: string; cause: string }): string => `${watch}|${cause}`

/** A wet house is no news to its owner while it dries: only what a letter about could change. */
const EXPECTED_WHILE_DRYING: ReadonlySet<Watch> = new Set(['damp', 'vapor excess', 'condensation', 'wood wet', 'mold'])

const RANK: Record<Urgency, number> = { note: 0, soon: 1, urgent: 2 }
export const moreUrgent = (one: Urgency, other: Urgency): boolean => RANK[one] > RANK[other]

const isDrying = (
  { dryingFrom, held }: Pick<WatchedHouse, 'dryingFrom'> & { held: Pick<Thresholds, 'dryingQuietWeeks'> },
  at: number,
): boolean => dryingFrom.some((from) => from <= at && at - from < held.dryingQuietWeeks * 7 * 86_400_000)

export interface RaisedAt {
  spot: WatchedSpot
  seenAt: number
  raised: Raised
}

/** One rule, one cause: the worst spot speaks for it. */
export function together(
  { watch, scope }: Pick<Rule, 'watch' | 'scope'>,
  all: readonly RaisedAt[],
  house: WatchedHouse,
  at: number,
): Condition {
  const worst = all.reduce((one, other) => (isWorse(other.raised, one.raised) ? other : one))
  const { spot, raised } = worst
  const drying = EXPECTED_WHILE_DRYING.has(watch) && isDrying(house, at)
  return {
    watch,
    cause: scope === 'space' ? spot.spaceKey : scope === 'spot' ? spot.path : '',
    since: Math.min(...all.map((one) => one.raised.since)),
    sureAt: Math.min(...all.map((one) => one.raised.sureAt)),
    seenAt: Math.max(...all.map((one) => one.seenAt)),
    urgency: raised.urgency,
    audience: raised.audience.filter((audience) => !(drying && audience === 'owner')),
    place: { spot: spot.path, spotName: spot.name, spaceName: spot.spaceName },
    alsoAt: all.filter((one) => one !== worst).map((one) => one.spot.name),
    about: raised.about ?? null,
    circumstances: [...(raised.circumstances ?? []), ...(drying ? (['drying after a work'] as const) : [])],
    numbers: raised.numbers,
  }
}

function isWorse(one: Raised, other: Raised): boolean {
  if (one.urgency !== other.urgency) return moreUrgent(one.urgency, other.urgency)
  return one.weight > other.weight
}

export const bodyOf = ({ audience, place, alsoAt, about, circumstances, numbers }: Condition): NoticeBody => ({
  audience,
  place,
  alsoAt,
  about,
  circumstances,
  numbers,
})
