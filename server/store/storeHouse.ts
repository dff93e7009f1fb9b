/** Writes a house tree in one unit of work. */
import { eq } from 'drizzle-orm'
import { instantOfLocalText } from '../series/localTime.ts'
import type { ProbeId } from './houses.ts'
import type { HouseTree, LoggerTree, ProbeTree } from './houseTree.ts'
import type { Database } from './open.ts'
import { readTree } from './readHouse.ts'
import { NOT_LOOKED_AT, type SafetyQuestion } from './safety.ts'
import * as t from './schema.ts'

export interface StoredHouse {
  houseId: number
  probes: ProbeId[]
  /** Probe of each station, by station key. */
  stations: Map<string, number>
}

/** The house cannot be stored as given; the message is a sentence for people. */
export class HouseRefused extends Error {
  override name = 'HouseRefused'
}

/**
 * Writes a sound tree (houseTreeProblems is empty): a new house, or the facts of an existing one replaced. Readings stay
 * where they are, for loggers and probes are found again by their keys.
 *
 * @param change.replace false refuses a house whose key is taken
 */
export async function storeHouse(
  db: Database,
  tree: HouseTree,
  change: { replace: boolean; now: number; who: string },
): Promise<StoredHouse> {
  return db.raw.transaction(() => {
    const orm = db.orm
    const before = orm.select().from(t.houses).where(eq(t.houses.key, tree.key)).get()
    if (before && !change.replace) throw new HouseRefused(`A house "${tree.key}" is stored already.`)
    const previous = before ? readTree(db, before) : undefined

    const safetyFact = (name: SafetyQuestion) => tree.safety?.[name] ?? NOT_LOOKED_AT
    const row = {
      key: tree.key,
      name: tree.name,
      invented: tree.invented ?? false,
      place: tree.place ?? '',
      timeZone: tree.timeZone,
      latitude: tree.latitude ?? null,
      longitude: tree.longitude ?? null,
      elevationM: tree.elevationM ?? null,
      floodZone: safetyFact('floodZone'),
      combustionAppliances: safetyFact('combustionAppliances'),
      radonTest: safetyFact('radonTest'),
      radonPciL: tree.safety?.radonPciL ?? null,
      utilityLocates: safetyFact('utilityLocates'),
      structuralSigns: safetyFact('structuralSigns'),
      entryHazard: safetyFact('entryHazard'),
      safetyNote: tree.safety?.note ?? null,
      facts: tree.facts ?? {},
    }
    const houseId = before
      ? before.id
      : orm
          .insert(t.houses)
          .values({ ...row, createdAt: change.now })
          .returning({ id: t.houses.id })
          .get().id
    if (before) {
      orm.update(t.houses).set(row).where(eq(t.houses.id, houseId)).run()
      clearParts(db, houseId)
    }

    const instant = (text: string) => instantOfLocalText(text, tree.timeZone)
    const span = (from: string, to: string | undefined) => ({
      fromAt: instant(from),
      fromLocal: from,
      toAt: to === undefined ? null : instant(to),
      toLocal: to ?? null,
    })

    const spotIds = new Map<string, number>()
    tree.spaces.forEach(({ spots, ...space }, ordinal) => {
      const spaceId = orm
        .insert(t.spaces)
        .values({ ...space, houseId, ordinal })
        .returning({ id: t.spaces.id })
        .get().id
      spots.forEach((spot, spotOrdinal) => {
        const inserted = orm
          .insert(t.spots)
          .values({ ...spot, spaceId, ordinal: spotOrdinal })
          .returning({ id: t.spots.id })
        spotIds.set(`${space.key}/${spot.key}`, inserted.get().id)
      })
    })

    const probeIds: ProbeId[] = []
    for (const logger of tree.loggers ?? []) {
      for (const probe of logger.probes) {
        const id = findOrAddProbe(db, logger, probe)
        probeIds.push({ logger: logger.key, probe: probe.key, id })
        for (const { spot, from, to } of probe.placements) {
          orm
            .insert(t.placements)
            .values({ probeId: id, spotId: spotIds.get(spot)!, ...span(from, to) })
            .run()
        }
      }
    }
    const probeId = (path: string) => probeIds.find((probe) => `${probe.logger}/${probe.probe}` === path)!.id
    for (const { probe, quantity, offset, from, to, why } of tree.corrections ?? []) {
      orm
        .insert(t.corrections)
        .values({ probeId: probeId(probe), quantity, offset, why, ...span(from, to) })
        .run()
    }
    markAllHoursDue(
      db,
      probeIds.map((probe) => probe.id),
    )

    const stations = new Map<string, number>()
    for (const station of tree.stations ?? []) {
      stations.set(station.key, addStation(db, houseId, station))
    }
    for (const { key, kind, from, to, note, details } of tree.works ?? []) {
      orm
        .insert(t.works)
        .values({ houseId, key, kind, note, details, ...span(from, to) })
        .run()
    }
    for (const { kind, from, to, note } of tree.events ?? []) {
      orm
        .insert(t.events)
        .values({ houseId, kind, note, ...span(from, to) })
        .run()
    }
    for (const { at, by, note, readings } of tree.surveys ?? []) {
      orm
        .insert(t.surveys)
        .values({ houseId, at: instant(at), atLocal: at, by, note, readings })
        .run()
    }
    for (const { hash, mediaType, takenAt, caption } of tree.photos ?? []) {
      const takenInstant = takenAt === undefined ? null : instant(takenAt)
      orm
        .insert(t.photos)
        .values({ houseId, hash, mediaType, takenAt: takenInstant, takenLocal: takenAt, caption })
        .run()
    }
    orm
      .insert(t.history)
      .values({
        houseId,
        at: change.now,
        who: change.who,
        what: before ? 'replaced the facts of the house' : 'added the house',
        subject: tree.name,
        before: previous ?? null,
        after: tree,
      })
      .run()
    return { houseId, probes: probeIds, stations }
  })()
}

const STATION_LOGGER_PREFIX = 'station.'
const STATION_PROBE = 'weather'

/** Everything of a house that {@link storeHouse} writes anew. Loggers, probes, stations and readings stay. */
function clearParts(db: Database, houseId: number): void {
  const run = (sql: string) => db.raw.prepare(sql).run({ houseId })
  run(`delete from corrections where probe_id in (select probe_id from placements
    join spots on spots.id = placements.spot_id join spaces on spaces.id = spots.space_id
    where spaces.house_id = cast(@houseId as integer))`)
  for (const table of ['spaces', 'works', 'events', 'surveys', 'house_stations', 'photos']) {
    run(`delete from ${table} where house_id = cast(@houseId as integer)`)
  }
}

function findOrAddProbe(db: Database, logger: LoggerTree, probe: ProbeTree): number {
  const orm = db.orm
  const name = logger.name ?? null
  const loggerId = orm
    .insert(t.loggers)
    .values({ key: logger.key, name })
    .onConflictDoUpdate({ target: t.loggers.key, set: { name } })
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

function addStation(db: Database, houseId: number, station: NonNullable<HouseTree['stations']>[number]): number {
  const orm = db.orm
  const logger = { key: `${STATION_LOGGER_PREFIX}${station.key}`, name: station.name, probes: [] }
  const probeId = findOrAddProbe(db, logger, { key: STATION_PROBE, placements: [] })
  const { key, name, kind, quantities } = station
  const stationId = orm
    .insert(t.stations)
    .values({ key, name, kind, quantities, probeId })
    .onConflictDoUpdate({ target: t.stations.key, set: { name, kind, quantities } })
    .returning({ id: t.stations.id })
    .get().id
  orm.insert(t.houseStations).values({ houseId, stationId }).onConflictDoNothing().run()
  return probeId
}

/** Corrections decide what the hour values of a probe are, so a changed set makes all of them due. */
function markAllHoursDue(db: Database, probeIds: number[]): void {
  const due = db.raw.prepare(
    `insert into hourly_due (probe_id, from_at, to_at)
    select @id, min(at), max(at) + 1 from readings where probe_id = cast(@id as integer) having count(*) > 0
    on conflict (probe_id) do update set from_at = min(from_at, excluded.from_at), to_at = max(to_at, excluded.to_at)`,
  )
  for (const id of probeIds) due.run({ id })
}
