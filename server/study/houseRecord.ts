/** Reads a house as the analyses need it: hour values by spot on one grid, outdoor air, rain, works, events, periods. */
import { localDays } from '../series/days.ts'
import { denseHours, emptyHourly, HOUR_MS, type HourlyColumns } from '../series/hourly.ts'
import { instantOfLocalText } from '../series/localTime.ts'
import { periodsBetween } from '../series/periods.ts'
import { maskUnusable, type PlacedHours, spotHours } from '../series/placedHours.ts'
import { readHours } from '../store/hourly.ts'
import { findHouse, findProbesOfHouse, findStationProbes } from '../store/houses.ts'
import type { HouseTree } from '../store/houseTree.ts'
import type { Database } from '../store/open.ts'
import { readTree } from '../store/readHouse.ts'
import { markAgainstOthers, visitHours } from './houseMarks.ts'
import { accuracyOf, outdoorOf, rainOf } from './houseWeather.ts'
import type { StudiedHouse, StudiedSpot, StudiedWork } from './studiedHouse.ts'

const EVER = { from: Number.MIN_SAFE_INTEGER, to: Number.MAX_SAFE_INTEGER }

/** The house as stored, or undefined when there is none of that key. Hour values must be up to date (refreshHourly). */
export async function readHouseRecord(db: Database, key: string): Promise<StudiedHouse | undefined> {
  const row = await findHouse(db, key)
  if (!row) return undefined
  const tree = readTree(db, row)
  const instant = (text: string) => instantOfLocalText(text, tree.timeZone)
  const instantOrNull = (text: string | undefined) => (text === undefined ? null : instant(text))

  const placed = await readPlacements(db, row.id, tree, instant)
  const stationHours = new Map<string, HourlyColumns>()
  for (const [station, probeId] of await findStationProbes(db, row.id)) {
    stationHours.set(station, await readHours(db, probeId, EVER.from, EVER.to))
  }
  const indoor = [...placed.values()].flat()
  const grid = gridOf(
    indoor.length > 0 ? indoor.map(({ hours }) => hours.at) : [...stationHours.values()].map((h) => h.at),
  )
  const days = localDays(grid, tree.timeZone)

  const spots = tree.spaces.flatMap((space) =>
    space.spots.map((spot): StudiedSpot => {
      const path = `${space.key}/${spot.key}`
      const hours = spotHours(placed.get(path) ?? [], grid)
      return { path, name: spot.name, space, hours, accuracy: accuracyOf(tree, path) }
    }),
  )
  const stations = (tree.stations ?? []).map((station) => ({
    name: station.name,
    hours: denseHours(stationHours.get(station.key) ?? emptyHourly(0), grid),
  }))
  const visits = visitHours(tree, grid, instant)
  for (const { space, hours } of spots) maskUnusable(hours, space.role === 'outdoor' ? undefined : visits)
  const marks = markAgainstOthers(spots, stations[0]?.hours.tempC, days, grid.from)

  const works = (tree.works ?? []).map(({ key: workKey, kind, note, details, from, to }): StudiedWork => {
    return { key: workKey, kind, note, details, from: instant(from), to: instantOrNull(to) }
  })
  return {
    id: row.id,
    tree,
    grid,
    days,
    spots,
    outdoor: outdoorOf(spots, stations),
    rain: rainOf(spots, stations),
    works,
    periods: periodsBetween(works, grid, tree.timeZone),
    marks,
  }
}

/** Hours of every placement by spot path. */
async function readPlacements(
  db: Database,
  houseId: number,
  tree: HouseTree,
  instant: (text: string) => number,
): Promise<Map<string, PlacedHours[]>> {
  const ids = new Map((await findProbesOfHouse(db, houseId)).map(({ logger, probe, id }) => [`${logger}/${probe}`, id]))
  const placed = new Map<string, PlacedHours[]>()
  for (const logger of tree.loggers ?? []) {
    for (const probe of logger.probes) {
      for (const placement of probe.placements) {
        const from = instant(placement.from)
        const to = placement.to === undefined ? null : instant(placement.to)
        const probeId = ids.get(`${logger.key}/${probe.key}`)
        if (probeId === undefined) continue
        const hours = await readHours(db, probeId, from, to ?? EVER.to)
        const ofSpot = placed.get(placement.spot) ?? []
        ofSpot.push({ from, to, hours })
        placed.set(placement.spot, ofSpot)
      }
    }
  }
  return placed
}

/** From the first to the last hour heard; empty when nothing was. */
function gridOf(columns: readonly Float64Array[]): StudiedHouse['grid'] {
  const heard = columns.filter((at) => at.length > 0)
  if (heard.length === 0) return { from: 0, to: 0, hours: 0 }
  const from = Math.min(...heard.map((at) => at[0]!))
  const to = Math.max(...heard.map((at) => at[at.length - 1]!)) + HOUR_MS
  return { from, to, hours: (to - from) / HOUR_MS }
}
