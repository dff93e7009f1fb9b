/** A house takes a station for its weather, or leaves it: a change of the house, with its history. */
import { changeHouse } from './changeHouse.ts'
import { findHouse } from './houses.ts'
import type { HouseTree } from './houseTree.ts'
import type { Database } from './open.ts'
import { StationRefused, type StationRow, stationOf } from './stations.ts'

export interface ByWhom {
  now: number
  who: string
}

/** A change of the house, in its history, to be undone there. @throws StationRefused, HouseRefused */
export async function attachStation(db: Database, key: string, houseKey: string, by: ByWhom): Promise<void> {
  const { name, kind, quantities } = await stationAndHouse(db, key, houseKey)
  await changeHouse(db, houseKey, { ...by, what: `uses the station ${name}` }, (tree) =>
    serves(tree, key) ? tree : { ...tree, stations: [...(tree.stations ?? []), { key, name, kind, quantities }] },
  )
}

/** The same, the other way. @throws StationRefused, HouseRefused */
export async function detachStation(db: Database, key: string, houseKey: string, by: ByWhom): Promise<void> {
  const { name } = await stationAndHouse(db, key, houseKey)
  await changeHouse(db, houseKey, { ...by, what: `no longer uses the station ${name}` }, (tree) => ({
    ...tree,
    stations: (tree.stations ?? []).filter((station) => station.key !== key),
  }))
}

async function stationAndHouse(db: Database, key: string, houseKey: string): Promise<StationRow> {
  const station = stationOf(db, key)
  if (!(await findHouse(db, houseKey))) throw new StationRefused('unknown house', `There is no house "${houseKey}".`)
  return station
}

const serves = (tree: HouseTree, key: string): boolean => (tree.stations ?? []).some((station) => station.key === key)
