/**
 * One storm wets many houses: in the round they stand as one group, so that forty lines do not hide the house that has
 * something else. The rain must be known to have fallen there, and the water to have come within one storm.
 */
import { NUMBER_DEFAULTS } from '../advice/defaults.ts'
import { HOUR_MS } from '../series/hourly.ts'

/** An open notice, as far as storms go. */
export interface StormNotice {
  watch: string
  /** When the readings say it began, and when it was raised. */
  sinceAt: number
  openedAt: number
  acknowledgedBy: string | null
  afterBigRain: boolean
  rainMm: number | null
  /** How many places it is so at: the nearest to a depth that water probes tell. */
  places: number
}

export interface StormHouse {
  key: string
  /** Weather stations it uses, by whatever names them. */
  stations: readonly (string | number)[]
  notices: readonly StormNotice[]
}

export interface StormGroup {
  /** When the first of them got wet, and the last. */
  from: number
  to: number
  /** Least and most rain that is known of; null where none is. */
  rainMm: { least: number; most: number } | null
  /** Keys: liquid water before the rest, new before seen, newest first. */
  houses: string[]
  /** How many nobody has acknowledged. */
  unseen: number
}

/** Water of one storm shows within two days (proposal). */
const TOGETHER_MS = 48 * HOUR_MS
const LIQUID = 'liquid water'
const OF_STORMS: ReadonlySet<string> = new Set([LIQUID, 'rain response back'])

interface Wet {
  house: StormHouse
  notice: StormNotice
}

export function stormGroups(houses: readonly StormHouse[]): StormGroup[] {
  const wet = houses
    .flatMap((house): Wet[] => {
      const notice = house.notices
        .filter(({ watch }) => OF_STORMS.has(watch))
        .sort((a, b) => Number(b.watch === LIQUID) - Number(a.watch === LIQUID) || a.sinceAt - b.sinceAt)[0]
      return notice === undefined ? [] : [{ house, notice }]
    })
    .sort((a, b) => a.notice.sinceAt - b.notice.sinceAt)
  const groups: Wet[][] = []
  for (const one of wet.filter(({ notice }) => rained(notice))) {
    const storm = groups.find((members) => isOfStorm(one, members))
    if (storm) storm.push(one)
    else groups.push([one])
  }
  // A house that knows of no rain has a neighbor at its station that does.
  for (const one of wet.filter(({ notice }) => !rained(notice))) {
    groups.find((members) => members.some((member) => together(one, member) && shareStation(one, member)))?.push(one)
  }
  return groups.filter((members) => members.length > 1).map(groupOf)
}

const rained = ({ afterBigRain, rainMm }: StormNotice): boolean =>
  afterBigRain || (rainMm ?? 0) >= NUMBER_DEFAULTS.stormMinMm.value

/** Within two days of its first house, or of one at the same station: some storms are longer. */
const isOfStorm = (one: Wet, members: readonly Wet[]): boolean =>
  together(one, members[0]!) || members.some((member) => together(one, member) && shareStation(one, member))

const together = (a: Wet, b: Wet): boolean => Math.abs(a.notice.sinceAt - b.notice.sinceAt) <= TOGETHER_MS
const shareStation = (a: Wet, b: Wet): boolean => a.house.stations.some((station) => b.house.stations.includes(station))

function groupOf(members: readonly Wet[]): StormGroup {
  const ranked = [...members].sort(
    ({ notice: a }, { notice: b }) =>
      Number(b.watch === LIQUID) - Number(a.watch === LIQUID) ||
      Number(a.acknowledgedBy !== null) - Number(b.acknowledgedBy !== null) ||
      b.openedAt - a.openedAt ||
      b.places - a.places,
  )
  const since = members.map(({ notice }) => notice.sinceAt)
  const rain = members.flatMap(({ notice }) => notice.rainMm ?? [])
  return {
    from: Math.min(...since),
    to: Math.max(...since),
    rainMm: rain.length === 0 ? null : { least: Math.min(...rain), most: Math.max(...rain) },
    houses: ranked.map(({ house }) => house.key),
    unseen: members.filter(({ notice }) => notice.acknowledgedBy === null).length,
  }
}
