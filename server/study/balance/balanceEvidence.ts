/**
 * What speaks for and against each way water comes into a space, and what would change our mind: what a work at it did,
 * the clues of the order of reasoning in this very period, what was recorded of the house, and how firmly the numbers stand.
 */
import type { Source } from '../../advice/clues.ts'
import type { PathAmount, SourcePath } from '../../moisture/sources.ts'
import { takeNumbersOut } from '../takeNumbersOut.ts'
import type { BalanceEffect, PathEvidence } from './balanceAnswer.ts'
import type { PeriodGrounds } from './balanceGrounds.ts'

/** Shares smaller than this are no finding: the model errs by as much on houses whose truth is known. */
export const LEAST_SHARE_PCT = 5
/** The readings fixed less than this of a path: mostly assumed. */
export const FIXED_BY_DATA = 0.5
/** An interval whose high end is more than this many times the low one is a reason for doubt of its own (judgement). */
const WIDE_TIMES = 2
/** Below this the cover is named as a reason why the ground gives water (judgement; well covered is a threshold). */
const BARE_SHARE = 0.5

const SOURCE_OF: Record<SourcePath, Source> = {
  outdoorAir: 'outdoor air',
  ground: 'ground',
  rain: 'rain or ground water',
  leak: 'leak',
  house: 'house air',
}

/**
 * @param hidden a machine held the whole period and nothing is metered, so that humidity alone cannot tell the paths apart
 * @returns texts with `{name}` where a number belongs; the most telling first
 */
export function pathEvidence(amount: PathAmount, grounds: PeriodGrounds, hidden: boolean): PathEvidence {
  const { path } = amount
  const suspicion = grounds.suspicions.get(SOURCE_OF[path])
  const numbers: PathEvidence['numbers'] = {}
  const told = (texts: readonly (string | false | null | undefined)[]) =>
    texts.filter((text) => typeof text === 'string').map((text) => takeNumbersOut(text, numbers))
  const cures = (verdict: BalanceEffect['verdict'], later: boolean, did: string) =>
    grounds.cures
      .filter((one) => one.path === path && one.verdict === verdict && one.later === later)
      .map(({ words }) => `${capital(words)} ${did}`)
  const { firm, loose } = firmness(amount, grounds, hidden)
  const own = ownWords(path, grounds)
  const meter = hidden || grounds.heldDays > 0 ? ["Meter the dehumidifier's water."] : []
  return {
    evidenceFor: told([
      ...cures('drier', true, 'later left the air drier.'),
      ...(suspicion?.evidenceFor ?? []),
      ...recordedFor(path, grounds),
      ...firm,
    ]),
    evidenceAgainst: told([
      machineWords(grounds, hidden),
      ...cures('no clear change', true, 'later changed nothing that shows.'),
      ...cures('drier', false, 'left the air drier, so less can come this way now.'),
      ...(suspicion?.evidenceAgainst ?? []),
      ...recordedAgainst(amount, grounds),
      ...loose,
    ]),
    wouldChangeIt: own.wouldChangeIt ?? suspicion?.wouldChangeIt ?? '',
    nextTest: [...meter, own.nextTest ?? suspicion?.nextTest ?? ''].join(' '),
    numbers,
  }
}

const capital = (words: string) => words.charAt(0).toUpperCase() + words.slice(1)

function machineWords({ heldDays, days }: PeriodGrounds, hidden: boolean): string | null {
  if (hidden) return 'A dehumidifier held the air all the time, so humidity alone cannot tell.'
  return heldDays > 0 ? `A dehumidifier held the air on ${heldDays} of ${days} days, which hides the paths.` : null
}

type Texts = (string | false | null)[]

function recordedFor(path: SourcePath, { found, vents, ventsShut, leak, houseMeasured }: PeriodGrounds): Texts {
  const { coverShare, downspouts } = found
  switch (path) {
    case 'outdoorAir':
      return [!ventsShut && vents]
    case 'ground':
      return [coverShare !== null && coverShare < BARE_SHARE && `The ground is only ${percent(coverShare)} covered.`]
    case 'rain':
      return [
        downspouts === 'end at the wall' && 'Downspouts end at the wall.',
        downspouts === 'some led away' && 'Only some downspouts are led away.',
      ]
    case 'leak':
      return [
        leak &&
          `A steady source that weather does not explain began about ${leak.date} (evidence ${leak.support.toFixed(0)}; 6 and more is strong).`,
      ]
    case 'house':
      return [houseMeasured && 'The air of the rooms was measured.']
  }
}

function recordedAgainst({ path, entersLPerDay, leavesLPerDay }: PathAmount, grounds: PeriodGrounds): Texts {
  const { found, vents, ventsShut, leak, houseMeasured } = grounds
  const drains = leavesLPerDay.mid > entersLPerDay.mid && 'Over the whole period it carried more water out than in.'
  switch (path) {
    case 'outdoorAir':
      return [drains, ventsShut && vents]
    case 'ground':
      return [drains, found.rain === null && 'Rain not known: water from rain counts here as water of the ground.']
    case 'rain':
      return [drains, found.downspouts === 'led away' && 'Downspouts are led away.']
    case 'leak':
      return [
        leak === null &&
          'No steady source that begins within the record was found; one from before it cannot be told from the ground.',
      ]
    case 'house':
      return [drains, !houseMeasured && 'The air of the rooms was not measured, so what it brings is assumed.']
  }
}

const percent = (share: number) => `${Math.round(100 * share)} %`

/** How firmly the number stands. */
function firmness({ path, sharePct, dataShare }: PathAmount, { leak, houseMeasured }: PeriodGrounds, hidden: boolean) {
  const { low, mid, high } = sharePct
  const firm: Texts = []
  const loose: Texts = []
  const fixed = dataShare >= FIXED_BY_DATA
  // A leak is there only when found, and house air is either measured or not: both are said already.
  if (path === 'house' ? !houseMeasured : path !== 'leak' || leak !== null) {
    if (fixed) firm.push(`The readings fixed ${percent(dataShare)} of its strength.`)
    else loose.push(`The readings fixed only ${percent(dataShare)} of its strength; the rest is what is usual.`)
  }
  // Where a machine hides the paths, neither the share nor its interval is evidence.
  if (mid < LEAST_SHARE_PCT) loose.push('Its share is below what can be told.')
  else if (!hidden) {
    if (low >= LEAST_SHARE_PCT) firm.push(`Even the low end of its interval is ${low.toFixed(0)} % of what enters.`)
    if (high > WIDE_TIMES * low)
      loose.push(`Its interval is wide: ${low.toFixed(0)} to ${high.toFixed(0)} % of what enters.`)
  }
  return { firm, loose }
}

/** Where the balance knows better than the order of reasoning, whose words serve otherwise. */
function ownWords(
  path: SourcePath,
  { wellCovered, houseMeasured }: PeriodGrounds,
): Partial<Pick<PathEvidence, 'wouldChangeIt' | 'nextTest'>> {
  if (path === 'ground' && wellCovered) {
    return {
      wouldChangeIt: 'No excess on cold dry days; or seams and edges closed, and the air no drier for it.',
      nextTest: 'Look under the cover, at seams, edges and piers, for wet ground.',
    }
  }
  if (path === 'ground')
    return { nextTest: 'Cover a bay of 100 ft² (10 m²) for two weeks, a logger over it and one over open ground.' }
  if (path === 'house' && !houseMeasured)
    return { nextTest: 'A logger in the rooms above; then follow each exhaust to its end.' }
  return {}
}
