/** Where the lines of a record come from: probes by the spot and time they hung there, and stations. */
import { instantOfLocalText } from '../../series/localTime.ts'
import { findProbesOfHouse, findStationProbes } from '../../store/houses.ts'
import type { HouseTree } from '../../store/houseTree.ts'
import type { Database } from '../../store/open.ts'
import { findEnds } from '../../store/readings.ts'
import type { RecordViewLine } from './recordTypes.ts'
import { isJudged } from './spotLetters.ts'

export interface Placed {
  probeId: number
  from: number
  to: number
}

export interface Source {
  path: string
  name: string
  role: RecordViewLine['role']
  placed: Placed[]
}

export const EVER = { from: 0, to: Number.MAX_SAFE_INTEGER }

export async function sourcesOf(db: Database, houseId: number, tree: HouseTree): Promise<Source[]> {
  const ids = new Map((await findProbesOfHouse(db, houseId)).map(({ logger, probe, id }) => [`${logger}/${probe}`, id]))
  const instant = (text: string) => instantOfLocalText(text, tree.timeZone)
  const placed = new Map<string, Placed[]>()
  for (const logger of tree.loggers ?? []) {
    for (const probe of logger.probes) {
      const probeId = ids.get(`${logger.key}/${probe.key}`)
      if (probeId === undefined) continue
      for (const { spot, from, to } of probe.placements) {
        const own = placed.get(spot) ?? []
        own.push({ probeId, from: instant(from), to: to === undefined ? EVER.to : instant(to) })
        placed.set(spot, own)
      }
    }
  }
  const role = (space: HouseTree['spaces'][number]): Source['role'] =>
    isJudged(space) ? 'inside' : space.role === 'outdoor' ? 'outdoor' : 'living'
  const ofSpots = tree.spaces.flatMap((space) =>
    space.spots.map((spot): Source => {
      const path = `${space.key}/${spot.key}`
      return { path, name: spot.name, role: role(space), placed: placed.get(path) ?? [] }
    }),
  )
  // A station is drawn as outdoors where no spot of the house is outside.
  const outside = ofSpots.some((source) => source.role === 'outdoor' && source.placed.length > 0)
  const stations = outside ? [] : [...(await findStationProbes(db, houseId))]
  return [
    ...ofSpots.filter(({ placed: own }) => own.length > 0),
    ...stations.map(([key, probeId]): Source => {
      const name = tree.stations?.find((station) => station.key === key)?.name ?? key
      return { path: `station/${key}`, name, role: 'outdoor', placed: [{ probeId, ...EVER }] }
    }),
  ]
}

/** From the first to the last reading heard in the house; a station's own years do not count. */
export async function recordSpan(
  db: Database,
  sources: readonly Source[],
): Promise<{ from: number; to: number } | null> {
  const own = sources.filter(({ path }) => !path.startsWith('station/'))
  const placed = (own.length > 0 ? own : sources).flatMap((source) => source.placed)
  const spans = await findEnds(db, [...new Set(placed.map(({ probeId }) => probeId))])
  const heard = placed.flatMap(({ probeId, from, to }) => {
    const span = spans.find((one) => one.probeId === probeId)
    if (!span) return []
    const within = { from: Math.max(span.from, from), to: Math.min(span.to, to) }
    return within.to > within.from ? [within] : []
  })
  if (heard.length === 0) return null
  return { from: Math.min(...heard.map(({ from }) => from)), to: Math.max(...heard.map(({ to }) => to)) }
}
