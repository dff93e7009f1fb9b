/** The spots of a house's page: level as of the instant it is told for, what set it, and the last values heard. */
import { LEVELS, type Level } from '../../moisture/level.ts'
import { dewPointC } from '../../physics/air.ts'
import { HOUR_MS } from '../../series/hourly.ts'
import { instantOfLocalText } from '../../series/localTime.ts'
import { findLastHour } from '../../store/hourBuckets.ts'
import type { HouseTree } from '../../store/houseTree.ts'
import type { Database } from '../../store/open.ts'
import type { HouseLevelData, LevelRun, SpotLevelData } from '../findingData.ts'
import { type Units, wordedText } from '../wording.ts'

export interface PageSpot {
  spot: string
  letter: string
  name: string
  level: Level | null
  since: string | null
  lastHeardAt: number | null
  because: string
  guardsAgainst: string
  possible: string[]
  notJudged: string[]
  last: LastValues | null
  runs: LevelRun[]
}

interface LastValues {
  at: number
  tempC: number | null
  rhPct: number | null
  dewPointC: number | null
  vaporPressurePa: number | null
  woodMcPct: number | null
}

export interface PageSpace {
  space: string
  name: string
  role: string
  kind: string | null
  spots: PageSpot[]
}

export interface SpotsAsked {
  tree: HouseTree
  probeIds: ReadonlyMap<string, number>
  letters: ReadonlyMap<string, string>
  /** null: nothing has been judged. */
  levels: HouseLevelData | null
  asOf: number
  units: Units
}

const EVER = Number.MAX_SAFE_INTEGER

export async function pageSpaces(db: Database, asked: SpotsAsked): Promise<PageSpace[]> {
  const spaces: PageSpace[] = []
  for (const space of asked.tree.spaces) {
    const judged = asked.levels?.spaces.find((one) => one.space === space.key)
    const spots: PageSpot[] = []
    for (const { key, name } of space.spots) {
      const path = `${space.key}/${key}`
      const last = await lastValues(db, asked, path)
      spots.push({
        spot: path,
        letter: asked.letters.get(path) ?? '',
        name,
        ...judgedAs(
          judged?.spots.find(({ spot }) => spot === path),
          last,
          asked,
        ),
        last,
      })
    }
    spaces.push({
      space: space.key,
      name: space.name,
      role: space.role,
      kind: judged?.kind ?? space.kind ?? null,
      spots,
    })
  }
  return spaces
}

function judgedAs(spot: SpotLevelData | undefined, last: LastValues | null, { levels, asOf, units }: SpotsAsked) {
  if (spot === undefined || levels === null) {
    const lastHeardAt = last === null ? null : last.at + HOUR_MS
    return {
      level: null,
      since: null,
      lastHeardAt,
      because: '',
      guardsAgainst: '',
      possible: [],
      notJudged: [],
      runs: [],
    }
  }
  const silent = spot.lastHeardAt === null || asOf - spot.lastHeardAt >= levels.silentHours * HOUR_MS
  const worded = (text: string) => wordedText(text, spot, units)
  return {
    level: silent ? ('silent' as const) : spot.level,
    since: spot.since,
    lastHeardAt: spot.lastHeardAt,
    because: silent ? 'Nothing is heard from it, which never means dry.' : worded(spot.because),
    guardsAgainst: silent ? '' : spot.guardsAgainst,
    possible: spot.possible.map(worded),
    notJudged: spot.notJudged.map(worded),
    runs: spot.runs,
  }
}

/** Of the placement that was heard last. */
async function lastValues(db: Database, { tree, probeIds }: SpotsAsked, path: string): Promise<LastValues | null> {
  const instant = (text: string) => instantOfLocalText(text, tree.timeZone)
  let last: LastValues | null = null
  for (const { key, probes } of tree.loggers ?? []) {
    for (const probe of probes) {
      for (const { spot, from, to } of probe.placements) {
        const probeId = probeIds.get(`${key}/${probe.key}`)
        if (spot !== path || probeId === undefined) continue
        // An hour in which it came or went may hold readings of another place, even of another house.
        const first = Math.ceil(instant(from) / HOUR_MS) * HOUR_MS
        const end = to === undefined ? EVER : Math.floor(instant(to) / HOUR_MS) * HOUR_MS
        const found = await findLastHour(db, probeId, first, end)
        if (!found || found.at <= (last?.at ?? -1)) continue
        const pa = found.vaporPressurePa
        last = { ...found, dewPointC: pa === null || pa <= 1 ? null : dewPointC(pa) }
      }
    }
  }
  return last
}

/** How many spots have which level, worst first and silent last. */
export function tallyOf(spaces: readonly PageSpace[]): { level: Level; letters: string[] }[] {
  const order: Level[] = [...LEVELS.filter((level) => level !== 'silent'), 'silent']
  return order.flatMap((level) => {
    const letters = spaces.flatMap(({ spots }) =>
      spots.filter((spot) => spot.level === level).map(({ letter }) => letter),
    )
    return letters.length === 0 ? [] : [{ level, letters }]
  })
}
