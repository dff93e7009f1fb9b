/**
 * Every house under care, those that need somebody first, each with one sentence why. Answers from what was found last; a
 * house where something came in since is handed on, so that it is looked at again meanwhile (DEVELOPERS.md, 70).
 */
import type { Level } from '../moisture/level.ts'
import { LEVELS } from '../moisture/level.ts'
import { HOUR_MS } from '../series/hourly.ts'
import { localDateText } from '../series/localTime.ts'
import { readFirstFinding } from '../store/findings.ts'
import { findHouseNews, type HouseNews } from '../store/houseNews.ts'
import { findStationsByHouse, listHouses } from '../store/houses.ts'
import type { Database } from '../store/open.ts'
import { URGENCIES, type Urgency } from '../store/schema.ts'
import { yieldToOthers } from '../store/unitsOfWork.ts'
import type { BalanceDeparture } from './balance/balanceAnswer.ts'
import type { Finding } from './finding.ts'
import type { HouseLevelData, SpotLevelData } from './findingData.ts'
import { type StormGroup, type StormNotice, stormGroups } from './stormGroups.ts'
import { asOfHouse } from './view/asOf.ts'
import { dateWords } from './view/dateWords.ts'
import { type Units, wordedText } from './wording.ts'

export type Standing = 'act' | 'look' | 'silent' | 'waiting' | 'fine' | 'no readings'

export interface RoundHouse {
  key: string
  name: string
  place: string
  invented: boolean
  timeZone: string
  standing: Standing
  /** Of the notice it stands there for; null where none is open, or all are put off. */
  urgency: Urgency | null
  level: Level | null
  line: string
  since: string | null
  spots: { level: Level; count: number }[]
  lastHeardAt: number | null
}

const ORDER: readonly Standing[] = ['act', 'look', 'silent', 'waiting', 'fine', 'no readings']

/** An open notice of a house. Its line is the watch's own. */
export interface RoundNotice extends StormNotice {
  urgency: Urgency
  snoozedUntil: number | null
  /** Nobody acknowledged it in time. */
  escalated: boolean
  line: string
}

export interface RoundAsked {
  now: number
  units: Units
  /** Open ones by id of the house. */
  notices: ReadonlyMap<number, readonly RoundNotice[]>
  /** Houses within reach of whoever asks, by key. */
  reaches?: (houseKey: string) => boolean
  /** Told for each house that must be looked at again. */
  onStale: (houseKey: string) => void
}

interface Found {
  /** undefined: nothing has been measured in the house. */
  data: HouseLevelData | undefined
  news: HouseNews
  stale: boolean
  departure: BalanceDeparture | undefined
}

export interface Round {
  houses: RoundHouse[]
  /** Houses that one storm wetted, the largest group first. */
  storms: StormGroup[]
}

const NO_NEWS: HouseNews = { heardAt: new Map(), due: false, changedAt: 0, lastWorkAt: null }

export async function round(
  db: Database,
  { now, units, notices, reaches = () => true, onStale }: RoundAsked,
): Promise<Round> {
  const allNews = await findHouseNews(db)
  const ranked: { house: RoundHouse; seen: boolean }[] = []
  const stations = await findStationsByHouse(db)
  const within = (await listHouses(db)).filter(({ key }) => reaches(key))
  for (const { id, key, name, place, invented, timeZone } of within) {
    const news = allNews.get(id) ?? NO_NEWS
    await yieldToOthers()
    const row = await readFirstFinding(db, id, 'level')
    const stale = row === undefined || news.due || news.changedAt > row.computedAt
    if (stale) onStale(key)
    const common = { key, name, place, invented, timeZone }
    const data = row && ((row.body as Finding).data as HouseLevelData | undefined)
    const departure = row && (await departureOf(db, id, news))
    const found =
      row === undefined
        ? { ...NOTHING, standing: 'waiting' as const, line: 'Its findings are being worked out.' }
        : standingOf(common, { data, news, stale, departure }, now, units)
    const open = notices.get(id) ?? []
    ranked.push({
      house: { ...common, ...withNotices(found, open, { timeZone, now }) },
      seen: open.length > 0 && open.every(({ acknowledgedBy }) => acknowledgedBy !== null),
    })
  }
  ranked.sort(
    (a, b) =>
      ORDER.indexOf(a.house.standing) - ORDER.indexOf(b.house.standing) ||
      urgencyRank(a.house) - urgencyRank(b.house) ||
      Number(a.seen) - Number(b.seen) ||
      LEVELS.indexOf(a.house.level ?? 'dry') - LEVELS.indexOf(b.house.level ?? 'dry') ||
      (a.house.since ?? '').localeCompare(b.house.since ?? '') ||
      a.house.name.localeCompare(b.house.name),
  )
  const storms = stormGroups(
    within.map(({ id, key }) => ({ key, stations: stations.get(id) ?? [], notices: notices.get(id) ?? [] })),
  )
  return {
    houses: ranked.map(({ house }) => house),
    storms: storms.sort((a, b) => b.houses.length - a.houses.length),
  }
}

/** What nobody is told about any more comes last. */
const urgencyRank = ({ urgency }: RoundHouse): number => (urgency === null ? 0 : -URGENCIES.indexOf(urgency))

/** An open notice speaks before the level: it says what happened, and whether somebody has it in hand. */
function withNotices(
  found: Stands,
  open: readonly RoundNotice[],
  { timeZone, now }: { timeZone: string; now: number },
): Stands & Pick<RoundHouse, 'urgency'> {
  const due = open
    .filter(({ snoozedUntil }) => (snoozedUntil ?? 0) <= now)
    .sort(
      (a, b) =>
        URGENCIES.indexOf(b.urgency) - URGENCIES.indexOf(a.urgency) ||
        Number(a.acknowledgedBy !== null) - Number(b.acknowledgedBy !== null) ||
        b.openedAt - a.openedAt,
    )
  const [first] = due
  if (first === undefined) {
    const until = Math.min(...open.map(({ snoozedUntil }) => snoozedUntil ?? now))
    if (open.length === 0) return { ...found, urgency: null }
    const line = `${open[0]!.line} Put off until ${dateWords(localDateText(until, timeZone))}.`
    return { ...found, standing: 'look', line, urgency: null }
  }
  const { watch, urgency, acknowledgedBy, escalated, sinceAt, line } = first
  const inHand =
    acknowledgedBy !== null ? ` ${acknowledgedBy} has seen it.` : escalated ? ' Nobody has acknowledged it.' : ''
  const others = due.length === 1 ? '' : ` And ${due.length - 1} more.`
  return {
    ...found,
    standing: standingFor(first, found.standing),
    urgency,
    since: watch === 'silent' && found.standing === 'silent' ? found.since : localDateText(sinceAt, timeZone),
    line: `${line}${inHand}${others}`,
  }
}

/** A note asks for a look; what somebody has in hand and can wait does, too. */
function standingFor({ watch, urgency, acknowledgedBy }: RoundNotice, found: Standing): Standing {
  if (watch === 'silent') return found === 'act' ? 'act' : 'silent'
  if (urgency === 'urgent' || (urgency === 'soon' && acknowledgedBy === null)) return 'act'
  return found === 'act' && acknowledgedBy === null ? 'act' : 'look'
}

/** The likeliest of what may have begun, unless a work has answered it since. */
async function departureOf(
  db: Database,
  houseId: number,
  { lastWorkAt }: HouseNews,
): Promise<BalanceDeparture | undefined> {
  const row = await readFirstFinding(db, houseId, 'moisture balance', '$.departures')
  const departures = (row?.body ?? []) as BalanceDeparture[]
  return departures.find(({ at }) => lastWorkAt === null || at >= lastWorkAt)
}

type Stands = Pick<RoundHouse, 'standing' | 'level' | 'line' | 'since' | 'spots' | 'lastHeardAt'>
const NOTHING = { level: null, since: null, spots: [], lastHeardAt: null }
const STANDING: Record<Level, Standing> = { wet: 'act', damp: 'look', drying: 'fine', silent: 'silent', dry: 'fine' }

function standingOf(
  house: { invented: boolean; timeZone: string },
  { data, news, stale, departure }: Found,
  now: number,
  units: Units,
): Stands {
  const spots = (data?.spaces ?? []).flatMap((space) => space.spots.map((spot) => heardLately(spot, news)))
  if (data === undefined || spots.length === 0) {
    return stale && news.heardAt.size > 0
      ? { ...NOTHING, standing: 'waiting', line: 'Its first readings came in; they are being worked out.' }
      : { ...NOTHING, standing: 'no readings', line: 'No readings yet: bring in a file, or place loggers.' }
  }
  const asOf = asOfHouse(house, data.recordEnd, now)
  const judged = spots.map((spot) => (isSilent(spot, data, asOf) ? { ...spot, level: 'silent' as const } : spot))
  const worst = judged.toSorted(
    (a, b) => LEVELS.indexOf(a.level) - LEVELS.indexOf(b.level) || a.since.localeCompare(b.since),
  )[0]!
  const heard = spots.flatMap(({ lastHeardAt }) => lastHeardAt ?? [])
  const told: Stands = {
    standing: STANDING[worst.level],
    level: worst.level,
    line: lineOf(worst, judged, units),
    since: worst.level === 'silent' ? null : worst.level === 'dry' ? dryAllSince(judged) : worst.since,
    spots: LEVELS.flatMap((level) => {
      const count = judged.filter((spot) => spot.level === level).length
      return count === 0 ? [] : [{ level, count }]
    }),
    lastHeardAt: heard.length === 0 ? null : Math.max(...heard),
  }
  if (told.standing !== 'fine' || departure === undefined) return told
  const date = localDateText(departure.at, house.timeZone)
  const line = `It has left its path since ${dateWords(date)}; likeliest: ${departure.kind}. Look at its balance.`
  return { ...told, standing: 'look', since: date, line }
}

/** Findings may be older than the last reading. */
const heardLately = (spot: SpotLevelData, { heardAt }: HouseNews): SpotLevelData => {
  const at = heardAt.get(spot.spot)
  return at === undefined ? spot : { ...spot, lastHeardAt: Math.max(at, spot.lastHeardAt ?? at) }
}

const dryAllSince = (spots: readonly SpotLevelData[]): string =>
  spots
    .map(({ since }) => since)
    .sort()
    .at(-1)!

const isSilent = ({ lastHeardAt }: SpotLevelData, { silentHours }: HouseLevelData, asOf: number): boolean =>
  lastHeardAt === null || asOf - lastHeardAt >= silentHours * HOUR_MS

function lineOf(worst: SpotLevelData, judged: readonly SpotLevelData[], units: Units): string {
  const silent = judged.filter(({ level }) => level === 'silent')
  if (worst.level === 'silent') {
    return silent.length === judged.length
      ? 'Nothing is heard from the whole house: look for its power, or the box that passes readings on.'
      : `Nothing is heard from ${silent.map(({ name }) => name).join(', ')}.`
  }
  if (worst.level === 'dry') return `Dry at every spot since ${dateWords(dryAllSince(judged))}.`
  const because = wordedText(worst.because, worst, units)
  return `${worst.name}, ${worst.level} since ${dateWords(worst.since)}: ${because}`
}
