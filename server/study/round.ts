/** Every house under care, those that need somebody first, each with one sentence why. Answers from what is kept. */
import type { Level } from '../moisture/level.ts'
import { LEVELS } from '../moisture/level.ts'
import { HOUR_MS } from '../series/hourly.ts'
import { readFindings } from '../store/findings.ts'
import { listHouses } from '../store/houses.ts'
import type { Database } from '../store/open.ts'
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
  /** Told for each house whose findings are not kept, so that somebody makes them. */
  onMissing: (houseKey: string) => void
}

export async function round(db: Database, { now, units, onMissing }: RoundAsked): Promise<RoundHouse[]> {
  const houses: RoundHouse[] = []
  for (const { id, key, name, place, invented, timeZone } of await listHouses(db)) {
    const [row] = await readFindings(db, id, 'level')
    const data = (row?.body as Finding | undefined)?.data as HouseLevelData | undefined
    if (row === undefined) onMissing(key)
    const common = { key, name, place, invented, timeZone }
    houses.push({ ...common, ...standingOf(row !== undefined, data, { invented }, now, units) })
  }
  return houses.sort(
    (a, b) =>
      ORDER.indexOf(a.standing) - ORDER.indexOf(b.standing) ||
      LEVELS.indexOf(a.level ?? 'dry') - LEVELS.indexOf(b.level ?? 'dry') ||
      (a.since ?? '').localeCompare(b.since ?? '') ||
      a.name.localeCompare(b.name),
  )
}

function standingOf(
  made: boolean,
  data: HouseLevelData | undefined,
  house: { invented: boolean },
  now: number,
  units: Units,
): Pick<RoundHouse, 'standing' | 'level' | 'line' | 'since' | 'spots' | 'lastHeardAt'> {
  const empty = { level: null, since: null, spots: [], lastHeardAt: null }
  if (!made) return { ...empty, standing: 'waiting', line: 'Its findings are being worked out.' }
  const spots = data?.spaces.flatMap((space) => space.spots) ?? []
  if (data === undefined || spots.length === 0) {
    return { ...empty, standing: 'no readings', line: 'No readings yet: bring in a file, or place loggers.' }
  }
  const asOf = asOfHouse(house, data.recordEnd, now)
  const judged = spots.map((spot) => ({ ...spot, level: isSilent(spot, data, asOf) ? ('silent' as const) : spot.level }))
  const worst = [...judged].sort((a, b) => LEVELS.indexOf(a.level) - LEVELS.indexOf(b.level) || a.since.localeCompare(b.since))[0]!
  const heard = spots.flatMap(({ lastHeardAt }) => lastHeardAt ?? [])
  return {
    standing: STANDING[worst.level],
    level: worst.level,
    line: lineOf(worst, judged, units),
    since: worst.level === 'silent' ? null : worst.since,
    spots: LEVELS.flatMap((level) => {
      const count = judged.filter((spot) => spot.level === level).length
      return count === 0 ? [] : [{ level, count }]
    }),
    lastHeardAt: heard.length === 0 ? null : Math.max(...heard),
  }
}

const STANDING: Record<Level, Standing> = { wet: 'act', damp: 'look', drying: 'fine', silent: 'silent', dry: 'fine' }

const isSilent = ({ lastHeardAt }: SpotLevelData, { silentHours }: HouseLevelData, asOf: number): boolean =>
  lastHeardAt === null || asOf - lastHeardAt >= silentHours * HOUR_MS

function lineOf(worst: SpotLevelData, judged: readonly SpotLevelData[], units: Units): string {
  const silent = judged.filter(({ level }) => level === 'silent')
  if (worst.level === 'silent') {
    return silent.length === judged.length
      ? 'Nothing is heard from the whole house: look for its gateway or power.'
      : `Nothing is heard from ${silent.map(({ name }) => name).join(', ')}.`
  }
  if (worst.level === 'dry') return `Dry at every spot since ${dateWords(worst.since)}.`
  const because = wordedText(worst.because, worst, units)
  return `${worst.name}, ${worst.level} since ${dateWords(worst.since)}: ${because}`
}
