/** Dates that are sound by themselves and yet cannot be meant: asked of what people enter, not of a folder that is loaded. */
import { instantOfLocalText } from '../series/localTime.ts'
import type { HouseTree } from './houseTree.ts'
import type { TreeProblem } from './houseTreeProblems.ts'

const DAY_MS = 86_400_000

/**
 * What has not happened yet, or happened before there was a house. An invented house has a time of its own.
 *
 * @param tree with readable dates
 */
export function entryDateProblems(tree: HouseTree, now: number): TreeProblem[] {
  const problems: TreeProblem[] = []
  const built = tree.facts?.yearBuilt
  const look = (path: string, date: string) => {
    if (!tree.invented && instantOfLocalText(date, tree.timeZone) > now + DAY_MS) {
      problems.push({ path, problem: `${date} lies in the future. Enter it once it is done, or correct the year.` })
    } else if (built !== undefined && Number(date.slice(0, 4)) < built) {
      problems.push({ path, problem: `${date} lies before the house was built (${built}). Correct one of the two.` })
    }
  }
  tree.works?.forEach(({ from }, i) => {
    look(`/works/${i}/from`, from)
  })
  tree.events?.forEach(({ from }, i) => {
    look(`/events/${i}/from`, from)
  })
  tree.corrections?.forEach(({ from }, i) => {
    look(`/corrections/${i}/from`, from)
  })
  tree.surveys?.forEach(({ at }, i) => {
    look(`/surveys/${i}/at`, at)
  })
  tree.loggers?.forEach((logger, i) => {
    logger.probes.forEach((probe, j) => {
      probe.placements.forEach(({ from }, k) => {
        look(`/loggers/${i}/probes/${j}/placements/${k}/from`, from)
      })
    })
  })
  return problems
}
