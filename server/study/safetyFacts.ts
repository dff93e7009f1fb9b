import type { SafetyFacts } from '../advice/holds.ts'
import type { HouseTree } from '../store/houseTree.ts'
import { safetyAnswers } from '../store/safety.ts'

/** The safety facts of a house as the rules of the trade take them. */
export const safetyFactsOf = (tree: Pick<HouseTree, 'safety'>): SafetyFacts => ({
  ...safetyAnswers(tree),
  radonPciL: tree.safety?.radonPciL ?? null,
})
