/** A probe is at one spot at a time, in all houses: a logger that moved must never smear two houses together. A retired one hangs nowhere. */
import { instantOfLocalText } from '../series/localTime.ts'
import type { HouseTree } from './houseTree.ts'
import type { TreeProblem } from './houseTreeProblems.ts'
import type { Database } from './open.ts'
import type { Houses } from './outOfReach.ts'
import { statement } from './unitsOfWork.ts'

/**
 * @param tree with readable dates
 * @param houses those that may be named
 */
export function placementClashes(db: Database, tree: HouseTree, houses: Houses = 'all'): TreeProblem[] {
  const elsewhere = statement(
    db,
    `select h.key as house, pl.from_at as fromAt, pl.to_at as toAt from placements pl
      join probes p on p.id = pl.probe_id join loggers l on l.id = p.logger_id
      join spots sp on sp.id = pl.spot_id join spaces s on s.id = sp.space_id join houses h on h.id = s.house_id
      where l.key = ? and p.key = ? and h.key <> ?`,
  )
  const retirement = statement(db, 'select retired_at from loggers where key = ?').pluck()
  const instant = (text: string) => instantOfLocalText(text, tree.timeZone)
  return (tree.loggers ?? []).flatMap((logger, i) => {
    const retiredAt = retirement.get(logger.key) as number | null | undefined
    return logger.probes.flatMap((probe, j) => {
      const others = elsewhere.all(logger.key, probe.key, tree.key) as {
        house: string
        fromAt: number
        toAt: number | null
      }[]
      return probe.placements.flatMap(({ from, to }, k): TreeProblem[] => {
        const [start, end] = [instant(from), to === undefined ? Number.POSITIVE_INFINITY : instant(to)]
        const path = `/loggers/${i}/probes/${j}/placements/${k}`
        if (typeof retiredAt === 'number' && end > retiredAt) {
          return [{ path: `${path}/to`, problem: `logger "${logger.key}" is retired. End its placement by then.` }]
        }
        const other = others.find(({ fromAt, toAt }) => start < (toAt ?? Number.POSITIVE_INFINITY) && fromAt < end)
        if (!other) return []
        const where = houses === 'all' || houses.has(other.house) ? `the house "${other.house}"` : 'another house'
        const problem = `logger "${logger.key}" hangs in ${where} at that time. End its placement there first.`
        return [{ path: `${path}/from`, problem }]
      })
    })
  })
}
