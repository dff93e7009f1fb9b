/** One conclusion: a sentence with its numbers, what speaks for and against it, and what would change it. */

/** SI; wording.ts turns them into what a person wants to read. */
export type FindingUnit = 'Pa' | '°C' | 'K' | '%' | '% of dry mass' | 'h' | 'days' | 'mm' | 'pairs'

export interface FindingNumber {
  value: number
  unit: FindingUnit
  low?: number
  high?: number
  /** What the interval is: '90 % interval', 'accuracy of the sensors'. */
  interval?: string
}

/** Keys of what the finding is about. */
export interface FindingSubject {
  space?: string
  /** space key / spot key */
  spot?: string
  works?: string[]
  period?: string
}

export const QUESTIONS = ['sensor checks', 'moisture levels', 'matched days'] as const
export type Question = (typeof QUESTIONS)[number]

/**
 * How far to trust it: `shown` by the numbers beyond their interval; `likely`; `weak` with a doubt named in the evidence
 * against; `cannot tell` when something is missing.
 */
export type Certainty = 'shown' | 'likely' | 'weak' | 'cannot tell'

export interface Finding {
  question: Question
  subject: FindingSubject
  /** `{name}` stands for a number of `numbers`; wording.ts puts it in. The same holds for the lists of evidence. */
  sentence: string
  numbers: Record<string, FindingNumber>
  evidenceFor: string[]
  evidenceAgainst: string[]
  certainty: Certainty
  wouldChangeIt: string
  /** What must be there before it can be told; only with `cannot tell`. */
  missing?: string[]
}

/** A question that could not be answered is an answer of its own. */
export const cannotTell = (
  question: Question,
  subject: FindingSubject,
  sentence: string,
  missing: string[],
  more: Partial<Pick<Finding, 'numbers' | 'evidenceFor' | 'evidenceAgainst'>> = {},
): Finding => ({
  question,
  subject,
  sentence,
  numbers: more.numbers ?? {},
  evidenceFor: more.evidenceFor ?? [],
  evidenceAgainst: more.evidenceAgainst ?? [],
  certainty: 'cannot tell',
  wouldChangeIt: `It can be told with ${missing.join('; ')}.`,
  missing,
})
