/** Where the next logger of a house goes: what hangs there now, put before the rules of the trade. */
import { placingAdvice } from '../advice/placing.ts'
import type { PlacedProbe, Placing, PlacingFacts, PlacingSpace } from '../advice/placingFacts.ts'
import { thresholds } from '../advice/thresholds.ts'
import { instantOfLocalText } from '../series/localTime.ts'
import { findHouse } from '../store/houses.ts'
import type { HouseTree, SpaceTree } from '../store/houseTree.ts'
import type { Database } from '../store/open.ts'
import { readHouse } from '../store/readHouse.ts'
import { findEnds, readColumns } from '../store/readings.ts'
import { type CheckableProbe, findCheckableProbes, findChecks } from '../store/sensorChecks.ts'
import { readSettings } from '../store/settings.ts'
import { listProbes, MOST_LISTED } from './checks/listed.ts'
import type { Units } from './wording.ts'

/** The last stretch of a probe's readings, to see what it measures. */
const LOOK_BACK_MS = 7 * 86_400_000
const ALL_AIR = { air: true, wood: false, surface: false, water: false, rain: false }

/** @returns undefined when there is no such house */
export async function placingOf(
  db: Database,
  houseKey: string,
  { now, units }: { now: number; units: Units },
): Promise<Placing | undefined> {
  const [tree, row] = [await readHouse(db, houseKey), await findHouse(db, houseKey)]
  if (!tree || !row) return undefined
  const settings = await readSettings(db, row)
  const { known, atHand } = await whatHangs(db, houseKey, now)
  const measures = await measuresOf(
    db,
    known.filter(({ hung }) => hung?.house === houseKey),
  )
  const spaces = tree.spaces.map((space) => placingSpace(space, known, measures, houseKey))
  const ventsOfWorks = latestVents(tree, now)
  const facts: PlacingFacts = {
    spaces: spaces.map((space) => (ventsOfWorks === null ? space : { ...space, ventsOpen: ventsOfWorks })),
    station: {
      dewPoint: (tree.stations ?? []).some(({ quantities }) => quantities.includes('rhPct')),
      rain: (tree.stations ?? []).some(({ quantities }) => quantities.includes('rainMm')),
    },
    downspouts: tree.facts?.downspouts ?? null,
    gradeAtWall: tree.facts?.gradeAtWall ?? null,
    wettestSeen: wettestSeen(tree),
    dehumidifier:
      tree.facts?.dehumidifierAtStart !== undefined || (tree.works ?? []).some(({ kind }) => kind === 'dehumidifier'),
    atHand,
  }
  return placingAdvice(facts, thresholds(settings.firm, settings.house), units)
}

/** What lies in a box for a check hangs where it will hang again; what a check rejected is not at hand. */
async function whatHangs(
  db: Database,
  houseKey: string,
  now: number,
): Promise<{ known: CheckableProbe[]; atHand: number }> {
  const checks = await findChecks(db, MOST_LISTED)
  const runs = checks.filter(({ state }) => state === 'running')
  const known = await findCheckableProbes(db, now)
  for (const { startedAt, probes } of runs) {
    for (const before of await findCheckableProbes(db, startedAt - 1)) {
      const i = known.findIndex(({ path }) => path === before.path && probes.includes(path))
      if (i >= 0) known[i] = before
    }
  }
  const free = (await listProbes(db, checks, now)).filter(
    ({ house, hung, inCheck, rejectedAt }) =>
      house === houseKey && hung === null && inCheck === null && rejectedAt === null,
  )
  return { known, atHand: new Set(free.map(({ path }) => path.split('/')[0])).size }
}

function placingSpace(
  space: SpaceTree,
  known: readonly CheckableProbe[],
  measures: ReadonlyMap<string, PlacedProbe['measures']>,
  houseKey: string,
): PlacingSpace {
  const probes = space.spots.flatMap((spot) =>
    known
      .filter(({ hung }) => hung?.house === houseKey && hung.spot === `${space.key}/${spot.key}`)
      .map(
        ({ path }): PlacedProbe => ({
          spotName: spot.name,
          heightM: spot.heightM ?? null,
          measures: measures.get(path) ?? ALL_AIR,
        }),
      ),
  )
  return {
    key: space.key,
    name: space.name,
    role: space.role,
    heightM: space.heightM ?? null,
    floorAreaM2: space.floorAreaM2 ?? null,
    ventsOpen: space.ventState === undefined ? null : space.ventState !== 'closed',
    probes,
    coldSurfaceKnown: space.spots.some(({ coldSurface }) => coldSurface !== undefined),
  }
}

/** A probe that was never heard is taken for one of air. */
async function measuresOf(
  db: Database,
  probes: readonly CheckableProbe[],
): Promise<Map<string, PlacedProbe['measures']>> {
  const found = new Map<string, PlacedProbe['measures']>()
  for (const { id, path } of probes) {
    const [ends] = await findEnds(db, [id])
    if (!ends) continue
    const columns = await readColumns(db, id, ends.to - LOOK_BACK_MS, ends.to)
    found.set(path, {
      air: columns.rhPct !== undefined,
      wood: columns.woodMcPct !== undefined,
      surface: columns.surfaceTempC !== undefined,
      water: columns.waterPresent !== undefined,
      rain: columns.rainMm !== undefined,
    })
  }
  return found
}

/** What the latest work did to the vents; null when none did. */
function latestVents(tree: HouseTree, now: number): boolean | null {
  const done = (tree.works ?? [])
    .filter(({ kind }) => kind === 'vents sealed' || kind === 'vents opened' || kind === 'encapsulation')
    .map(({ kind, from }) => ({ open: kind === 'vents opened', at: instantOfLocalText(from, tree.timeZone) }))
    .filter(({ at }) => at <= now)
    .sort((a, b) => a.at - b.at)
  return done[done.length - 1]?.open ?? null
}

/** Standing water first, the deepest; else the wettest wood. */
function wettestSeen(tree: HouseTree): PlacingFacts['wettestSeen'] {
  const readings = (tree.surveys ?? []).flatMap((survey) => survey.readings)
  for (const quantity of ['waterDepthMm', 'woodMcPct'] as const) {
    const [worst] = readings
      .filter((reading) => reading.quantity === quantity && reading.value > 0 && (reading.spot ?? reading.place))
      .sort((a, b) => b.value - a.value)
    if (!worst) continue
    const [spaceKey, spotKey] = worst.spot?.split('/') ?? []
    const space = tree.spaces.find(({ key }) => key === spaceKey)
    const spot = space?.spots.find(({ key }) => key === spotKey)
    return { space: space?.key ?? null, place: worst.place ?? spot?.name ?? worst.spot! }
  }
  return null
}
