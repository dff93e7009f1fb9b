/** One change of a stored house by the program itself: read, changed, looked at and stored, again when somebody came between. */
import { treeProblemsIn } from './history.ts'
import { findHouse } from './houses.ts'
import type { HouseTree } from './houseTree.ts'
import { houseVersion } from './houseVersion.ts'
import type { Database } from './open.ts'
import { readTree } from './readHouse.ts'
import { HouseRefused, storeHouse } from './storeHouse.ts'

const TURNS = 3

/**
 * @param change gives the house as it should be; it may be asked again with the house as it then is
 * @throws HouseRefused when the house is gone, or what would be stored cannot be right; the message is for people
 */
export async function changeHouse(
  db: Database,
  houseKey: string,
  { now, who, what }: { now: number; who: string; what: string },
  change: (tree: HouseTree) => HouseTree,
): Promise<void> {
  for (let turn = 1; ; turn++) {
    const row = await findHouse(db, houseKey)
    if (!row) throw new HouseRefused('changed meanwhile', `There is no house "${houseKey}" any more.`)
    const tree = readTree(db, row)
    const wanted = change(structuredClone(tree))
    const [problem] = treeProblemsIn(db, wanted, now)
    if (problem) throw new HouseRefused('clash', `${problem.path}: ${problem.problem}`)
    try {
      await storeHouse(db, wanted, { replace: true, now, who, what, version: houseVersion(tree) })
      return
    } catch (error) {
      const meanwhile = error instanceof HouseRefused && error.kind === 'changed meanwhile'
      if (!meanwhile || turn === TURNS) throw error
    }
  }
}
