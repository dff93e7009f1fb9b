/** Loggers, probes and stations that a house names, found again by their keys: readings hang on them, so they stay. */
import { eq } from 'drizzle-orm'
import type { HouseTree, LoggerTree, ProbeTree } from './houseTree.ts'
import type { Database } from './open.ts'
import * as t from './schema.ts'

/** A station's probe hangs on a logger of this name and the station's key. */
export const STATION_LOGGER_PREFIX = 'station.'
export const STATION_PROBE = 'weather'

/** Whose a logger is: a house it is new to takes it; one it was known to leaves it to the house it has moved on to. */
export type Owner = { moveTo: number } | { stayElse: number } | null

/**
 * What a house does not tell of a logger (its code, secret, interval, service) stays as it is.
 * @param owner null for a station, which serves several houses
 */
export function findOrAddProbe(db: Database, logger: LoggerTree, probe: ProbeTree, owner: Owner): number {
  const orm = db.orm
  const name = logger.name ?? null
  const known = orm.select().from(t.loggers).where(eq(t.loggers.key, logger.key)).get()
  const houseId = owner === null ? null : 'moveTo' in owner ? owner.moveTo : (known?.houseId ?? owner.stayElse)
  const loggerId = orm
    .insert(t.loggers)
    .values({ key: logger.key, name, houseId })
    .onConflictDoUpdate({ target: t.loggers.key, set: { name, houseId } })
    .returning({ id: t.loggers.id })
    .get().id
  const { key, accuracyTempC = null, accuracyRhPct = null } = probe
  return orm
    .insert(t.probes)
    .values({ loggerId, key, accuracyTempC, accuracyRhPct })
    .onConflictDoUpdate({ target: [t.probes.loggerId, t.probes.key], set: { accuracyTempC, accuracyRhPct } })
    .returning({ id: t.probes.id })
    .get().id
}

/** @returns the probe of the station */
export function addStation(db: Database, houseId: number, station: NonNullable<HouseTree['stations']>[number]): number {
  const orm = db.orm
  const { key, name, kind, quantities } = station
  const known = orm.select().from(t.stations).where(eq(t.stations.key, key)).get()
  if (known) {
    // What is fetched or reports by itself is described once for all houses (stations.ts); a house only names it.
    if (known.kind === 'file') orm.update(t.stations).set({ name, quantities }).where(eq(t.stations.id, known.id)).run()
    orm.insert(t.houseStations).values({ houseId, stationId: known.id }).onConflictDoNothing().run()
    return known.probeId
  }
  const logger = { key: `${STATION_LOGGER_PREFIX}${key}`, name, probes: [] }
  const probeId = findOrAddProbe(db, logger, { key: STATION_PROBE, placements: [] }, null)
  const stationId = orm
    .insert(t.stations)
    .values({ key, name, kind, quantities, probeId })
    .returning({ id: t.stations.id })
    .get().id
  orm.insert(t.houseStations).values({ houseId, stationId }).run()
  return probeId
}
