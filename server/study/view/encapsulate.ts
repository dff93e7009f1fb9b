/**
 * "Do I need to encapsulate this one?" A full encapsulation is a liner over ground and walls, closed vents and a machine
 * that dries. It is the answer only when the smaller remedies, in the order of the trade (water out, leaks, ground cover,
 * outdoor air, drying), are done or not enough; a hard stop or a fact that nobody looked at holds it.
 */
import type { RemedyData } from '../findingData.ts'

export interface EncapsulateFacts {
  /** By name of the remedy; a house nobody has judged has none. */
  remedies: ReadonlyMap<string, RemedyData>
  /** It stands already, since this date. */
  encapsulatedSince: string | null
  level: 'wet' | 'damp' | 'drying' | 'silent' | 'dry' | null
  /** Share of the ground under a cover today, 0 to 100; null: not recorded. */
  coverSharePct: number | null
  coverGoodPct: number
  /** Enough seasons have been seen for a closing decision. */
  seasonsSeen: boolean
  /** What works did, in words, those that dried first. */
  worksThatDried: readonly string[]
  /** How the space answers rain, in words; null when it cannot be told. */
  rainWords: string | null
}

export interface Encapsulate {
  answer: 'no' | 'not yet' | 'yes' | 'held' | 'cannot tell'
  sentence: string
  reasons: string[]
  instead: string[]
  holds: RemedyData['holds']
}

/** Common practice, no source. */
const WHAT_IT_ADDS = 'What a full encapsulation adds to these is a liner on the walls; no reading here asks for that.'
const SMALLER = [
  'roof and yard drains',
  'footing drain',
  'repair',
  'ground cover',
  'close the space',
  'dehumidifier',
] as const

export function encapsulate(facts: EncapsulateFacts): Encapsulate {
  const { remedies, level, encapsulatedSince } = facts
  const none = { reasons: [], instead: [], holds: [] }
  if (encapsulatedSince !== null) {
    const sentence = `It has been encapsulated since ${encapsulatedSince}; whether that worked is answered below.`
    return { ...none, answer: 'no', sentence }
  }
  const closing = remedies.get('close the space')
  if (closing === undefined || level === null) {
    return {
      ...none,
      answer: 'cannot tell',
      sentence: 'It cannot be told yet: nothing has been measured under this house.',
      instead: [
        'Look at roof water, grade, leaks and ground cover first: nobody regrets these.',
        'Leave loggers for six weeks at least.',
      ],
    }
  }
  const reasons = reasonsOf(facts)
  const instead = nextSteps(remedies)
  const waterFirst = ['roof and yard drains', 'footing drain', 'repair'].filter((name) => isNeeded(remedies, name))
  if (waterFirst.length > 0) {
    const sentence =
      'Not yet: water comes in, and it goes out first. A liner over wet ground hides it and does not stop it.'
    return { answer: 'not yet', sentence, reasons, instead, holds: closing.holds }
  }
  if (closing.done) {
    const sentence =
      level === 'dry' || level === 'drying'
        ? `No. What stands keeps it ${level === 'dry' ? 'dry' : 'drying'}: ${standing(facts)}.`
        : `No. The smaller remedies stand (${standing(facts)}); let them finish their work before anything is added.`
    return { answer: 'no', sentence, reasons: [...reasons, WHAT_IT_ADDS], instead, holds: [] }
  }
  if (closing.wouldBe === 'not needed') {
    const sentence = 'No. Closing the space is not what this house needs.'
    return { answer: 'no', sentence, reasons, instead, holds: [] }
  }
  if (closing.need === 'held') {
    const stop = closing.holds.some(({ kind }) => kind === 'stop')
    const sentence = stop
      ? 'Held: a fact of this house forbids closing it until licensed people have settled it.'
      : 'Held: facts that decide over closing have not been looked at. Record them first.'
    return { answer: 'held', sentence, reasons, instead, holds: closing.holds }
  }
  if (closing.wouldBe === 'needed' && facts.seasonsSeen) {
    const sentence =
      (facts.coverSharePct ?? 0) >= facts.coverGoodPct
        ? 'Closing the space is needed; with a ground cover in place, sealed vents and a dehumidifier come before a full liner.'
        : 'Yes, as far as the readings go: the ground must be covered and the space closed and dried.'
    return {
      answer: (facts.coverSharePct ?? 0) >= facts.coverGoodPct ? 'not yet' : 'yes',
      sentence,
      reasons,
      instead,
      holds: [],
    }
  }
  const why = facts.seasonsSeen
    ? 'the smaller steps come first'
    : 'a humid season and a cold month have not both been seen'
  return { answer: 'not yet', sentence: `Not yet: ${why}.`, reasons, instead, holds: closing.holds }
}

const isNeeded = (remedies: EncapsulateFacts['remedies'], name: string): boolean => {
  const remedy = remedies.get(name)
  return remedy !== undefined && !remedy.done && remedy.wouldBe === 'needed'
}

function reasonsOf({ worksThatDried, rainWords, coverSharePct }: EncapsulateFacts): string[] {
  const cover = coverSharePct === null ? [] : [`${Math.round(coverSharePct)} % of the ground is covered.`]
  return [...worksThatDried.slice(0, 2), ...(rainWords === null ? [] : [rainWords]), ...cover]
}

const NAMES: Record<string, string> = {
  'roof and yard drains': 'roof and yard drains',
  'footing drain': 'a footing drain',
  'ground cover': 'a ground cover',
  'close the space': 'sealed vents',
  dehumidifier: 'a dehumidifier',
}

function standing({ remedies, coverSharePct, coverGoodPct }: EncapsulateFacts): string {
  const names = SMALLER.filter(
    (name) => remedies.get(name)?.done === true || (name === 'ground cover' && (coverSharePct ?? 0) >= coverGoodPct),
  ).flatMap((name) => NAMES[name] ?? [])
  return names.length <= 1 ? names.join('') : `${names.slice(0, -1).join(', ')} and ${names.at(-1)}`
}

/** What is needed, in the order of the trade, else the cheapest test of what is open. */
function nextSteps(remedies: EncapsulateFacts['remedies']): string[] {
  const needed = [...remedies]
    .filter(([, { done, need }]) => !done && need === 'needed')
    .map(([name]) => `${upper(name)}.`)
  const tests = [...remedies].flatMap(([, { done, need, waitsFor }]) =>
    !done && need === 'not yet' && waitsFor ? [waitsFor] : [],
  )
  return [...new Set([...needed, ...tests])].slice(0, 3)
}

const upper = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1)
