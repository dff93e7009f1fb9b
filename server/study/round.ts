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
import { listHouses } from '../store/houses.ts'
import type { Database } from '../store/open.ts'
import { yieldToOthers } from '../store/unitsOfWork.ts'
import type { BalanceDeparture } from './balance/balanceAnswer.ts'
import type { Finding } from './finding.ts'
import type { HouseLevelData, SpotLevelData } from './findingData.ts'
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
  level: Level | null
  line: string
  since: string | null
  spots: { level: Level; count: number }[]
  lastHeardAt: number | null
}

const ORDER: readonly Standing[] = ['act', 'look', 'silent', 'waiting', 'fine', 'no readings']

export interface RoundAsked {
  now: number
  units: Units
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

const NO_NEWS: HouseNews = { heardAt: new Map(), due: false, changedAt: 0, lastWorkAt: null }

export async function round(db: Database, { now, units, onStale }: RoundAsked): Promise<RoundHouse[]> {
  const allNews = await findHouseNews(db)
  const houses: RoundHouse[] = []
  for (const { id, key, name, place, invented, timeZone } of await listHouses(db)) {
    const news = allNews.get(id) ?? NO_NEWS
    await yieldToOthers()
    const row = await readFirstFinding(db, id, 'level')
    const stale = row === undefined || news.due || news.changedAt > row.computedAt
    if (stale) onStale(key)
    const common = { key, name, place, invented, timeZone }
    if (row === undefined) {
      houses.push({ ...common, ...NOTHING, standing: 'waiting', line: 'Its findings are being worked out.' })
      continue
    }
    const data = (row.body as Finding).data as HouseLevelData | undefined
    const departure = await departureOf(db, id, news)
    houses.push({ ...common, ...standingOf(common, { data, news, stale, departure }, now, units) })
  }
  return houses.sort(
    (a, b) =>
      ORDER.indexOf(a.standing) - ORDER.indexOf(b.standing) ||
      LEVELS.indexOf(a.level ?? 'dry') - LEVELS.indexOf(b.level ?? 'dry') ||
      (a.since ?? '').localeCompare(b.since ?? '') ||
      a.name.localeCompare(b.name),
  )
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
