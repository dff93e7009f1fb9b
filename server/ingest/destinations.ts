/** Where the readings of a dropped file belong: probes and stations of a house, known or made for them. */

import { localDateText } from '../series/localTime.ts'
import { STATION_LOGGER_PREFIX } from '../store/houseProbes.ts'
import { findHouse, findLoggerKeys, findProbesOfHouse, findStationProbes } from '../store/houses.ts'
import type { HouseTree } from '../store/houseTree.ts'
import type { Database } from '../store/open.ts'
import { readHouse } from '../store/readHouse.ts'
import { storeHouse } from '../store/storeHouse.ts'
import type { ProbeFound } from './csv/understanding.ts'
import { isRainOrOutdoor } from './stationQuantities.ts'

export type Destination = { probeId: number } | { newAtSpot: string } | { station: string } | { newStation: string }

/** A destination that is not there; the message is a sentence. */
export class DestinationRefused extends Error {
  override name = 'DestinationRefused'
}

const NEW_PROBE = 'air'

/**
 * Makes what is to be made, in one change of the house that can be undone.
 * @param found the probes of the file, by the key under which `wanted` names them
 * @returns probe id by key of the file's probe
 */
export async function settleDestinations(
  db: Database,
  houseKey: string,
  found: readonly ProbeFound[],
  wanted: Readonly<Record<string, Destination>>,
  { now, who, fileName }: { now: number; who: string; fileName: string },
): Promise<Record<string, number>> {
  const [row, tree] = [await findHouse(db, houseKey), await readHouse(db, houseKey)]
  if (!row || !tree) throw new DestinationRefused(`There is no house "${houseKey}".`)
  const next = structuredClone(tree)
  const probeOf: Record<string, number> = {}
  const made: { key: string; path?: string; station?: string }[] = []
  const known = await findProbesOfHouse(db, row.id)
  const taken = await findLoggerKeys(db)
  for (const probe of found) {
    const to = wanted[probe.probeKey]
    if (to === undefined) throw new DestinationRefused(`Say where the readings of "${probe.probeKey}" belong.`)
    if ('probeId' in to) {
      if (!known.some(({ id }) => id === to.probeId)) {
        throw new DestinationRefused(`Probe ${to.probeId} does not belong to this house. Choose one of its spots.`)
      }
      probeOf[probe.probeKey] = to.probeId
    } else if ('station' in to) {
      const id = (await findStationProbes(db, row.id)).get(to.station)
      if (id === undefined) throw new DestinationRefused(`There is no station "${to.station}" for this house.`)
      probeOf[probe.probeKey] = id
    } else if ('newAtSpot' in to) made.push({ key: probe.probeKey, path: addLogger(next, to.newAtSpot, probe, taken) })
    else made.push({ key: probe.probeKey, station: addStation(next, to.newStation, probe, taken) })
  }
  if (made.length > 0) {
    const stored = await storeHouse(db, next, { replace: true, now, who, what: `made room for ${fileName}` })
    for (const { key, path, station } of made) {
      const id = path
        ? stored.probes.find(({ logger, probe }) => `${logger}/${probe}` === path)?.id
        : stored.stations.get(station!)
      probeOf[key] = id!
    }
  }
  return probeOf
}

/** A logger with one probe, at the spot from the day of its first reading on. */
function addLogger(tree: HouseTree, spot: string, { firstAt }: ProbeFound, taken: Set<string>): string {
  const there = tree.spaces.some((space) => space.spots.some(({ key }) => `${space.key}/${key}` === spot))
  if (!there)
    throw new DestinationRefused(`There is no spot "${spot}" in this house. Enter it first, or choose another.`)
  const key = freeKey(`${tree.key}.logger`, (wanted) => taken.has(wanted))
  taken.add(key)
  const from = localDateText(firstAt, tree.timeZone)
  tree.loggers = [...(tree.loggers ?? []), { key, probes: [{ key: NEW_PROBE, placements: [{ spot, from }] }] }]
  return `${key}/${NEW_PROBE}`
}

function addStation(tree: HouseTree, name: string, { quantities }: ProbeFound, taken: Set<string>): string {
  const key = freeKey(`${tree.key}.station`, (wanted) => taken.has(`${STATION_LOGGER_PREFIX}${wanted}`))
  taken.add(`${STATION_LOGGER_PREFIX}${key}`)
  const told = quantities.map(({ quantity }) => quantity).filter(isRainOrOutdoor)
  tree.stations = [...(tree.stations ?? []), { key, name, kind: 'file', quantities: told }]
  return key
}

/** A key that was ever used stays taken: readings of a logger that is no longer named must not come back under a new one. */
function freeKey(start: string, taken: (key: string) => boolean): string {
  for (let n = 1; ; n++) {
    const key = `${start.slice(0, 56)}-${n}`
    if (!taken(key)) return key
  }
}
