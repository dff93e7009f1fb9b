/** Which remedies the house needs, does not need, or may not have yet, and what must be recorded before any is quoted. */
import type { Thresholds } from '../advice/defaults.ts'
import { DEFERS, type Hold, holdsOn, type Remedy } from '../advice/holds.ts'
import { type Advice, adviseRemedies, type RemedyFacts } from '../advice/remedies.ts'
import { dayWeather } from '../moisture/coupling.ts'
import { localDays } from '../moisture/observed.ts'
import { thirtyDaySurface, woodMoisture } from '../moisture/risk.ts'
import { spaceKinds } from '../moisture/spaceKind.ts'
import type { SpaceTree } from '../store/houseTree.ts'
import type { WorkKind } from '../store/schema.ts'
import { cannotTell, type Finding, type FindingNumber } from './finding.ts'
import type { RemedyData } from './findingData.ts'
import { inPeriod, type ObservedSpace, observedSpaces } from './observedHouse.ts'
import { reasonAbout } from './reasoning.ts'
import { safetyFactsOf } from './safetyFacts.ts'
import type { StudiedHouse } from './studiedHouse.ts'
import { takeNumbersOut } from './takeNumbersOut.ts'
import { listWords } from './workWords.ts'

const QUESTION = 'remedies'

const OF_WORK: Record<WorkKind, readonly Remedy[]> = {
  'downspout drain': ['roof and yard drains'],
  'yard drain': ['roof and yard drains'],
  'footing drain': ['footing drain'],
  'vents sealed': ['close the space'],
  'vents opened': [],
  'vent fan': ['vent fan'],
  'ground cover': ['ground cover'],
  dehumidifier: ['dehumidifier'],
  encapsulation: ['ground cover', 'close the space'],
  repair: ['repair'],
  other: [],
}

export function remedies(house: StudiedHouse, held: Thresholds): Finding[] {
  const spaces = observedSpaces(house)
  const latest = house.periods.at(-1)
  if (spaces.length === 0 || latest === undefined) {
    return [cannotTell(QUESTION, {}, 'Which remedies this house needs is not known.', ['a first visit, or readings'])]
  }
  return spaces.flatMap((one) => {
    const { facts, answer } = reasonAbout(house, one, latest, held)
    const given: RemedyFacts = {
      found: facts.found,
      reasoning: answer,
      safety: safetyFactsOf(house.tree),
      climate: 'not recorded',
      foundation: foundationOf(house),
      woodAtHumidEndPct: woodAtHumidEnd(one, held),
      surfaceOverLine: surfaceOverLine(house, one, latest, held),
      seasonsSeen: facts.baseline.stage === 'closing decision',
      done: doneIn(house, one.space, held),
    }
    return adviseRemedies(given, held).map((advice) =>
      remedyFinding(
        one.space.key,
        advice,
        given.done.includes(advice.remedy),
        advice.need === 'held' ? holdsOn(advice.remedy, given.safety, held) : [],
      ),
    )
  })
}

function foundationOf({ tree }: StudiedHouse): RemedyFacts['foundation'] {
  const wall = tree.facts?.foundationWall
  if (wall === undefined) return 'not recorded'
  return /\bpier/i.test(wall) ? 'open piers' : 'perimeter wall'
}

/** What stands today, a good cover from before the record among it; a trial that ended, or vents opened again, undoes it. */
function doneIn({ works, grid }: StudiedHouse, space: SpaceTree, { coverGoodShare }: Thresholds): Remedy[] {
  const done = new Set<Remedy>()
  if ((space.groundCoverSharePct ?? 0) >= 100 * coverGoodShare) done.add('ground cover')
  for (const { kind, details, to } of [...works].sort((a, b) => a.from - b.from)) {
    if (to !== null && to < grid.to) continue
    if (kind === 'vents opened') done.delete('close the space')
    for (const one of [kind, ...(details?.parts ?? [])]) for (const remedy of OF_WORK[one]) done.add(remedy)
  }
  return [...done]
}

/** Days in a row with less moist air outdoors that end a humid season. Proposal. */
const AFTER_SEASON_DAYS = 14

/** Highest estimate over the spots on the last humid day of a season that was seen to its end; null before that. */
function woodAtHumidEnd({ observed, pins }: ObservedSpace, held: Thresholds): number | null {
  if (observed.outdoor === null) return null
  const days = localDays(observed)
  const { humid } = dayWeather(observed, observed.outdoor, days, held)
  const last = humid.lastIndexOf(true)
  const seen = humid.filter(Boolean).length
  if (last < 0 || seen < held.closingHumidDays || days.length - 1 - last < AFTER_SEASON_DAYS) return null
  const ends = observed.spots.map(
    (spot) => woodMoisture(spot, observed.startAt, pins[spot.key] ?? [], held).midPct[days[last]!.to - 1]!,
  )
  const known = ends.filter((value) => !Number.isNaN(value))
  return known.length === 0 ? null : Math.max(...known)
}

function surfaceOverLine(
  house: StudiedHouse,
  { space, observed }: ObservedSpace,
  period: { from: number; to: number },
  held: Thresholds,
): boolean | null {
  const cut = inPeriod(observed, period)
  const line =
    spaceKinds(space, house.works).at(house.grid.to) === 'vented' ? held.surfaceDampPct : held.surfaceDampClosedPct
  const known = cut.spots.flatMap((spot) =>
    thirtyDaySurface(spot, localDays(cut), held).flatMap((value) =>
      value.kind === 'known' ? [value.warmEnough && value.rhPct.low > line] : [],
    ),
  )
  return known.length === 0 ? null : known.some(Boolean)
}

function remedyFinding(
  space: string,
  { remedy, need, wouldBe, reasons, waitsFor }: Advice,
  done: boolean,
  holds: readonly Hold[],
): Finding {
  const numbers: Record<string, FindingNumber> = {}
  const words = (text: string) => takeNumbersOut(text, numbers)
  const name = `${remedy.charAt(0).toUpperCase()}${remedy.slice(1)}`
  const because = wouldBe === 'not needed' && reasons.length > 0 ? ` because ${lowered(words(reasons[0]!))}` : '.'
  const waits = waitsFor === null ? '' : ` It waits for: ${lowered(words(waitsFor)).replace(/\.$/, '')}.`
  const data: RemedyData = {
    need,
    wouldBe,
    waitsFor,
    done,
    holds: holds.map(({ topic, kind, sentence }) => ({ topic, kind, sentence })),
  }
  return {
    question: QUESTION,
    subject: { space, remedy },
    sentence: done
      ? `${name}: done; whether it worked is answered apart.`
      : need === 'held'
        ? `${name}: ${heldWords(holds)} Without that: ${wouldBe}.${waits}`
        : `${name}: ${need}${because}${waits}`,
    numbers,
    evidenceFor: reasons.map(words),
    evidenceAgainst: need === 'held' ? [...holds.map(({ sentence }) => sentence), DEFERS] : [],
    certainty: wouldBe === 'not yet' ? 'weak' : 'likely',
    wouldChangeIt: 'Another answer of the order of reasoning, or a safety fact recorded.',
    data,
  }
}

/** A stop outweighs what only waits to be recorded. */
function heldWords(holds: readonly Hold[]): string {
  const topics = (kind: Hold['kind']) => holds.filter((hold) => hold.kind === kind).map(({ topic }) => topic)
  const [stops, records] = [topics('stop'), topics('record first')]
  return stops.length > 0 ? `held (${listWords(stops)}).` : `held: record this first (${listWords(records)}).`
}

/** To stand within a sentence; abbreviations keep their capitals. */
const lowered = (text: string): string =>
  /^(?:A |[A-Z][a-z])/.test(text) ? text.charAt(0).toLowerCase() + text.slice(1) : text
