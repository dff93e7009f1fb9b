/** Reads a stored house as a tree, in the order of its schema. */
import { and, asc, eq, inArray, isNotNull, or } from 'drizzle-orm'
import { instantOfLocalText, localTimeText } from '../series/localTime.ts'
import { findHouse, type HouseRow } from './houses.ts'
import { HOUSE_FORMAT, type HouseTree, type LoggerTree, type ProbeTree, type SpaceTree } from './houseTree.ts'
import type { Database } from './open.ts'
import * as t from './schema.ts'

/** The tree of a stored house: the same values that `storeHouse` was given, in the order of the schema. */
export async function readHouse(db: Database, key: string): Promise<HouseTree | undefined> {
  const row = await findHouse(db, key)
  return row && readTree(db, row)
}

/** The same, of a row already found; for the writer, inside its own transaction. */
export function readTree(db: Database, row: HouseRow): HouseTree {
  const orm = db.orm
  const houseId = row.id
  const spaces = orm.select().from(t.spaces).where(eq(t.spaces.houseId, houseId)).orderBy(asc(t.spaces.ordinal)).all()
  const spots = orm
    .select()
    .from(t.spots)
    .where(
      inArray(
        t.spots.spaceId,
        spaces.map((space) => space.id),
      ),
    )
    .orderBy(asc(t.spots.ordinal))
    .all()
  const spotPath = new Map<number, string>()
  const spaceTrees = spaces.map((space): SpaceTree => {
    const own = spots.filter((spot) => spot.spaceId === space.id)
    for (const spot of own) spotPath.set(spot.id, `${space.key}/${spot.key}`)
    return compact({
      key: space.key,
      name: space.name,
      role: space.role,
      kind: space.kind,
      floorAreaM2: space.floorAreaM2,
      heightM: space.heightM,
      perimeterM: space.perimeterM,
      ventCount: space.ventCount,
      ventState: space.ventState,
      groundCoverSharePct: space.groundCoverSharePct,
      spots: own.map(({ key, name, heightM, x, y, coldSurface }) => compact({ key, name, heightM, x, y, coldSurface })),
    }) as SpaceTree
  })

  // A logger that hangs nowhere still belongs to its house; one that has moved on is there for the time it hung here.
  const hung = and(eq(t.placements.probeId, t.probes.id), inArray(t.placements.spotId, [...spotPath.keys()]))
  const placed = orm
    .select()
    .from(t.probes)
    .innerJoin(t.loggers, eq(t.loggers.id, t.probes.loggerId))
    .leftJoin(t.placements, hung)
    .where(or(eq(t.loggers.houseId, houseId), isNotNull(t.placements.spotId)))
    .orderBy(asc(t.loggers.id), asc(t.probes.id), asc(t.placements.fromAt))
    .all()
  const loggers: LoggerTree[] = []
  for (const { loggers: logger, probes: probe, placements: placement } of placed) {
    let loggerTree = loggers.find((known) => known.key === logger.key)
    if (!loggerTree)
      loggers.push((loggerTree = compact({ key: logger.key, name: logger.name, probes: [] }) as LoggerTree))
    let probeTree = loggerTree.probes.find((known) => known.key === probe.key)
    if (!probeTree) {
      const { key, accuracyTempC, accuracyRhPct } = probe
      loggerTree.probes.push((probeTree = compact({ key, accuracyTempC, accuracyRhPct, placements: [] }) as ProbeTree))
    }
    if (placement === null) continue
    probeTree.placements.push(
      compact({ spot: spotPath.get(placement.spotId)!, from: placement.fromLocal, to: placement.toLocal }),
    )
  }

  const stations = orm
    .select({ station: t.stations })
    .from(t.houseStations)
    .innerJoin(t.stations, eq(t.stations.id, t.houseStations.stationId))
    .where(eq(t.houseStations.houseId, houseId))
    .orderBy(asc(t.stations.id))
    .all()
  const corrected = orm
    .select()
    .from(t.corrections)
    .innerJoin(t.probes, eq(t.probes.id, t.corrections.probeId))
    .innerJoin(t.loggers, eq(t.loggers.id, t.probes.loggerId))
    .where(inArray(t.corrections.probeId, [...new Set(placed.map((row) => row.probes.id))]))
    .orderBy(asc(t.corrections.id))
    .all()
  const works = orm.select().from(t.works).where(eq(t.works.houseId, houseId)).orderBy(asc(t.works.id)).all()
  const events = orm.select().from(t.events).where(eq(t.events.houseId, houseId)).orderBy(asc(t.events.id)).all()
  const surveys = orm.select().from(t.surveys).where(eq(t.surveys.houseId, houseId)).orderBy(asc(t.surveys.id)).all()

  const photos = orm.select().from(t.photos).where(eq(t.photos.houseId, houseId)).orderBy(asc(t.photos.hash)).all()

  return compact({
    format: HOUSE_FORMAT,
    key: row.key,
    name: row.name,
    invented: row.invented || undefined,
    place: row.place || undefined,
    timeZone: row.timeZone,
    latitude: row.latitude,
    longitude: row.longitude,
    elevationM: row.elevationM,
    safety: compact({
      floodZone: row.floodZone,
      combustionAppliances: row.combustionAppliances,
      radonTest: row.radonTest,
      radonPciL: row.radonPciL,
      utilityLocates: row.utilityLocates,
      structuralSigns: row.structuralSigns,
      entryHazard: row.entryHazard,
      note: row.safetyNote,
    }),
    facts: nonEmpty(row.facts as object),
    spaces: spaceTrees,
    loggers: nonEmpty(loggers),
    stations: nonEmpty(
      stations.map(({ station: { key, name, kind, quantities } }) => ({
        key,
        name,
        kind,
        quantities: quantities as string[],
      })),
    ),
    corrections: nonEmpty(
      corrected.map(({ corrections: c, probes, loggers: logger }) =>
        compact({
          probe: `${logger.key}/${probes.key}`,
          quantity: c.quantity,
          offset: c.offset,
          from: ownClock(c.fromAt, c.fromLocal, row.timeZone),
          to: c.toAt === null ? null : ownClock(c.toAt, c.toLocal!, row.timeZone),
          why: c.why,
        }),
      ),
    ),
    works: nonEmpty(
      works.map(({ key, kind, fromLocal, toLocal, note, details }) =>
        compact({ key, kind, from: fromLocal, to: toLocal, note, details }),
      ),
    ),
    events: nonEmpty(
      events.map(({ kind, fromLocal, toLocal, note }) => compact({ kind, from: fromLocal, to: toLocal, note })),
    ),
    surveys: nonEmpty(surveys.map(({ atLocal, by, note, readings }) => compact({ at: atLocal, by, note, readings }))),
    photos: nonEmpty(
      photos.map(({ hash, mediaType, takenLocal, caption }) =>
        compact({ hash, mediaType, takenAt: takenLocal, caption: caption || undefined }),
      ),
    ),
  }) as HouseTree
}

/** A logger that moved brings its corrections along, entered by the wall clock of the house it hung in then. */
const ownClock = (at: number, text: string, timeZone: string): string =>
  instantOfLocalText(text, timeZone) === at ? text : localTimeText(at, timeZone)

/** Leaves out what is null or undefined, so that a tree holds only what somebody said. */
function compact<T extends Record<string, unknown>>(value: T): { [K in keyof T]: NonNullable<T[K]> } {
  return Object.fromEntries(Object.entries(value).filter(([, v]) => v !== null && v !== undefined)) as {
    [K in keyof T]: NonNullable<T[K]>
  }
}

const nonEmpty = <T extends object>(value: T): T | undefined => (Object.keys(value).length > 0 ? value : undefined)
