/** Where the moisture comes from, in the order of the trade: evidence for, evidence against, the next cheapest test. */
import { SOURCES } from '../advice/clues.ts'
import type { Thresholds } from '../advice/defaults.ts'
import {
  type Reasoning,
  reasonAboutSources,
  type Certainty as SuspectedAs,
  type Suspicion,
} from '../advice/reasoning.ts'
import type { Period } from '../series/periods.ts'
import { type Certainty, cannotTell, type Finding, type FindingNumber } from './finding.ts'
import type { ReasoningData, SuspicionData } from './findingData.ts'
import { type ObservedSpace, observedSpaces } from './observedHouse.ts'
import { rainNotKnown } from './rainNotKnown.ts'
import { type SourceFacts, sourceFacts } from './sourceFacts.ts'
import type { StudiedHouse } from './studiedHouse.ts'
import { takeNumbersOut } from './takeNumbersOut.ts'
import { datesOf } from './workWords.ts'

const QUESTION = 'reasoning'

const CERTAINTY: Record<SuspectedAs, Certainty> = {
  likely: 'likely',
  possible: 'weak',
  unlikely: 'likely',
  'cannot tell': 'cannot tell',
}

export function reasoning(house: StudiedHouse, held: Thresholds): Finding[] {
  const spaces = observedSpaces(house)
  if (spaces.length === 0 || house.grid.hours === 0) {
    const missing = ['readings of a logger placed in a space', 'a visit']
    return [cannotTell(QUESTION, {}, 'Where the moisture comes from is not known.', missing)]
  }
  return spaces.flatMap((one) => reasonedPeriods(house).flatMap((period) => reasonFindings(house, one, period, held)))
}

/** Before the first work, and since the last: what was wrong, and what is left of it. */
const reasonedPeriods = ({ periods }: StudiedHouse): Period[] =>
  periods.length > 1 ? [periods[0]!, periods.at(-1)!] : periods.slice(0, 1)

function spanWords({ periods }: StudiedHouse, period: Period): string {
  if (periods.length === 1) return ''
  return period === periods[0] ? 'before the first work, ' : 'since the last work, '
}

export interface ReasonedSpace {
  facts: SourceFacts
  answer: Reasoning
}

export function reasonAbout(house: StudiedHouse, one: ObservedSpace, period: Period, held: Thresholds): ReasonedSpace {
  const facts = sourceFacts(house, one, period, held)
  return { facts, answer: reasonAboutSources(facts.found, held) }
}

function reasonFindings(house: StudiedHouse, one: ObservedSpace, period: Period, held: Thresholds): Finding[] {
  const { facts, answer } = reasonAbout(house, one, period, held)
  const dates = datesOf(period, house.tree.timeZone)
  const lead = `${one.space.name}, ${spanWords(house, period)}${dates.from} to ${dates.to}`
  const subject = { space: one.space.key, period: period.key }
  const summary = `${lead}: ${answer.summary}`
  const basis = facts.wettest === null ? [] : [`Vapor is judged at ${facts.wettest}, which holds most of it.`]
  const data: ReasoningData = { dates, nextTest: period === house.periods.at(-1) ? answer.nextTest : null }
  const first: Finding =
    answer.first === 'unknown'
      ? cannotTell(QUESTION, subject, summary, [answer.nextTest], {
          evidenceFor: basis,
          evidenceAgainst: rainNotKnown(house),
          data,
        })
      : {
          question: QUESTION,
          subject,
          sentence: summary,
          numbers: {},
          evidenceFor: basis,
          evidenceAgainst: [...(answer.enough ? [] : ['Too little has been seen to be sure.']), ...rainNotKnown(house)],
          certainty: CERTAINTY[answer.suspicions[0]!.certainty],
          wouldChangeIt: answer.suspicions[0]!.wouldChangeIt,
          data,
        }
  const tellable = answer.suspicions.filter(
    ({ certainty, evidenceFor }) => certainty !== 'cannot tell' || evidenceFor.length > 0,
  )
  return [first, ...tellable.map((one) => suspicionFinding(one, subject, house))]
}

function suspicionFinding(
  { source, certainty, evidenceFor, evidenceAgainst, wouldChangeIt, nextTest }: Suspicion,
  subject: Finding['subject'],
  house: StudiedHouse,
): Finding {
  const numbers: Record<string, FindingNumber> = {}
  const words = (texts: readonly string[]) => texts.map((text) => takeNumbersOut(text, numbers))
  const data: SuspicionData = { certainty, nextTest }
  const name = `${source.charAt(0).toUpperCase()}${source.slice(1)}`
  return {
    question: QUESTION,
    subject: { ...subject, source },
    sentence: `${SOURCES.indexOf(source) + 1}. ${name}: ${certainty}.`,
    numbers,
    evidenceFor: words(evidenceFor),
    evidenceAgainst: [...words(evidenceAgainst), ...(source === 'rain or ground water' ? rainNotKnown(house) : [])],
    certainty: CERTAINTY[certainty],
    wouldChangeIt,
    ...(certainty === 'cannot tell' && { missing: [nextTest] }),
    data,
  }
}
