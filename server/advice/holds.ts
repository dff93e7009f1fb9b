/**
 * Hard stops: facts that hold a remedy back. A question nobody has looked at holds like a "yes". A held remedy is still
 * computed, but its quote line is not printed; the sentence says what to record or who decides. Rules are model guidance
 * of the trade: local code officials, the floodplain office and licensed trades decide.
 */
import type { Thresholds } from './defaults.ts'

export const REMEDIES = [
  'roof and yard drains',
  'footing drain',
  'repair',
  'ground cover',
  'insulate cold surfaces',
  'close the space',
  'dehumidifier',
  'vent fan',
] as const
export type Remedy = (typeof REMEDIES)[number]

export type Answer = 'yes' | 'no' | 'not looked at'

export interface SafetyFacts {
  /** The house stands in a mapped flood hazard zone. */
  floodZone: Answer
  /** A fuel-burning appliance stands in the space or draws its air from it. */
  combustionAppliances: Answer
  /** A radon test was made. */
  radonTest: Answer
  /** Its result [pCi/L]; null: not recorded. */
  radonPciL: number | null
  /** Utility marks for the dig are valid, and private lines were asked for. */
  utilityLocates: Answer
  /** Soft, cracked, sagging or shifted framing, piers or walls. */
  structuralSigns: Answer
  /** Water with live power, gas smell, carbon monoxide, sewage, animals or anything else that forbids going in. */
  entryHazard: Answer
}

export const NOTHING_LOOKED_AT: SafetyFacts = {
  floodZone: 'not looked at',
  combustionAppliances: 'not looked at',
  radonTest: 'not looked at',
  radonPciL: null,
  utilityLocates: 'not looked at',
  structuralSigns: 'not looked at',
  entryHazard: 'not looked at',
}

export interface Hold {
  topic: 'flood zone' | 'combustion' | 'radon' | 'locates' | 'structure' | 'entry'
  remedies: readonly Remedy[]
  /** A "yes" that blocks, or something to record first. */
  kind: 'stop' | 'record first'
  sentence: string
}

const INSIDE: readonly Remedy[] = REMEDIES.filter(
  (remedy) => remedy !== 'roof and yard drains' && remedy !== 'footing drain',
)
const DIGGING: readonly Remedy[] = ['roof and yard drains', 'footing drain']
const CLOSING: readonly Remedy[] = ['close the space']
const TIGHTENS: readonly Remedy[] = ['close the space', 'vent fan']

export const DEFERS = 'Model guidance. Local code officials, the floodplain office and licensed trades decide.'

/** A fact whose "yes" stops, with the sentence for each answer that does. */
interface Rule {
  topic: Hold['topic']
  fact: Exclude<keyof SafetyFacts, 'radonPciL' | 'radonTest' | 'utilityLocates'>
  remedies: readonly Remedy[]
  yes: string
  notLookedAt: string
}

const RULES: readonly Rule[] = [
  {
    topic: 'flood zone',
    fact: 'floodZone',
    remedies: CLOSING,
    yes: 'The house stands in a flood hazard zone. Flood openings are required there and must never be sealed (44 CFR 60.3(c)(5)); closing needs approved flood vents and the floodplain official.',
    notLookedAt: 'Whether the house stands in a flood hazard zone is not recorded. Look it up and record it first.',
  },
  {
    topic: 'combustion',
    fact: 'combustionAppliances',
    remedies: TIGHTENS,
    yes: 'A fuel-burning appliance stands in the space or draws air from it. Neither closing nor a fan until a licensed trade has made its air and draft safe and tested it at its worst; carbon monoxide alarms in the house.',
    notLookedAt:
      'Whether a fuel-burning appliance stands in the space or draws air from it is not recorded. Look and record it first.',
  },
  {
    topic: 'structure',
    fact: 'structuralSigns',
    remedies: INSIDE,
    yes: 'Soft, cracked or shifted structure was seen. Stop; a licensed engineer looks first.',
    notLookedAt: 'Framing and piers have not been looked at for softness, cracks or movement. Record it first.',
  },
  {
    topic: 'entry',
    fact: 'entryHazard',
    remedies: INSIDE,
    yes: 'Something forbids going in. Nobody enters until a competent person has cleared it; a crawl space may be a confined space.',
    notLookedAt:
      'The entry check (power near water, gas, carbon monoxide, sewage, animals) is not recorded. Do it first.',
  },
]

/** Every hold on any remedy of this house, worst topic first. */
export function holdsOf(facts: SafetyFacts, held: Pick<Thresholds, 'radonActPciL'>): Hold[] {
  const holds = RULES.flatMap(({ topic, fact, remedies, yes, notLookedAt }): Hold[] => {
    if (facts[fact] === 'no') return []
    return facts[fact] === 'yes'
      ? [{ topic, remedies, kind: 'stop', sentence: yes }]
      : [{ topic, remedies, kind: 'record first', sentence: notLookedAt }]
  })
  return [...holds, ...radonHold(facts, held), ...locatesHold(facts)]
}

/** Here "yes" is the good answer, but only with its value. */
function radonHold({ radonTest, radonPciL }: SafetyFacts, { radonActPciL }: Pick<Thresholds, 'radonActPciL'>): Hold[] {
  const hold = (kind: Hold['kind'], sentence: string): Hold[] => [
    { topic: 'radon', remedies: TIGHTENS, kind, sentence },
  ]
  if (radonTest !== 'yes') {
    const why = radonTest === 'no' ? 'No radon test was made.' : 'Whether radon was tested is not recorded.'
    return hold('record first', `${why} Test before closing or fans, and again 90 days or more after.`)
  }
  if (radonPciL === null)
    return hold('record first', 'A radon test was made, but its value is not recorded. Record it first.')
  if (radonPciL < radonActPciL) return []
  return hold(
    'stop',
    `Radon was ${radonPciL} pCi/L; act from ${radonActPciL} (EPA). A cover alone cuts it little; a certified radon professional plans first.`,
  )
}

function locatesHold({ utilityLocates }: SafetyFacts): Hold[] {
  if (utilityLocates === 'yes') return []
  const why =
    utilityLocates === 'no' ? 'Buried lines are not marked.' : 'Whether buried lines are marked is not recorded.'
  const sentence = `${why} Ask for a locate ticket before any digging, wait until its date, and ask for private lines (irrigation, lights, gas to a grill, septic), which it does not mark.`
  return [{ topic: 'locates', remedies: DIGGING, kind: utilityLocates === 'no' ? 'stop' : 'record first', sentence }]
}

/** The holds on one remedy; empty means it may be quoted. */
export function holdsOn(remedy: Remedy, facts: SafetyFacts, held: Pick<Thresholds, 'radonActPciL'>): Hold[] {
  return holdsOf(facts, held).filter((hold) => hold.remedies.includes(remedy))
}

/** The line that stands in the quote's place: "held: record this first ..." or "held: ...". */
export function heldSentence(holds: readonly Hold[]): string | null {
  if (holds.length === 0) return null
  const lead = holds.every((hold) => hold.kind === 'record first') ? 'Held: record this first.' : 'Held.'
  return [lead, ...holds.map((hold) => hold.sentence), DEFERS].join(' ')
}
