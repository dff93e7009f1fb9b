/** The round as it is listed: houses that one storm wetted stand together, where the first of them would stand. */
import type { RoundAnswer, RoundHouse, RoundStorm } from '../../server/http/contract/round.ts'

export type Entry = { house: RoundHouse } | { storm: RoundStorm; houses: RoundHouse[] }

/** @param wanted what a house's name or place must hold; while something is looked for, every house stands by itself */
export function entriesOf({ houses, storms }: Pick<RoundAnswer, 'houses' | 'storms'>, wanted: string): Entry[] {
  const looked = wanted.trim().toLowerCase()
  if (looked !== '') {
    return houses
      .filter(({ name, place }) => `${name} ${place}`.toLowerCase().includes(looked))
      .map((house) => ({ house }))
  }
  const byKey = new Map(houses.map((house) => [house.key, house]))
  const stormOf = new Map(storms.flatMap((storm) => storm.houses.map((key): [string, RoundStorm] => [key, storm])))
  const shown = new Set<RoundStorm>()
  return houses.flatMap((house): Entry[] => {
    const storm = stormOf.get(house.key)
    if (storm === undefined) return [{ house }]
    if (shown.has(storm)) return []
    shown.add(storm)
    return [{ storm, houses: storm.houses.flatMap((key) => byKey.get(key) ?? []) }]
  })
}
