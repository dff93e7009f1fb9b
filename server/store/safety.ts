/** The safety questions of a house. One that nobody has looked at blocks a remedy like a "yes" does. */
import type { HouseTree } from './houseTree.ts'
import type { SafetyAnswer } from './schema.ts'

export const NOT_LOOKED_AT = 'not looked at'

export const SAFETY_QUESTIONS = [
  'floodZone',
  'combustionAppliances',
  'radonTest',
  'utilityLocates',
  'structuralSigns',
  'entryHazard',
] as const
export type SafetyQuestion = (typeof SAFETY_QUESTIONS)[number]

/** Every question with its answer, the default where nobody gave one. */
export const safetyAnswers = (tree: Pick<HouseTree, 'safety'>): Record<SafetyQuestion, SafetyAnswer> =>
  Object.fromEntries(
    SAFETY_QUESTIONS.map((question) => [question, tree.safety?.[question] ?? NOT_LOOKED_AT]),
  ) as Record<SafetyQuestion, SafetyAnswer>
