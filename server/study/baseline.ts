/** What has been seen before the first work, what it can carry, and what one more week or storm would add. */
import type { Thresholds } from '../advice/defaults.ts'
import { type Baseline, baselineOf } from '../moisture/baseline.ts'
import { cannotTell, type Finding, type FindingNumber } from './finding.ts'
import type { BaselineData } from './findingData.ts'
import { observedSpaces } from './observedHouse.ts'
import type { StudiedHouse } from './studiedHouse.ts'
import { datesOf } from './workWords.ts'

const QUESTION = 'baseline'

export function baseline(house: StudiedHouse, held: Thresholds): Finding[] {
  const spaces = observedSpaces(house)
  if (spaces.length === 0 || house.grid.hours === 0) {
    return [cannotTell(QUESTION, {}, 'No day has been seen yet.', ['readings of a logger placed in a space'])]
  }
  const firstWorkAt = house.works.length === 0 ? null : Math.min(...house.works.map(({ from }) => from))
  return spaces.map(({ space, observed }): Finding => {
    const seen = baselineOf(observed, firstWorkAt, held)
    const subject = { space: space.key }
    if (seen.to <= seen.from || seen.completeDays === 0) {
      const sentence = `${space.name}: no whole day was measured before the first work, so nothing can be compared with it.`
      return cannotTell(QUESTION, subject, sentence, ['days measured before a work'], { data: dataOf(seen) })
    }
    const dates = datesOf(seen, house.tree.timeZone)
    const before = firstWorkAt === null ? '' : ' before the first work'
    return {
      question: QUESTION,
      subject,
      sentence: `${space.name}, ${dates.from} to ${dates.to}${before}: {completeDays} with enough readings, ${countWords(seen)}. ${stageWords(seen)}`,
      numbers: { ...numbersOf(seen), stormMin: { value: held.stormMinMm, unit: 'mm' } },
      evidenceFor: seen.canSay.map((text) => `It can say: ${text}`),
      evidenceAgainst: seen.cannotSay.map((text) => `It cannot say: ${text}`),
      certainty: 'shown',
      // Once a work is done the baseline is closed: more days come too late for it.
      wouldChangeIt: firstWorkAt === null ? seen.adds.join(' ') : 'Nothing any more: the first work has been done.',
      data: dataOf(seen),
    }
  })
}

function numbersOf(seen: Baseline): Record<string, FindingNumber> {
  const counts = {
    completeDays: seen.completeDays,
    dryDays: seen.dryDays,
    humidDays: seen.humidDays,
    coldDryDays: seen.coldDryDays,
  }
  const known = Object.entries(counts).filter((entry): entry is [string, number] => entry[1] !== null)
  const numbers = Object.fromEntries(
    known.map(([name, value]): [string, FindingNumber] => [
      name,
      { value, unit: name === 'completeDays' ? 'days' : 'count' },
    ]),
  )
  if (seen.storms !== null) numbers.storms = { value: seen.storms, unit: 'rains' }
  return numbers
}

function countWords({ storms, humidDays, coldDryDays }: Baseline): string {
  const rain = storms === null ? 'rain not known' : '{storms} of {stormMin} or more'
  const humid = humidDays === null ? 'outdoor air not known' : '{humidDays} humid days'
  return [rain, humid, ...(coldDryDays === null ? [] : ['{coldDryDays} cold dry days'])].join(', ')
}

function stageWords({ stage, next }: Baseline): string {
  const reached = `Enough for: ${stage}.`
  if (next === null) return reached
  const missing = next.missing.map(({ what, have, wanted }) => `${what} ${have ?? 'not known'} of ${wanted}`)
  return `${reached} For a ${next.stage} it lacks: ${missing.join(', ')}.`
}

const dataOf = ({ stage, completeDays, storms, dryDays, humidDays, coldDryDays, next }: Baseline): BaselineData => ({
  stage,
  have: { completeDays, storms, dryDays, humidDays, coldDryDays },
  next,
})
