/** Reads a house for its watches: what was entered, and stretches of its hours. */
import { thresholds } from '../advice/thresholds.ts'
import { spaceKinds } from '../moisture/spaceKind.ts'
import { denseHours, HOUR_MS, type HourlyColumns } from '../series/hourly.ts'
import { instantOfLocalText } from '../series/localTime.ts'
import { maskUnusable, spotHours } from '../series/placedHours.ts'
import { findPlacements, type PlacementRow, readWater } from '../store/heard.ts'
import { readHours } from '../store/hourly.ts'
import type { HouseRow } from '../store/houses.ts'
import type { HouseTree, WorkTree } from '../store/houseTree.ts'
import type { Database } from '../store/open.ts'
import { readTree } from '../store/readHouse.ts'
import { findEnds } from '../store/readings.ts'
import type { WorkKind } from '../store/schema.ts'
import { readSettings } from '../store/settings.ts'
import { visitEnd } from '../store/visits.ts'
import type { FoundIn } from './found.ts'
import type { Stretch, WatchedHouse, WatchedSpot } from './house.ts'
import type { WaterReading } from './rules/rule.ts'

export interface WatchedRecord {
  house: WatchedHouse
  foundIn: FoundIn
  invented: boolean
  works: { kinds: WorkKind[]; from: number; to: number | null }[]
  /** It stood there before anything was measured. */
  dehumidifierAtStart: boolean
  /** Placements under the house and outdoors; stations. */
  inside: PlacementRow[]
  outdoors: PlacementRow[]
  stations: number[]
  /** First hour of the record and the end of its last reading; null when nothing was ever heard under the house. */
  begin: number | null
  end: number | null
}

const LEADS_WATER_AWAY: readonly WorkKind[] = ['downspout drain', 'yard drain', 'footing drain', 'repair']
const BELOW = new Set(['crawl space', 'basement'])

/** @throws ThresholdError when the settings of the firm or the house cannot hold */
export async function readWatched(db: Database, row: HouseRow): Promise<WatchedRecord> {
  const tree = readTree(db, row)
  const settings = await readSettings(db, row)
  const instant = (text: string) => instantOfLocalText(text, tree.timeZone)
  const works = (tree.works ?? []).map((work) => ({
    ...work,
    kinds: [work.kind, ...(work.details?.parts ?? [])],
    from: instant(work.from),
    to: work.to === undefined ? null : instant(work.to),
  }))
  const kindOfSpace = new Map(tree.spaces.map((space) => [space.key, spaceKinds(space, works)]))
  const { placements, stations } = await findPlacements(db, row.id)
  const outdoorSpaces = new Set(tree.spaces.filter(({ role }) => role === 'outdoor').map(({ key }) => key))
  const spots = judgedSpots(tree)
  const paths = new Set(spots.map(({ path }) => path))
  const inside = placements.filter(({ path }) => paths.has(path))
  const ends = await findEnds(db, [...new Set(inside.map(({ probeId }) => probeId))])
  const house: WatchedHouse = {
    timeZone: tree.timeZone,
    held: thresholds(settings.firm, settings.house),
    spots,
    closedAt: (spaceKey, at) => kindOfSpace.get(spaceKey)?.at(at) !== 'vented',
    dryingFrom: works.filter(({ to }) => to === null).map(({ from }) => from),
    drainedFrom: works.filter(leadsWaterAway).map(({ from }) => from),
    machines: machinesOf(tree, works),
    visits: (tree.events ?? [])
      .filter(({ kind, from }) => (kind === 'visit' || kind === 'logger touched') && from.includes('T'))
      .map((event) => ({ from: instant(event.from), to: visitEnd(event, instant) })),
  }
  return {
    house,
    foundIn: {
      spots,
      lastWorkAt: works.length === 0 ? null : Math.max(...works.map(({ from }) => from)),
      drainedAt: house.drainedFrom.length === 0 ? null : Math.max(...house.drainedFrom),
    },
    invented: tree.invented ?? false,
    works: works.map(({ kinds, from, to }) => ({ kinds, from, to })),
    dehumidifierAtStart: Boolean(tree.facts?.dehumidifierAtStart),
    inside,
    outdoors: placements.filter(({ path }) => outdoorSpaces.has(path.split('/')[0]!)),
    stations,
    begin: ends.length === 0 ? null : Math.floor(Math.min(...ends.map(({ from }) => from)) / HOUR_MS) * HOUR_MS,
    end: ends.length === 0 ? null : Math.max(...ends.map(({ to }) => to)),
  }
}

const leadsWaterAway = ({ kinds }: { kinds: readonly WorkKind[] }) =>
  kinds.some((kind) => LEADS_WATER_AWAY.includes(kind))

const judgedSpots = (tree: HouseTree): WatchedSpot[] =>
  tree.spaces
    .filter(({ role }) => role !== 'outdoor' && role !== 'living')
    .flatMap((space) =>
      space.spots.map((spot) => ({
        path: `${space.key}/${spot.key}`,
        name: spot.name,
        spaceKey: space.key,
        spaceName: space.name,
        below: BELOW.has(space.role),
        coldSurface: spot.coldSurface ?? null,
      })),
    )

/** The one that was there from the start, and those brought by works, oldest first. */
function machinesOf(
  tree: HouseTree,
  works: readonly (Pick<WorkTree, 'details'> & WatchedRecord['works'][number])[],
): WatchedHouse['machines'] {
  const first = tree.facts?.dehumidifierAtStart
  return [
    ...(first ? [{ from: 0, to: null, setPointRhPct: first.setPointRhPct ?? null }] : []),
    ...works
      .filter(({ kinds }) => kinds.includes('dehumidifier'))
      .map(({ from, to, details }) => ({ from, to, setPointRhPct: details?.setPointRhPct ?? null })),
  ].sort((a, b) => a.from - b.from)
}

/** @param from, to whole hours */
export async function readStretch(db: Database, record: WatchedRecord, from: number, to: number): Promise<Stretch> {
  const grid = { from, to }
  const hoursAt = async (placements: readonly PlacementRow[]): Promise<HourlyColumns> => {
    const placed = []
    for (const placement of placements) {
      const [first, end] = [Math.max(from, placement.from - HOUR_MS), Math.min(to, placement.to ?? to)]
      if (end <= first) continue
      placed.push({ ...placement, hours: await readHours(db, placement.probeId, first, end) })
    }
    const hours = spotHours(placed, grid)
    maskUnusable(hours)
    return hours
  }
  const spots: Stretch['spots'] = {}
  for (const { path } of record.house.spots) {
    const own = record.inside.filter((placement) => placement.path === path)
    const hours = await hoursAt(own)
    spots[path] = { hours, water: await waterOf(db, own, hours) }
  }
  const weather: HourlyColumns[] = []
  for (const path of new Set(record.outdoors.map((placement) => placement.path))) {
    weather.push(await hoursAt(record.outdoors.filter((placement) => placement.path === path)))
  }
  for (const probeId of record.stations) weather.push(denseHours(await readHours(db, probeId, from, to), grid))
  return {
    from,
    hours: (to - from) / HOUR_MS,
    spots,
    outdoorVaporPa: firstKnown(weather, 'vaporPressurePa', (to - from) / HOUR_MS),
    rainMm: firstKnown(weather, 'rainMm', (to - from) / HOUR_MS),
  }
}

/** Hour by hour, so that what is known does not depend on where a stretch begins; a spot outdoors before a station. */
function firstKnown(
  sources: readonly HourlyColumns[],
  name: 'vaporPressurePa' | 'rainMm',
  hours: number,
): Float64Array {
  return Float64Array.from({ length: hours }, (_, i) => {
    const source = sources.find((columns) => !Number.isNaN(columns[name][i]!))
    return source?.[name][i] ?? Number.NaN
  })
}

/** Single readings are only needed where an hour was wet. */
async function waterOf(
  db: Database,
  placements: readonly PlacementRow[],
  { at, waterPresentShare }: HourlyColumns,
): Promise<WaterReading[]> {
  const first = waterPresentShare.findIndex((share) => share > 0)
  if (first < 0) return []
  const [from, to] = [at[first]!, at[waterPresentShare.findLastIndex((share) => share > 0)]! + HOUR_MS]
  const all: WaterReading[] = []
  for (const placement of placements) {
    const [begin, end] = [Math.max(from, placement.from), Math.min(to, placement.to ?? to)]
    if (end > begin) all.push(...(await readWater(db, placement.probeId, begin, end)))
  }
  return all.sort((a, b) => a.at - b.at)
}
