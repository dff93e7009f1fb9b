/** The houses that loggers hung in or come to, read, changed and stored together: all of them or none. */

import { houseRow } from './houses.ts'
import type { HouseTree, LoggerTree } from './houseTree.ts'
import { houseTreeProblems } from './houseTreeProblems.ts'
import type { Act } from './loggerLife.ts'
import { LoggerRefused } from './loggerRefused.ts'
import type { Database } from './open.ts'
import { hangsAt } from './placementMoves.ts'
import { readTree } from './readHouse.ts'
import { type HouseChange, HouseRefused, writeHouses } from './storeHouse.ts'
import { statement } from './unitsOfWork.ts'

export interface Moves {
  /** By key of the house; their trees may be changed. */
  houses: ReadonlyMap<string, { tree: HouseTree }>
  /** @throws LoggerRefused when it hangs nowhere */
  timeZoneOf(logger: string): string
  /** For the history; a house of which nothing is said is not stored. */
  say(house: string, what: string): void
  /**
   * @param arriving the logger that belongs from then on to the house it hangs in
   * @throws LoggerRefused
   */
  store(arriving: string | null): void
}

/** Inside the caller's transaction. @param target key of the house that a logger comes to, if it is a new one */
export function createMoves(
  db: Database,
  loggers: readonly string[],
  { now, who }: Act,
  target: string | null = null,
): Moves {
  const hung = statement(
    db,
    `select distinct h.key from loggers l join probes p on p.logger_id = l.id
      join placements pl on pl.probe_id = p.id join spots sp on sp.id = pl.spot_id join spaces s on s.id = sp.space_id
      join houses h on h.id = s.house_id where l.key = ?`,
  ).pluck()
  const houses = new Map<string, { id: number; tree: HouseTree; said: Set<string> }>()
  const keys = [...(target === null ? [] : [target]), ...loggers.flatMap((logger) => hung.all(logger) as string[])]
  for (const key of new Set(keys)) {
    const row = houseRow(db, key)
    if (row !== undefined) houses.set(key, { id: row.id, tree: readTree(db, row), said: new Set() })
  }
  const hangsIn = (tree: HouseTree, logger: string) =>
    (tree.loggers ?? [])
      .filter(({ key }) => key === logger)
      .some(({ probes }) => probes.some((probe) => hangsAt(tree, probe, { at: now, now, named: false }).length > 0))

  return {
    houses,
    timeZoneOf(logger) {
      for (const { tree } of houses.values()) if (hangsIn(tree, logger)) return tree.timeZone
      throw new LoggerRefused('bad placement', `Logger "${logger}" hangs nowhere. Place it first.`, 'key')
    },
    say(house, what) {
      houses.get(house)!.said.add(what)
    },
    store(arriving) {
      const changed = [...houses.values()].filter(({ said }) => said.size > 0)
      const arrival = arriving === null ? undefined : changed.find(({ tree }) => hangsIn(tree, arriving))
      for (const { tree } of changed) {
        const [problem] = houseTreeProblems(tree)
        if (problem) {
          throw new LoggerRefused('bad placement', `${tree.name}, ${problem.path}: ${problem.problem}`, 'house')
        }
      }
      // Before the houses are written, and that house first: a logger belongs to the one that names it first.
      if (arrival) statement(db, 'update loggers set house_id = ? where key = ?').run(arrival.id, arriving)
      const changes = changed
        .toSorted((a, b) => Number(b === arrival) - Number(a === arrival))
        .map(
          ({ tree, said }): HouseChange => ({ tree, change: { replace: true, now, who, what: [...said].join('; ') } }),
        )
      try {
        writeHouses(db, changes)
      } catch (error) {
        if (error instanceof HouseRefused) throw new LoggerRefused('bad placement', error.message, 'house')
        throw error
      }
    },
  }
}

/** A logger as it comes to a house that has not seen it yet. */
export function keptLogger(db: Database, key: string): LoggerTree {
  const rows = statement(
    db,
    `select l.name, p.key, p.accuracy_temp_c as accuracyTempC, p.accuracy_rh_pct as accuracyRhPct
      from probes p join loggers l on l.id = p.logger_id where l.key = ? order by p.id`,
  ).all(key) as { name: string | null; key: string; accuracyTempC: number | null; accuracyRhPct: number | null }[]
  const name = rows[0]?.name ?? null
  return {
    key,
    ...(name !== null && { name }),
    probes: rows.map((probe) => ({
      key: probe.key,
      ...(probe.accuracyTempC !== null && { accuracyTempC: probe.accuracyTempC }),
      ...(probe.accuracyRhPct !== null && { accuracyRhPct: probe.accuracyRhPct }),
      placements: [],
    })),
  }
}
