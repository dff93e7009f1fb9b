/** Dry, drying, damp, wet: now and period by period, for each spot, each space and the house, and what set it. */
import type { Thresholds } from '../advice/defaults.ts'
import { type DayLevel, LEVELS, type Level, type Levels, levelsThroughTime } from '../moisture/level.ts'
import type { Line } from '../moisture/levelLines.ts'
import { type SpaceKinds, spaceKinds } from '../moisture/spaceKind.ts'
import { HOUR_MS } from '../series/hourly.ts'
import { localDateText } from '../series/localTime.ts'
import { cannotTell, type Finding, type FindingNumber } from './finding.ts'
import type { HouseLevelData, LevelRun, PeriodLevelData, SpaceLevelData, SpotLevelData } from './findingData.ts'
import { levelFindings } from './levelWords.ts'
import { type ObservedSpace, observedSpaces } from './observedHouse.ts'
import type { StudiedHouse } from './studiedHouse.ts'
import { takeNumbersOut } from './takeNumbersOut.ts'
import { datesOf } from './workWords.ts'

const QUESTION = 'level'

export function level(house: StudiedHouse, held: Thresholds): Finding[] {
  const spaces = observedSpaces(house)
  if (spaces.length === 0 || house.grid.hours === 0) {
    return [
      cannotTell(QUESTION, {}, 'Whether this house is dry is not known: nothing has been measured in it yet.', [
        'readings of a logger placed in the space under the house',
      ]),
    ]
  }
  const judged = spaces.map((one) => {
    const kinds = spaceKinds(one.space, house.works)
    return { ...one, kinds, levels: levelsByKind(house, one, kinds, held) }
  })
  const { timeZone } = house.tree
  const data: HouseLevelData = {
    recordEnd: house.grid.to,
    silentHours: held.silentHours,
    timeZone,
    spaces: judged.map(({ space, spots, kinds, levels }): SpaceLevelData => {
      return {
        space: space.key,
        name: space.name,
        kind: kinds.at(house.grid.to),
        kindRecorded: kinds.recorded,
        spots: spots.map(({ path, name }, s) => spotData(path, name, levels.spots[s]!, timeZone)),
      }
    }),
  }
  const periods = judged.flatMap(({ space, levels }) => periodFindings(house, space, levels))
  return [...levelFindings(data, house.grid.to), ...periods]
}

/** Judged as vented and as closed where that changed, each day by what the space was then. */
function levelsByKind(house: StudiedHouse, one: ObservedSpace, kinds: SpaceKinds, held: Thresholds): Levels {
  const { observed, pins, coldSurfaces } = one
  const worksAt = house.works.map(({ from }) => from)
  const made = new Map<boolean, Levels>()
  const judgedAs = (closed: boolean) => {
    let levels = made.get(closed)
    if (levels === undefined) {
      const context = { kind: closed ? ('closed' as const) : ('vented' as const), worksAt, pins, coldSurfaces }
      made.set(closed, (levels = levelsThroughTime(observed, context, held)))
    }
    return levels
  }
  const any = judgedAs(kinds.at(house.grid.to) !== 'vented')
  const ofDay = (at: number) => judgedAs(kinds.at(at) !== 'vented')
  return {
    spots: any.spots.map((spot, s) => ({ ...spot, days: spot.days.map(({ at }, d) => ofDay(at).spots[s]!.days[d]!) })),
    house: any.house.map(({ at }, d) => ofDay(at).house[d]!),
  }
}

function spotData(
  spot: string,
  name: string,
  { days, lastHeardAt }: Levels['spots'][number],
  timeZone: string,
): SpotLevelData {
  const numbers: Record<string, FindingNumber> = {}
  const words = (text: string) => takeNumbersOut(text, numbers)
  const runs = runsOf(days, timeZone)
  const day = days.findLast(({ level: known }) => known !== 'silent')
  const last = runs.findLast((run) => run.level !== 'silent')
  return {
    spot,
    name,
    level: day?.level ?? 'silent',
    since: last?.from ?? '',
    lastHeardAt,
    because: day?.setBy ? words(day.setBy.sentence) : '',
    guardsAgainst: day?.setBy?.harm ?? '',
    possible: (day?.possible ?? []).map((line: Line) => words(line.sentence)),
    notJudged: (day?.notJudged ?? []).map(words),
    numbers,
    runs,
  }
}

function runsOf(days: readonly Pick<DayLevel, 'at' | 'level'>[], timeZone: string): LevelRun[] {
  const runs: LevelRun[] = []
  for (const { at, level: now } of days) {
    const date = localDateText(at, timeZone)
    const last = runs.at(-1)
    if (last?.level === now) {
      last.to = date
      last.days++
    } else runs.push({ level: now, from: date, to: date, days: 1 })
  }
  return runs
}

/** One a period: how many of its days had which level; the worst spot of a day counts. */
function periodFindings(house: StudiedHouse, space: { key: string; name: string }, levels: Levels): Finding[] {
  return house.periods.map((period) => {
    const days = Object.fromEntries(LEVELS.map((one) => [one, 0])) as Record<Level, number>
    for (const { at, level: one } of levels.house) {
      if (at >= period.from && at + 12 * HOUR_MS < period.to) days[one]++
    }
    const dates = datesOf(period, house.tree.timeZone)
    const data: PeriodLevelData = { ...dates, days }
    const numbers = Object.fromEntries(
      LEVELS.map((one): [string, FindingNumber] => [one, { value: days[one], unit: 'days' }]),
    )
    const parts = LEVELS.filter((one) => days[one] > 0).map((one) => `{${one}} ${one}`)
    return {
      question: QUESTION,
      subject: { space: space.key, period: period.key },
      sentence: `${space.name}, ${dates.from} to ${dates.to}: ${parts.join(', ') || 'no whole day'}.`,
      numbers,
      evidenceFor: [],
      evidenceAgainst: [],
      certainty: 'likely',
      wouldChangeIt: 'Other lines for this house (its settings), or wood read by pins.',
      data,
    }
  })
}
