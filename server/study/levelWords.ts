/** The level in sentences. Made anew when asked: a logger that has fallen silent since must not look dry. */
import { LEVELS, type Level } from '../moisture/level.ts'
import { HOUR_MS } from '../series/hourly.ts'
import { localDateText, localTimeText } from '../series/localTime.ts'
import { cannotTell, type Finding, type FindingNumber } from './finding.ts'
import type { HouseLevelData, SpaceLevelData, SpotLevelData } from './findingData.ts'
import { fellSilentTogether, silentTogetherSentence } from './silentTogether.ts'

const QUESTION = 'level'

/** What an owner reads, in one line. */
export const STATES: Record<Level, string> = {
  wet: 'Wet: do something now',
  damp: 'Damp: look for the cause',
  drying: 'Drying, as expected',
  dry: 'Dry',
  silent: 'Silent: nothing is heard, which never means dry',
}

const worse = (a: Level, b: Level): number => LEVELS.indexOf(a) - LEVELS.indexOf(b)

type Judged = SpotLevelData & { levelNow: Level }
type JudgedSpace = Omit<SpaceLevelData, 'spots'> & { spots: Judged[]; worst: Judged }

/**
 * The house, each space and each spot, as of an instant at or after the end of the record.
 * @param radio the house's name, and spots whose loggers report by themselves: where they all fell silent at once, that is
 * one finding and not one for each
 */
export function levelFindings(
  data: HouseLevelData,
  asOf: number,
  radio?: { name: string; spots: ReadonlySet<string> },
): Finding[] {
  const spaces = data.spaces.map((space): JudgedSpace => {
    const spots = space.spots.map((spot): Judged => {
      const silent = spot.lastHeardAt === null || asOf - spot.lastHeardAt >= data.silentHours * HOUR_MS
      return { ...spot, levelNow: silent ? 'silent' : spot.level }
    })
    const worst = [...spots].sort((a, b) => worse(a.levelNow, b.levelNow) || worse(a.level, b.level))[0]!
    return { ...space, spots, worst }
  })
  const together =
    radio &&
    silentTogether(
      data,
      spaces.flatMap(({ spots }) => spots),
      radio,
    )
  if (together) return [together]
  return [houseFinding(data, spaces, asOf), ...spaces.flatMap((space) => spaceFindings(data, space))]
}

function silentTogether(
  data: HouseLevelData,
  spots: readonly Judged[],
  radio: { name: string; spots: ReadonlySet<string> },
): Finding | undefined {
  const heardAt = spots.flatMap(({ lastHeardAt }) => lastHeardAt ?? [])
  const all = heardAt.length === spots.length && spots.every(({ spot }) => radio.spots.has(spot))
  // What is known here is the hour that each was heard in.
  if (!all || spots.some(({ levelNow }) => levelNow !== 'silent') || !fellSilentTogether(heardAt, HOUR_MS))
    return undefined
  const sentence = silentTogetherSentence({ name: radio.name, timeZone: data.timeZone }, heardAt)
  return cannotTell(QUESTION, {}, `${STATES.silent}. ${sentence}`, ['readings of any of its loggers'], {
    evidenceFor: spots.map((spot) => spotWords(data, spot)),
    data,
  })
}

function houseFinding(data: HouseLevelData, spaces: readonly JudgedSpace[], asOf: number): Finding {
  const first = [...spaces].sort((a, b) => worse(a.worst.levelNow, b.worst.levelNow))[0]!
  const { levelNow } = first.worst
  return {
    ...common(first.worst, levelNow),
    subject: {},
    sentence: `${STATES[levelNow]}. ${first.name} sets it, as of ${localDateText(Math.max(data.recordEnd, asOf) - 1, data.timeZone)}.`,
    data,
  }
}

function spaceFindings(data: HouseLevelData, space: JudgedSpace): Finding[] {
  const { worst } = space
  const kind = space.kindRecorded
    ? []
    : [`Whether the space is vented or closed is not recorded; it is judged as ${space.kind}.`]
  const own = spotWords(data, worst)
  const ofSpace: Finding = {
    ...common(worst, worst.levelNow),
    subject: { space: space.space },
    sentence: `${space.name}: ${STATES[worst.levelNow]}. ${own}`,
    evidenceAgainst: [...kind, ...doubts(worst)],
  }
  const silentOnes = space.spots.filter(({ levelNow }) => levelNow === 'silent')
  if (silentOnes.length > 0 && worst.levelNow !== 'silent') {
    ofSpace.evidenceAgainst.push(`Not heard any more: ${silentOnes.map(({ name }) => name).join(', ')}.`)
  }
  return [
    ofSpace,
    ...space.spots.map((spot): Finding => {
      return {
        ...common(spot, spot.levelNow),
        subject: { space: space.space, spot: spot.spot },
        sentence: `${STATES[spot.levelNow]}. ${spotWords(data, spot)}`,
        evidenceAgainst: doubts(spot),
      }
    }),
  ]
}

function spotWords(
  { timeZone }: HouseLevelData,
  { name, level, levelNow, since, lastHeardAt, because, guardsAgainst }: Judged,
): string {
  if (levelNow === 'silent') {
    if (lastHeardAt === null) return `${name} has never been heard.`
    const known = level === 'silent' ? '' : `, and it was ${level} then`
    return `${name} was last heard ${localTimeText(lastHeardAt, timeZone).replace('T', ' ')}${known}.`
  }
  if (level === 'dry') return `${name} crosses no line since ${since}.`
  const harm = guardsAgainst === '' ? '' : ` The line guards against ${guardsAgainst}.`
  return `${name}, since ${since}: ${because}${harm}`
}

/** Possible lines matter most where the level is "dry". */
const doubts = ({ possible, notJudged, level }: Judged): string[] => [
  ...(level === 'wet' ? [] : possible.map((text) => `Perhaps worse: ${text}`)),
  ...notJudged.map((text) => `Not judged: ${text}`),
]

function common(spot: Judged, levelNow: Level): Finding {
  if (levelNow === 'silent') {
    const missing = [`readings of ${spot.name}: look for a flat battery or a lost logger`]
    return cannotTell(QUESTION, {}, '', missing)
  }
  const numbers: Record<string, FindingNumber> = spot.numbers
  const liquid = spot.guardsAgainst === 'standing water'
  return {
    question: QUESTION,
    subject: {},
    sentence: '',
    numbers,
    evidenceFor: [],
    evidenceAgainst: [],
    certainty: liquid ? 'shown' : levelNow === 'dry' && spot.notJudged.length > 0 ? 'weak' : 'likely',
    wouldChangeIt: 'Wood read by pins at this spot, and a sensor for liquid water at the low point.',
  }
}
