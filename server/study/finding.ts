/** One conclusion: a sentence with its numbers, what speaks for and against it, and what would change it. */

/** SI; wording.ts turns them into what a person wants to read. '1' and 'count' have no unit. */
export type FindingUnit =
  | '1'
  | 'count'
  | 'Pa'
  | 'Pa/mm'
  | '°C'
  | 'K'
  | '%'
  | '% of dry mass'
  | 'index'
  | 'h'
  | 'days'
  | 'weeks'
  | 'mm'
  | 'pairs'
  | 'rains'

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
  /** Name of a cold surface. */
  surface?: string
  /** Of the order of reasoning. */
  source?: string
  remedy?: string
}

/** In the order a contractor wants to read them. */
export const QUESTIONS = [
  'level',
  'baseline',
  'moisture levels',
  'storms',
  'outdoor coupling',
  'wood and mold',
  'condensation',
  'freezing',
  'outdoor air',
  'matched days',
  'reasoning',
  'remedies',
  'sensor checks',
] as const
export type Question = (typeof QUESTIONS)[number]

/**
 * How far to trust it: `shown` by the numbers beyond their interval; `likely`; `weak` with a doubt named in the evidence
 * against; `cannot tell` when something is missing.
 */
export type Certainty = 'shown' | 'likely' | 'weak' | 'cannot tell'

export interface Finding {
  question: Question
  subject: FindingSubject
  /** `{name}` stands for a number of `numbers`; wording.ts puts it in. The same holds for every other text here. */
  sentence: string
  numbers: Record<string, FindingNumber>
  evidenceFor: string[]
  evidenceAgainst: string[]
  certainty: Certainty
  wouldChangeIt: string
  /** What must be there before it can be told; only with `cannot tell`. */
  missing?: string[]
  /** Plain JSON in SI for lists on a screen; its shape belongs to the question (findingData.ts). */
  data?: unknown
}

/** A question that could not be answered is an answer of its own. */
export const cannotTell = (
  question: Question,
  subject: FindingSubject,
  sentence: string,
  missing: string[],
  more: Partial<Pick<Finding, 'numbers' | 'evidenceFor' | 'evidenceAgainst' | 'data'>> = {},
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
  ...(more.data !== undefined && { data: more.data }),
})
