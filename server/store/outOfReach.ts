/**
 * What somebody who reaches some houses alone may not enter in one of them. A house takes the loggers, stations and photos
 * that its tree names, so that naming those of another house would be a way to read them, or to take them along.
 */
import { isDeepStrictEqual } from 'node:util'
import { houseRow } from './houses.ts'
import type { HouseTree } from './houseTree.ts'
import type { TreeProblem } from './houseTreeProblems.ts'
import type { Database } from './open.ts'
import { housesOfThing, type Thing } from './reach.ts'
import { readTree } from './readHouse.ts'

/** Keys of the houses within somebody's reach. */
export type Houses = 'all' | ReadonlySet<string>

export function outOfReach(db: Database, tree: HouseTree, houses: Houses): TreeProblem[] {
  if (houses === 'all') return []
  const isElsewhere = (kind: Thing['kind'], name: string): boolean => {
    const of = housesOfThing(db, { kind, name })
    // A logger that belongs to no house is a technician's to take; stations are given to houses by contractors.
    return of !== undefined && !of.some((house) => (house === null ? kind === 'logger' : houses.has(house)))
  }
  const row = houseRow(db, tree.key)
  const before = row && readTree(db, row)
  const problems: TreeProblem[] = []
  tree.loggers?.forEach(({ key }, i) => {
    if (before?.loggers?.some((known) => known.key === key) || !isElsewhere('logger', key)) return
    problems.push({ path: `/loggers/${i}/key`, problem: `"${key}" is taken elsewhere. Take another key.` })
  })
  for (const { key } of before?.loggers ?? []) {
    if (!isElsewhere('logger', key)) continue
    const [was, is] = [goesAlong(before!, key), goesAlong(tree, key)]
    if (is.known ? isDeepStrictEqual(was, is) : was.corrections.length === 0) continue
    problems.push({
      path: '/loggers',
      problem: `"${key}" has moved on to another house, and its name, accuracies and corrections went along. Leave them.`,
    })
  }
  tree.stations?.forEach(({ key }, i) => {
    if (!isElsewhere('station', key)) return
    problems.push({ path: `/stations/${i}/key`, problem: `"${key}" is taken elsewhere. Ask a contractor for it.` })
  })
  tree.photos?.forEach(({ hash }, i) => {
    if (isElsewhere('photo', hash)) problems.push({ path: `/photos/${i}/hash`, problem: 'There is no such photo.' })
  })
  return problems
}

/** What a tree says of a logger for every house it hangs in, now and later; where it hung here is this house's own. */
function goesAlong({ loggers = [], corrections = [] }: HouseTree, key: string) {
  const logger = loggers.find((one) => one.key === key)
  return {
    known: logger !== undefined,
    name: logger?.name,
    probes: logger?.probes.map(({ placements: _, ...probe }) => probe),
    corrections: corrections.filter(({ probe }) => probe.startsWith(`${key}/`)),
  }
}
