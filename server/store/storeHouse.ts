/** Writes a house tree in one unit of work. */
import { isDeepStrictEqual } from 'node:util'
import { eq } from 'drizzle-orm'
import type { Correction } from '../series/corrections.ts'
import { instantOfLocalText } from '../series/localTime.ts'
import { correctionsByProbe, correctionsOf, PROBES_IN_TREE } from './corrections.ts'
import { addStation, findOrAddProbe } from './houseProbes.ts'
import { type HouseRow, houseRow, type ProbeId } from './houses.ts'
import type { HouseTree } from './houseTree.ts'
import { houseVersion } from './houseVersion.ts'
import type { Database } from './open.ts'
import { placementClashes } from './placementClashes.ts'
import { readTree } from './readHouse.ts'
import { NOT_LOOKED_AT, type SafetyQuestion } from './safety.ts'
import * as t from './schema.ts'
import { type TreeChange, treeChanges } from './treeChanges.ts'
import { inTransaction } from './unitsOfWork.ts'

export interface StoredHouse {
  houseId: number
  probes: ProbeId[]
  /** Probe of each station, by station key. */
  stations: Map<string, number>
}

export interface StoreChange {
  /** false refuses a house whose key is taken */
  replace: boolean
  now: number
  who: string
  /** What was done, for the history; said in general when left out. */
  what?: string
  /** The entry of the history that this change puts back. */
  undoes?: number
  /** Version of the house that the change was made from (houseVersion.ts); any when left out. */
  version?: string
}

/** The house cannot be stored as given; the message is a sentence for people. */
export class HouseRefused extends Error {
  override name = 'HouseRefused'
  readonly kind: 'key taken' | 'changed meanwhile' | 'clash'

  constructor(kind: HouseRefused['kind'], message: string) {
    super(message)
    this.kind = kind
  }
}

export interface HouseChange {
  tree: HouseTree
  change: StoreChange
}

/**
 * Writes a sound tree (houseTreeProblems is empty): a new house, or the facts of an existing one replaced. Readings stay
 * where they are, for loggers and probes are found again by their keys.
 * @throws HouseRefused when its key is taken, it is no longer what it was changed from, or a probe hangs in another
 * house at the same time
 */
export async function storeHouse(db: Database, tree: HouseTree, change: StoreChange): Promise<StoredHouse> {
  return inTransaction(db, () => writeHouses(db, [{ tree, change }])[0]!)
}

/**
 * The same for several houses, all or none of them; inside the caller's transaction. What a logger leaves and what it
 * comes to may stand in any order, for every house is cleared before the first is written.
 */
export function writeHouses(db: Database, changes: readonly HouseChange[]): StoredHouse[] {
  const begun = changes.map((change) => beginChange(db, change))
  const correctedBefore = new Map(begun.flatMap((one) => [...correctionsAround(db, one)]))
  for (const { before } of begun) if (before) clearParts(db, before.id)
  const corrected = new Set<string>()
  const stored = begun.map((one) => writeHouse(db, one, corrected))
  const correctedNow = new Map(stored.flatMap(({ houseId }) => [...correctionsByProbe(db, houseId)]))
  markHoursDue(db, differing(correctedBefore, correctedNow))
  return stored
}

interface BegunChange extends HouseChange {
  before: HouseRow | undefined
  previous: HouseTree | undefined
}

function beginChange(db: Database, { tree, change }: HouseChange): BegunChange {
  const before = houseRow(db, tree.key)
  if (before && !change.replace) throw new HouseRefused('key taken', `A house "${tree.key}" is stored already.`)
  const previous = before ? readTree(db, before) : undefined
  if (change.version !== undefined && (previous === undefined || houseVersion(previous) !== change.version)) {
    throw new HouseRefused('changed meanwhile', `The house "${tree.key}" was changed by somebody else meanwhile.`)
  }
  return { tree, change, before, previous }
}

/** Of the probes in the house as it is, and of those that come to it: their corrections come with them. */
function correctionsAround(db: Database, { tree, before }: BegunChange): Map<number, Correction[]> {
  const around = before ? correctionsByProbe(db, before.id) : new Map<number, Correction[]>()
  const probeIds = db.raw
    .prepare('select p.id from probes p join loggers l on l.id = p.logger_id where l.key = ? and p.key = ?')
    .pluck()
  for (const logger of tree.loggers ?? []) {
    for (const probe of logger.probes) {
      const id = probeIds.get(logger.key, probe.key) as number | undefined
      const own = id === undefined ? [] : correctionsOf(db, id)
      if (id !== undefined && own.length > 0) around.set(id, own)
    }
  }
  return around
}

/** @param corrected paths of probes whose corrections stand already: a logger that moved has them in every house it hung in */
function writeHouse(
  db: Database,
  { tree, change, before, previous }: BegunChange,
  corrected: Set<string>,
): StoredHouse {
  const orm = db.orm
  const [clash] = placementClashes(db, tree)
  if (clash) throw new HouseRefused('clash', `${clash.path}: ${clash.problem}`)

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
  if (before) orm.update(t.houses).set(row).where(eq(t.houses.id, houseId)).run()

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
      const isNew = !previous?.loggers?.some(({ key }) => key === logger.key)
      const id = findOrAddProbe(db, logger, probe, isNew ? { moveTo: houseId } : { stayElse: houseId })
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
  const corrections = (tree.corrections ?? []).filter(({ probe }) => !corrected.has(probe))
  for (const { probe, quantity, offset, from, to, why } of corrections) {
    corrected.add(probe)
    orm
      .insert(t.corrections)
      .values({ probeId: probeId(probe), quantity, offset, why, ...span(from, to) })
      .run()
  }

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
    orm.insert(t.photos).values({ houseId, hash, mediaType, takenAt: takenInstant, takenLocal: takenAt, caption }).run()
  }
  const stored = orm.select().from(t.houses).where(eq(t.houses.id, houseId)).get()!
  const changes = previous ? treeChanges(previous, readTree(db, stored)) : []
  if (previous && changes.length === 0) return { houseId, probes: probeIds, stations }
  orm
    .insert(t.history)
    .values({
      houseId,
      at: change.now,
      who: change.who,
      what: change.what ?? (before ? 'replaced the facts of the house' : 'added the house'),
      subject: tree.name,
      before: previous ? byPath(changes, 'before') : null,
      after: previous ? byPath(changes, 'after') : {},
      undoes: change.undoes ?? null,
    })
    .run()
  return { houseId, probes: probeIds, stations }
}

const byPath = (changes: readonly TreeChange[], side: 'before' | 'after'): Record<string, unknown> =>
  Object.fromEntries(changes.map((change) => [change.path, change[side] ?? null]))

/** Everything of a house that {@link storeHouse} writes anew. Loggers, probes, stations and readings stay. */
function clearParts(db: Database, houseId: number): void {
  const run = (sql: string) => db.raw.prepare(sql).run({ houseId })
  run(`delete from corrections where probe_id in (${PROBES_IN_TREE})`)
  run('update loggers set house_id = null where house_id = cast(@houseId as integer)') // those still named are set again
  for (const table of ['spaces', 'works', 'events', 'surveys', 'house_stations', 'photos']) {
    run(`delete from ${table} where house_id = cast(@houseId as integer)`)
  }
}

/** Probes whose corrections are not what they were. */
const differing = (before: Map<number, Correction[]>, after: Map<number, Correction[]>): number[] =>
  [...new Set([...before.keys(), ...after.keys()])].filter((id) => !isDeepStrictEqual(before.get(id), after.get(id)))

/** Corrections decide what hour values are: a changed set makes all hours of its probe due, and nothing else does. */
export function markHoursDue(db: Database, probeIds: number[]): void {
  const due = db.raw.prepare(
    `insert into hourly_due (probe_id, from_at, to_at)
    select @id, min(at), max(at) + 1 from readings where probe_id = cast(@id as integer) having count(*) > 0
    on conflict (probe_id) do update set from_at = min(from_at, excluded.from_at), to_at = max(to_at, excluded.to_at)`,
  )
  for (const id of probeIds) due.run({ id })
}
