/**
 * The order of reasoning: which source is suspected, with the evidence for and against, a word for how sure it is, what
 * would change our mind, and the next cheapest test. Water comes first, because vapor means little while it runs in.
 */
import { CLUES, type HouseFindings, SOURCES, type Source } from './clues.ts'
import type { Thresholds } from './defaults.ts'

export type Certainty = 'likely' | 'possible' | 'unlikely' | 'cannot tell'

export interface Suspicion {
  source: Source
  certainty: Certainty
  evidenceFor: string[]
  evidenceAgainst: string[]
  wouldChangeIt: string
  nextTest: string
}

export interface Reasoning {
  /** Every source, likely ones first and in the order of the trade: water, leak, ground, outdoor air ... */
  suspicions: Suspicion[]
  /** The first to deal with; 'unknown' asks for a test, never for a remedy. */
  first: Source | 'unknown'
  /** Vapor sources are listed but not ranked while water is likely. */
  vaporWaits: boolean
  enough: boolean
  summary: string
  nextTest: string
}

const WORDS: Record<Source, { wouldChangeIt: string; nextTest: string }> = {
  'rain or ground water': {
    wouldChangeIt: 'Three storms of half an inch or more without a rise and with a dry water sensor.',
    nextTest: 'A water sensor at the low point; then a hose at one downspout at a time for 30 to 60 minutes.',
  },
  leak: {
    wouldChangeIt: 'The rise ends by itself, follows rain, or stays with all water shut off.',
    nextTest: 'Read the water meter with everything shut off; run each drain with dye.',
  },
  ground: {
    wouldChangeIt: 'No excess on cold dry days, or no fall of it once the ground is covered.',
    nextTest: 'Tape a sheet of plastic to the ground for a day or two and look under it; or cover one bay.',
  },
  'outdoor air': {
    wouldChangeIt: 'Excess on cold dry days, or a humid spell that the air below does not follow.',
    nextTest: 'Measure the coldest surface; vents closed and opened for one to two weeks each, if no hold forbids it.',
  },
  'cold surface or duct': {
    wouldChangeIt: 'A measured surface that stays above the dew point while cooling runs.',
    nextTest: 'A surface probe on the coldest duct jacket; a look at it on a humid day.',
  },
  drying: {
    wouldChangeIt: 'A rise after rain, or wood that stops falling while it is still damp.',
    nextTest: 'Wait, and read wood moisture at the same marked spots in two weeks.',
  },
  'house air': {
    wouldChangeIt: 'All exhausts proven to end outdoors, and no pulses with use.',
    nextTest: 'Follow each exhaust to its end; the owner notes washing and drying for a week.',
  },
}

/** In this order when nothing points anywhere: cheapest first. */
const FIRST_TESTS: readonly { lacking: (found: HouseFindings) => boolean; test: string }[] = [
  { lacking: ({ liquid }) => liquid === 'not measured', test: 'A water sensor at the low point.' },
  {
    lacking: ({ sensorsChecked }) => !sensorsChecked,
    test: 'All loggers side by side in one box for a day, so that small excesses count.',
  },
  { lacking: ({ rain }) => rain === null, test: 'A rain record, from a gauge or a station nearby.' },
  {
    lacking: ({ coverShare, floor }) => coverShare === null || floor === 'not looked at',
    test: 'A look at the ground: covered or bare, dry or damp.',
  },
  { lacking: ({ houseExhausts }) => houseExhausts === 'not looked at', test: WORDS['house air'].nextTest },
  { lacking: ({ condensationDays }) => condensationDays === null, test: WORDS['cold surface or duct'].nextTest },
]
const LAST_TEST = 'Wood moisture at five marked places, and again in two weeks.'

/** @param held thresholds of the house (advice/thresholds.ts) */
export function reasonAboutSources(found: HouseFindings, held: Thresholds): Reasoning {
  const { enough } = found.baseline
  const weighed = SOURCES.map((source) => weigh(source, found, held))
  const water = weighed[0]!
  const vaporWaits = water.certainty === 'likely'
  const order: readonly Certainty[] = ['likely', 'possible', 'cannot tell', 'unlikely']
  // A stable sort: within one word the order of the trade stays.
  const suspicions = vaporWaits
    ? weighed
    : [...weighed].sort((a, b) => order.indexOf(a.certainty) - order.indexOf(b.certainty))
  const top = suspicions[0]!
  const found1 = top.certainty === 'likely' || top.certainty === 'possible'
  const first = found1 ? top.source : 'unknown'
  const nextTest = found1 ? top.nextTest : (FIRST_TESTS.find(({ lacking }) => lacking(found))?.test ?? LAST_TEST)
  return { suspicions, first, vaporWaits, enough, summary: summaryOf(top, first, vaporWaits, found), nextTest }
}

function weigh(source: Source, found: HouseFindings, held: Thresholds): Suspicion {
  let [strongFor, strongAgainst] = [0, 0]
  const evidenceFor: string[] = []
  const evidenceAgainst: string[] = []
  for (const clue of CLUES) {
    if (clue.source !== source) continue
    const words = clue.when(found, held)
    if (words === null) continue
    if (clue.speaks === 'for') evidenceFor.push(words)
    else evidenceAgainst.push(words)
    if (clue.weight === 'strong') clue.speaks === 'for' ? strongFor++ : strongAgainst++
  }
  const certainty = certaintyOf(source, found, evidenceFor.length, evidenceAgainst.length, strongFor, strongAgainst)
  return { source, certainty, evidenceFor, evidenceAgainst, ...WORDS[source] }
}

function certaintyOf(
  source: Source,
  found: HouseFindings,
  anyFor: number,
  anyAgainst: number,
  strongFor: number,
  strongAgainst: number,
): Certainty {
  // Water that was seen needs no baseline.
  const seen = source === 'rain or ground water' && (found.liquid === 'seen' || found.floor === 'wet')
  if (strongFor > 0 && strongAgainst === 0 && (found.baseline.enough || seen)) return 'likely'
  if (strongFor > 0 || (anyFor > 0 && strongAgainst === 0)) return 'possible'
  // What rests on a record too short is no reason to rule a source out.
  if (strongAgainst > 0 && found.baseline.enough) return 'unlikely'
  return anyFor === 0 && anyAgainst > 0 && found.baseline.enough ? 'unlikely' : 'cannot tell'
}

function summaryOf(
  top: Suspicion,
  first: Reasoning['first'],
  vaporWaits: boolean,
  { baseline }: HouseFindings,
): string {
  const short = baseline.enough ? '' : ` Not enough has been seen yet: ${baseline.needs}.`
  if (vaporWaits) return `Water comes in and is dealt with first; sources of vapor are not ranked until then.${short}`
  if (first === 'unknown') return `Nothing points to a source yet. The next step is a test, not a remedy.${short}`
  const words = top.certainty === 'likely' ? 'is the likely source' : 'is a possible source'
  return `${first.charAt(0).toUpperCase()}${first.slice(1)} ${words}.${short}`
}
