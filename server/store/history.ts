/** Who changed what in a house, when; and putting a change back. */

import { entryDateProblems } from './entryDates.ts'
import { findHouse } from './houses.ts'
import type { HouseTree } from './houseTree.ts'
import { houseTreeProblems, type TreeProblem } from './houseTreeProblems.ts'
import type { Database } from './open.ts'
import { type Houses, outOfReach } from './outOfReach.ts'
import { placementClashes } from './placementClashes.ts'
import { readTree } from './readHouse.ts'
import { storeHouse } from './storeHouse.ts'
import { changedSince, changeWords, putBack, type TreeChange } from './treeChanges.ts'
import { statement } from './unitsOfWork.ts'

export interface HistoryEntry {
  id: number
  at: number
  who: string
  what: string
  /** One line a change. */
  changes: string[]
  undo: 'possible' | 'undone' | 'changed since' | 'not possible'
}

interface HistoryRow {
  id: number
  at: number
  who: string
  what: string
  before: string | null
  after: string | null
  undoes: number | null
}

const MOST_ENTRIES = 200

/** The latest entries, newest first; undefined when there is no such house. */
export async function readHistory(db: Database, houseKey: string): Promise<HistoryEntry[] | undefined> {
  const house = await findHouse(db, houseKey)
  if (!house) return undefined
  const tree = readTree(db, house)
  const rows = statement(
    db,
    'select id, at, who, what, before, after, undoes from history where house_id = ? order by id desc limit ?',
  ).all(house.id, MOST_ENTRIES) as HistoryRow[]
  const undone = new Set(rows.flatMap(({ undoes }) => undoes ?? []))
  return rows.map((row) => {
    const changes = changesOf(row)
    const { id, at, who, what } = row
    const undo = undone.has(id)
      ? 'undone'
      : changes.length === 0
        ? 'not possible'
        : changedSince(tree, changes).length > 0
          ? 'changed since'
          : 'possible'
    return { id, at, who, what, changes: changes.map(changeWords), undo }
  })
}

export type Undone =
  | { done: true }
  | { done: false; why: 'no such entry' | 'undone' | 'not possible' }
  /** Paths that somebody changed since, or what would be wrong with the house afterwards. */
  | { done: false; why: 'changed since'; paths: string[] }
  | { done: false; why: 'would be wrong'; problems: TreeProblem[] }

/** Puts the changes of one entry back, as an entry of its own. @param houses within reach of whoever does it */
export async function undoEntry(
  db: Database,
  houseKey: string,
  entryId: number,
  { now, who, houses = 'all' }: { now: number; who: string; houses?: Houses },
): Promise<Undone> {
  const house = await findHouse(db, houseKey)
  const row = statement(
    db,
    `select id, at, who, what, before, after, undoes,
      exists (select 1 from history later where later.undoes = history.id) as undone
      from history where id = ? and house_id = ?`,
  ).get(entryId, house?.id ?? -1) as (HistoryRow & { undone: number }) | undefined
  if (!house || !row) return { done: false, why: 'no such entry' }
  if (row.undone) return { done: false, why: 'undone' }
  const changes = changesOf(row)
  if (changes.length === 0) return { done: false, why: 'not possible' }
  const tree = readTree(db, house)
  const paths = changedSince(tree, changes)
  if (paths.length > 0) return { done: false, why: 'changed since', paths }
  const wanted = putBack(tree, changes)
  const problems = treeProblemsIn(db, wanted, now, houses)
  if (problems.length > 0) return { done: false, why: 'would be wrong', problems }
  await storeHouse(db, wanted, { replace: true, now, who, what: `undid: ${row.what}`, undoes: row.id })
  return { done: true }
}

/**
 * What is wrong with a tree that somebody entered, by itself and beside the other houses.
 * @param houses within reach of whoever entered it; others are not told of
 */
export function treeProblemsIn(db: Database, tree: HouseTree, now: number, houses: Houses = 'all'): TreeProblem[] {
  const own = houseTreeProblems(tree)
  if (own.length > 0) return own
  const elsewhere = outOfReach(db, tree, houses)
  if (elsewhere.length > 0) return elsewhere
  return [...entryDateProblems(tree, now), ...placementClashes(db, tree, houses)]
}

/** Adding a house, and acts that changed no fact, have none. */
function changesOf({ before, after }: HistoryRow): TreeChange[] {
  if (before === null || after === null) return []
  const [old, now] = [JSON.parse(before) as Record<string, unknown>, JSON.parse(after) as Record<string, unknown>]
  const side = (values: Record<string, unknown>, path: string) => values[path] ?? undefined
  return Object.keys(old).map((path) => ({ path, before: side(old, path), after: side(now, path) }))
}
