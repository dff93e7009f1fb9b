/**
 * A case folder (house.json, events.json, CSV files with or without .gz) as the house tree a contractor would have
 * entered. `truth.json` is never opened here.
 */
import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { basename, join } from 'node:path'
import { m2FromSquareFeet, metersFromFeet } from '../../server/physics/units.ts'
import type { HouseFacts, HouseTree, SpaceTree } from '../../server/store/houseTree.ts'
import { houseTreeProblems } from '../../server/store/houseTreeProblems.ts'
import { type CaseWork, localText, workOf } from './caseWorks.ts'
import { defined } from './defined.ts'

export interface CaseFolder {
  tree: HouseTree
  /** Files to bring in, each with what its readings belong to. */
  files: { path: string; logger: string | null; station: string | null }[]
  /** Id in the case of the logger at each spot, by the spot's path. */
  loggerIds: Map<string, string>
  /** The case's own id of each work, by key. */
  workIds: Map<string, string>
  /** Files that house.json names and the folder lacks. */
  missing: string[]
}

interface CaseHouse {
  timeZone?: string
  crawlSpace?: Record<string, number>
  vents?: { count?: number; openAtStart?: string }
  groundCoverAtStart?: { share_pct?: number } | null
  roof?: Record<string, number>
  downspoutsAtStart?: string
  floorInsulated?: boolean
  dehumidifierAtStart?: { presentFromStart?: boolean; rated_Lday?: number; setpoint_pct?: number } | null
  targetRH_pct?: number
  site?: Record<string, number>
  latitude?: number
  loggers?: CaseLogger[]
  outdoor?: string | null
  rain?: string | null
}

interface CaseLogger {
  id: string
  file: string
  place?: string
  accuracyRH_pct?: number
  accuracyT_C?: number
}

interface CaseEvents {
  interventions?: CaseWork[]
  observations?: { date: string; kind: string; place?: string; value_pct?: number }[]
}

/** Placed before any record: the cases do not say when the loggers were hung. */
const BEFORE_ALL = '2000-01-01'
export const OUTDOOR_LOGGER = 'outdoor'

/** @throws Error with every problem of the house as entered */
export function readCaseFolder(folder: string): CaseFolder {
  const json = <T>(name: string): T => JSON.parse(readFileSync(join(folder, name), 'utf8')) as T
  const house = json<CaseHouse>('house.json')
  const events = existsSync(join(folder, 'events.json')) ? json<CaseEvents>('events.json') : {}
  const found: CaseFolder = { tree: undefined!, files: [], loggerIds: new Map(), workIds: new Map(), missing: [] }
  const uniqueKey = keyMaker()
  const addFile = (name: string, logger: string | null, station: string | null = null): boolean => {
    const plain = name.replace(/\.gz$/, '')
    const path = [plain, `${plain}.gz`].map((n) => join(folder, n)).find((one) => existsSync(one))
    if (path) found.files.push({ path, logger, station })
    else found.missing.push(name)
    return path !== undefined
  }

  const crawl = crawlSpaceOf(house)
  const loggers: NonNullable<HouseTree['loggers']> = []
  for (const logger of house.loggers ?? loggersByFiles(folder)) {
    const key = uniqueKey(logger.id)
    if (!addFile(logger.file, key)) continue
    crawl.spots.push({ key, name: logger.place || logger.id })
    found.loggerIds.set(`${crawl.key}/${key}`, logger.id)
    const placements = [{ spot: `${crawl.key}/${key}`, from: BEFORE_ALL }]
    const accuracy = defined({ accuracyTempC: logger.accuracyT_C, accuracyRhPct: logger.accuracyRH_pct })
    loggers.push({ key, probes: [{ key: 'air', ...accuracy, placements }] })
  }
  const spaces = [crawl]
  const outdoorKey = uniqueKey(OUTDOOR_LOGGER)
  if (house.outdoor && addFile(house.outdoor, outdoorKey)) {
    spaces.push({ key: 'outdoor', name: 'Outdoors', role: 'outdoor', spots: [{ key: 'wall', name: 'Outdoor logger' }] })
    found.loggerIds.set('outdoor/wall', OUTDOOR_LOGGER)
    loggers.push({
      key: outdoorKey,
      probes: [{ key: 'air', placements: [{ spot: 'outdoor/wall', from: BEFORE_ALL }] }],
    })
  }
  const rain = house.rain ? addFile(house.rain, null, 'rain') : false
  const workKey = keyMaker()

  found.tree = {
    format: 'underjoist house 1',
    key: keyMaker()(basename(folder)),
    name: basename(folder),
    invented: true,
    timeZone: house.timeZone ?? 'America/New_York',
    ...defined({ latitude: house.latitude ?? house.site?.latitude, elevationM: length(house.site, 'elevation') }),
    facts: factsOf(house),
    spaces,
    loggers,
    stations: rain ? [{ key: 'rain', name: 'Rain', kind: 'file' as const, quantities: ['rainMm'] }] : [],
    works: (events.interventions ?? []).map((work, i) => {
      const id = work.id ?? `work-${i + 1}`
      const key = workKey(id)
      found.workIds.set(key, id)
      return workOf(work, key)
    }),
    surveys: (events.observations ?? [])
      .filter((seen) => seen.kind === 'wood_moisture_reading' && seen.value_pct !== undefined)
      .map((seen) => ({
        at: `${localText(seen.date).slice(0, 10)}T12:00`,
        readings: [{ ...defined({ place: seen.place }), quantity: 'woodMcPct' as const, value: seen.value_pct! }],
      })),
  }
  const problems = houseTreeProblems(found.tree)
  if (problems.length === 0) return found
  throw new Error(problems.map(({ path, problem }) => `house.json as entered, ${path}: ${problem}`).join(' '))
}

function loggersByFiles(folder: string): CaseLogger[] {
  return readdirSync(folder).flatMap((file) => {
    const id = /^readings-(.+)\.csv(?:\.gz)?$/.exec(file)?.[1]
    return id === undefined ? [] : [{ id, file }]
  })
}

function crawlSpaceOf(house: CaseHouse): SpaceTree {
  const vents = house.vents?.openAtStart
  return {
    key: 'crawl',
    name: 'Crawl space',
    role: 'crawl space',
    ...(vents === undefined ? {} : { kind: vents === 'no' ? ('closed' as const) : ('vented' as const) }),
    ...defined({
      floorAreaM2: area(house.crawlSpace, 'floorArea'),
      heightM: length(house.crawlSpace, 'height'),
      perimeterM: length(house.crawlSpace, 'perimeter'),
      ventCount: house.vents?.count,
      ventState: ventState(vents),
      groundCoverSharePct: house.groundCoverAtStart?.share_pct,
    }),
    spots: [],
  }
}

const DOWNSPOUTS = ['end at the wall', 'some led away', 'led away'] as const

function factsOf(house: CaseHouse): HouseFacts {
  const machine = house.dehumidifierAtStart
  return defined({
    roofAreaM2: area(house.roof, 'area'),
    downspouts: DOWNSPOUTS.find((word) => word === house.downspoutsAtStart),
    floorInsulated: house.floorInsulated,
    targetRhPct: house.targetRH_pct,
    dehumidifierAtStart:
      machine && machine.presentFromStart !== false
        ? defined({ ratedLPerDay: machine.rated_Lday, setPointRhPct: machine.setpoint_pct })
        : undefined,
  })
}

const area = (part: Record<string, number> | undefined, name: string) =>
  part?.[`${name}_m2`] ?? (part?.[`${name}_ft2`] === undefined ? undefined : m2FromSquareFeet(part[`${name}_ft2`]!))
const length = (part: Record<string, number> | undefined, name: string) =>
  part?.[`${name}_m`] ?? (part?.[`${name}_ft`] === undefined ? undefined : metersFromFeet(part[`${name}_ft`]!))

const ventState = (word: string | undefined): SpaceTree['ventState'] =>
  word === 'yes' ? 'open' : word === 'no' ? 'closed' : word === 'partly' ? 'partly' : undefined

/** Turns any id into a key the house tree allows, each one once. */
function keyMaker(): (id: string) => string {
  const taken = new Set<string>()
  return (id) => {
    const plain =
      id
        .toLowerCase()
        .replaceAll(/[^a-z0-9._-]+/g, '-')
        .replace(/^[^a-z0-9]+/, '')
        .slice(0, 60) || 'x'
    let key = plain
    for (let n = 2; taken.has(key); n++) key = `${plain}-${n}`
    taken.add(key)
    return key
  }
}
