/**
 * A logger is placed, picked up, swapped and retired. Whatever it leaves and whatever it comes to changes at one instant
 * and in one transaction, each house with an entry in its history that can be undone.
 */
import type { HouseTree, LoggerTree, ProbeTree } from './houseTree.ts'
import { type Act, mustBeInService } from './loggerLife.ts'
import { createMoves, keptLogger } from './loggerMoves.ts'
import { LoggerRefused, noSuchHouse } from './loggerRefused.ts'
import type { Database } from './open.ts'
import { beginPlacement, endPlacements, hangsAt, hasSpot, isThereSince, momentOf, spotName } from './placementMoves.ts'
import * as t from './schema.ts'
import { inTransaction, statement } from './unitsOfWork.ts'

export interface Placing {
  house: string
  /** Wall clock of that house; now when left out. */
  at?: string
  probes: readonly { probe: string; spot: string }[]
}

/**
 * From then on the probes hang there. A box is in one house at a time: probes of it that hang in another house end too,
 * those that hang elsewhere in this house stay.
 * @throws LoggerRefused
 */
export async function placeLogger(db: Database, key: string, { house, at, probes }: Placing, act: Act): Promise<void> {
  inTransaction(db, () => {
    mustBeInService(db, key)
    const moves = createMoves(db, [key], act, house)
    const target = moves.houses.get(house)
    if (target === undefined) throw new LoggerRefused('bad placement', noSuchHouse(house).message, 'house')
    const moment = momentOf(at, target.tree.timeZone, act.now)
    const kept = keptLogger(db, key)
    probes.forEach(({ probe, spot }, i) => {
      if (!kept.probes.some((one) => one.key === probe)) throw noSuchProbe(key, probe, `probes/${i}/probe`)
      if (probes.findIndex((other) => other.probe === probe) < i) {
        throw new LoggerRefused(
          'bad placement',
          `Probe "${probe}" is named twice; it hangs at one spot.`,
          `probes/${i}/probe`,
        )
      }
      if (!hasSpot(target.tree, spot)) {
        throw new LoggerRefused(
          'bad placement',
          `There is no spot "${spot}" in ${target.tree.name}.`,
          `probes/${i}/spot`,
        )
      }
    })
    const staying = new Set<string>()
    for (const [houseKey, { tree }] of moves.houses) {
      for (const probe of probesOf(tree, key)) {
        const named = probes.find((one) => one.probe === probe.key)
        if (houseKey === house && named === undefined) continue
        const [hangs] = hangsAt(tree, probe, moment)
        const stays = houseKey === house && hangs?.spot === named?.spot
        if (stays && hangs !== undefined && isThereSince(tree, hangs, moment)) staying.add(probe.key)
        else if (endPlacements(tree, key, probe, moment).length > 0 && houseKey !== house) {
          moves.say(houseKey, `logger ${key} went to ${target.tree.name}`)
        }
      }
    }
    for (const { probe, spot } of probes) {
      if (staying.has(probe)) continue
      beginPlacement(target.tree, { kept, probe, spot }, moment)
      moves.say(house, `placed logger ${key} at ${spotName(target.tree, spot)}`)
    }
    moves.store(key)
  })
}

/**
 * It hangs nowhere from then on.
 * @throws LoggerRefused
 */
export async function pickUpLogger(db: Database, key: string, at: string | undefined, act: Act): Promise<void> {
  inTransaction(db, () => {
    mustBeInService(db, key)
    takeAway(db, key, at, act, `picked up logger ${key}`)
  })
}

/**
 * The other logger takes over every spot of this one, probe by probe, and leaves where it hung itself.
 * @throws LoggerRefused
 */
export async function swapLogger(
  db: Database,
  key: string,
  { with: otherKey, at }: { with: string; at?: string },
  act: Act,
): Promise<void> {
  inTransaction(db, () => {
    mustBeInService(db, key)
    mustBeInService(db, otherKey, 'with')
    if (key === otherKey) throw new LoggerRefused('bad placement', 'A logger cannot be swapped with itself.', 'with')
    const moves = createMoves(db, [key, otherKey], act)
    const moment = momentOf(at, moves.timeZoneOf(key), act.now)
    const kept = keptLogger(db, otherKey)
    const own = keptLogger(db, key)
    const begins: { house: string; probe: string; spot: string }[] = []
    for (const [house, { tree }] of moves.houses) {
      for (const probe of probesOf(tree, key)) {
        for (const { spot } of hangsAt(tree, probe, moment)) {
          begins.push({ house, probe: counterpart(own, probe.key, kept), spot })
        }
      }
    }
    for (const [house, { tree }] of moves.houses) {
      for (const logger of [key, otherKey]) {
        const left = probesOf(tree, logger).flatMap((probe) => endPlacements(tree, logger, probe, moment))
        if (left.length > 0 && !begins.some((one) => one.house === house))
          moves.say(house, `logger ${logger} was taken away`)
      }
    }
    for (const { house, probe, spot } of begins) {
      beginPlacement(moves.houses.get(house)!.tree, { kept, probe, spot }, moment)
      moves.say(house, `swapped logger ${key} for ${otherKey}`)
    }
    moves.store(otherKey)
  })
}

/**
 * Out of service: it hangs nowhere from now on and signs in no more; its readings stay.
 * @throws LoggerRefused
 */
export async function retireLogger(db: Database, key: string, why: string | undefined, act: Act): Promise<void> {
  inTransaction(db, () => {
    const { id, houseId } = mustBeInService(db, key)
    const what = `retired logger ${key}${why === undefined ? '' : `: ${why}`}`
    const hangs = statement(
      db,
      `select 1 from placements pl join probes p on p.id = pl.probe_id
        where p.logger_id = ? and (pl.to_at is null or pl.to_at > ?)`,
    ).get(id, act.now)
    if (hangs !== undefined) takeAway(db, key, undefined, act, what)
    else if (houseId !== null) {
      db.orm.insert(t.history).values({ houseId, at: act.now, who: act.who, what, subject: key }).run()
    }
    statement(db, 'update loggers set retired_at = ?, secret_hash = null where id = ?').run(act.now, id)
  })
}

function takeAway(db: Database, key: string, at: string | undefined, act: Act, what: string): void {
  const moves = createMoves(db, [key], act)
  const moment = momentOf(at, moves.timeZoneOf(key), act.now)
  for (const [house, { tree }] of moves.houses) {
    for (const probe of probesOf(tree, key)) {
      if (endPlacements(tree, key, probe, moment).length > 0) moves.say(house, what)
    }
  }
  moves.store(null)
}

const probesOf = (tree: HouseTree, logger: string): ProbeTree[] =>
  tree.loggers?.find(({ key }) => key === logger)?.probes ?? []

const noSuchProbe = (logger: string, probe: string, field: string): LoggerRefused =>
  new LoggerRefused('bad placement', `Logger "${logger}" has no probe "${probe}".`, field)

/** Of the same name; where both carry one probe alone, that one. */
function counterpart(own: LoggerTree, probe: string, other: LoggerTree): string {
  if (other.probes.some(({ key }) => key === probe)) return probe
  if (own.probes.length === 1 && other.probes.length === 1) return other.probes[0]!.key
  throw noSuchProbe(other.key, probe, 'with')
}
