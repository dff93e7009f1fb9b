/**
 * What the owner of a house is shown: whether it is dry, and how it went through the seasons. Answers from what was found
 * last, so that it stands at once on a phone; a house where something came in since is handed on to be looked at again.
 */
import { thresholds } from '../../advice/thresholds.ts'
import { HOUR_MS } from '../../series/hourly.ts'
import { instantOfLocalText } from '../../series/localTime.ts'
import { readFirstFinding } from '../../store/findings.ts'
import { findHouseNews, type HouseNews } from '../../store/houseNews.ts'
import { findHouse, type HouseRow } from '../../store/houses.ts'
import type { HouseTree } from '../../store/houseTree.ts'
import type { Database } from '../../store/open.ts'
import { readTree } from '../../store/readHouse.ts'
import { readSettings } from '../../store/settings.ts'
import type { Finding } from '../finding.ts'
import type { HouseLevelData } from '../findingData.ts'
import { workKindWords } from '../workWords.ts'
import { asOfHouse } from './asOf.ts'
import { ownerSeasons } from './ownerSeasons.ts'
import { type OpenNotice, type OwnerSpot, ownerState } from './ownerState.ts'
import { type RiskSeries, riskSeriesOf } from './riskSeries.ts'

export interface OwnerView {
  house: { key: string; name: string; invented: boolean; timeZone: string }
  asOf: number
  state: ReturnType<typeof ownerState>
  lastHeardAt: number | null
  weeks: ReturnType<typeof ownerSeasons>
  woodMeasured: boolean
  woodLines: { dampPct: number; wetPct: number }
  works: { date: string; at: number; words: string }[]
}

export interface OwnerViewDeps {
  now: () => number
  /** Told for each house that must be looked at again. */
  onStale: (houseKey: string) => void
  onTrouble: (houseKey: string, error: unknown) => void
}

/** @returns undefined: no such house; 'being made': nothing was found yet */
export function createOwnerView(db: Database, { now, onStale, onTrouble }: OwnerViewDeps) {
  /** Wood is worked out in a second or more: what was kept is shown meanwhile, and what never was is waited for. */
  async function woodOf(houseKey: string, houseId: number, levelsAt: number): Promise<RiskSeries | null> {
    const kept = await readFirstFinding(db, houseId, 'risk by day')
    const made = () => riskSeriesOf(db, houseKey, now())
    if (kept === undefined) return (await made()) ?? null
    if (kept.computedAt < levelsAt) made().catch((error: unknown) => onTrouble(houseKey, error))
    return kept.body as RiskSeries
  }

  return async (houseKey: string, notices: readonly OpenNotice[]): Promise<OwnerView | 'being made' | undefined> => {
    const row = await findHouse(db, houseKey)
    if (!row) return undefined
    const news = (await findHouseNews(db, row.id)).get(row.id)
    const level = await readFirstFinding(db, row.id, 'level')
    if (level === undefined || (news && (news.due || news.changedAt > level.computedAt))) onStale(houseKey)
    if (level === undefined) return 'being made'
    const data = (level.body as Finding).data as HouseLevelData | undefined
    const risk = data === undefined ? null : await woodOf(houseKey, row.id, level.computedAt)
    return viewOf(db, row, { data, news, risk, notices, now: now() })
  }
}

interface Found {
  /** undefined: nothing has been measured in the house. */
  data: HouseLevelData | undefined
  news: HouseNews | undefined
  risk: RiskSeries | null
  notices: readonly OpenNotice[]
  now: number
}

async function viewOf(db: Database, row: HouseRow, { data, news, risk, notices, now }: Found): Promise<OwnerView> {
  const tree = readTree(db, row)
  const { key, name, invented = false, timeZone } = tree
  const settings = await readSettings(db, row)
  const held = thresholds(settings.firm, settings.house)
  const asOf = asOfHouse(tree, data?.recordEnd ?? null, now)
  const hungNow = hungIn(tree)
  const spots = (data?.spaces ?? []).flatMap((space) => space.spots)
  const shown = spots
    .filter(({ spot, lastHeardAt }) => lastHeardAt !== null || hungNow.has(spot))
    .map((spot): OwnerSpot & { spot: string } => {
      const newest = news?.heardAt.get(spot.spot) ?? null
      const lastHeardAt = newest === null ? spot.lastHeardAt : Math.max(newest, spot.lastHeardAt ?? newest)
      const silent = lastHeardAt === null || asOf - lastHeardAt >= held.silentHours * HOUR_MS
      return { spot: spot.spot, name: spot.name, level: silent ? 'silent' : spot.level, since: spot.since, lastHeardAt }
    })
  // A place that nothing hangs at any more has nothing to tell of today.
  const today = shown.filter(({ spot }) => hungNow.size === 0 || hungNow.has(spot))
  const heard = today.flatMap(({ lastHeardAt }) => lastHeardAt ?? [])
  return {
    house: { key, name, invented, timeZone },
    asOf,
    state: ownerState(today, notices, timeZone),
    lastHeardAt: heard.length === 0 ? null : Math.max(...heard),
    weeks: ownerSeasons({ spots, hungNow, risk, timeZone, asOf }),
    woodMeasured: risk?.spots.some(({ pins }) => pins) ?? false,
    woodLines: { dampPct: held.woodDampPct, wetPct: held.woodWetPct },
    works: (tree.works ?? [])
      .map(({ kind, from }) => ({
        date: from.slice(0, 10),
        at: instantOfLocalText(from, timeZone),
        words: capital(workKindWords(kind)),
      }))
      .sort((a, b) => a.at - b.at),
  }
}

function hungIn(tree: HouseTree): Set<string> {
  const placements = (tree.loggers ?? []).flatMap(({ probes }) => probes.flatMap((probe) => probe.placements))
  return new Set(placements.filter(({ to }) => to === undefined).map(({ spot }) => spot))
}

/** "The ground cover" without its article. */
const capital = (words: string): string => {
  const bare = words.replace(/^the /, '')
  return bare.charAt(0).toUpperCase() + bare.slice(1)
}
