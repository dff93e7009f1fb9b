/**
 * Which remedies a house needs, does not need, does not need yet, or may not have: the staged order of the trade (water
 * out, leaks, vapor from the ground, cold surfaces, outdoor air, active drying), as a table of rules over the suspicions.
 */
import type { HouseFindings, Source } from './clues.ts'
import type { Thresholds } from './defaults.ts'
import { heldSentence, holdsOn, REMEDIES, type Remedy, type SafetyFacts } from './holds.ts'
import type { Certainty, Reasoning } from './reasoning.ts'

export type Need = 'needed' | 'not needed' | 'not yet' | 'held'

export interface Advice {
  remedy: Remedy
  need: Need
  reasons: string[]
  /** What it waits for, when it is not yet time. */
  waitsFor: string | null
  /** Shown in place of a quote line when it is held; the need behind it is `wouldBe`. */
  held: string | null
  wouldBe: Exclude<Need, 'held'>
}

export interface RemedyFacts {
  found: HouseFindings
  reasoning: Reasoning
  safety: SafetyFacts
  climate: 'hot humid' | 'mixed humid' | 'cold' | 'marine' | 'dry' | 'not recorded'
  foundation: 'perimeter wall' | 'open piers' | 'not recorded'
  /** Highest wood moisture at the end of the humid season; null: not known yet. */
  woodAtHumidEndPct: number | null
  surfaceOverLine: boolean | null
  /** Seasons needed for closing have been seen (moisture/baseline: 'closing decision'). */
  seasonsSeen: boolean
  done: readonly Remedy[]
}

interface Answer {
  need: Exclude<Need, 'held'>
  reasons: string[]
  waitsFor?: string
}

type Rule = (facts: RemedyFacts, held: Thresholds) => Answer

const suspicion = ({ reasoning }: RemedyFacts, source: Source) =>
  reasoning.suspicions.find((suspected) => suspected.source === source)!

/** The common shape: one source, one remedy. */
const bySource =
  (source: Source, whenUnknown: string): Rule =>
  (facts) => {
    const { certainty, evidenceFor, evidenceAgainst, nextTest } = suspicion(facts, source)
    const waiting = source !== 'rain or ground water' && source !== 'leak' && facts.reasoning.vaporWaits
    const answers: Record<Certainty, Answer> = {
      likely: waiting
        ? { need: 'not yet', reasons: evidenceFor, waitsFor: 'the water to be out first' }
        : { need: 'needed', reasons: evidenceFor },
      possible: { need: 'not yet', reasons: evidenceFor, waitsFor: nextTest },
      'cannot tell': { need: 'not yet', reasons: [whenUnknown], waitsFor: nextTest },
      unlikely: { need: 'not needed', reasons: evidenceAgainst },
    }
    return answers[certainty]
  }

const RULES: Record<Remedy, Rule> = {
  'roof and yard drains': bySource('rain or ground water', 'No storm or water sensor has tested it yet.'),
  'footing drain': (facts, held) => {
    const roof = RULES['roof and yard drains'](facts, held)
    if (roof.need !== 'needed' || facts.done.includes('roof and yard drains')) return roof
    return {
      need: 'not yet',
      reasons: roof.reasons,
      waitsFor: 'roof and yard water to be led away first and three storms seen',
    }
  },
  repair: bySource('leak', 'No step in the record has been looked for yet.'),
  'ground cover': bySource('ground', 'No cold dry spell has tested the ground yet.'),
  'insulate cold surfaces': bySource('cold surface or duct', 'No cold surface has been measured yet.'),
  'close the space': closing,
  dehumidifier: (facts, held) => {
    const close = closing(facts, held)
    if (close.need === 'needed')
      return { need: 'not yet', reasons: ['It dries a closed space only.'], waitsFor: 'the space to be closed' }
    return { ...close, reasons: ['In a vented space it would dry the outdoors.', ...close.reasons] }
  },
  'vent fan': () => ({
    need: 'not needed',
    reasons: [
      'In the humid season a fan that draws air out raised RH above natural ventilation (Energy and Buildings 32 (2000) 19-39), and it can pull flue gas back.',
    ],
  }),
}

export interface ClosingReason {
  words: string
  /** Forbids closing, whatever the need: a hard stop holds it, it does not make it needless. */
  stop: boolean
}

/** The card "closing is not needed": all reasons that apply; any one that is not a stop is enough. */
export function closingNotNeeded(
  { found, reasoning, safety, climate, foundation, woodAtHumidEndPct, surfaceOverLine }: RemedyFacts,
  held: Thresholds,
): ClosingReason[] {
  const likely = reasoning.suspicions.filter(({ certainty }) => certainty === 'likely').map(({ source }) => source)
  const only = (source: Source) => likely.length === 1 && likely[0] === source
  const share = found.outdoorCondensingShare
  const rows: readonly (readonly [applies: boolean, words: string, stop?: 'stop'])[] = [
    [only('rain or ground water'), 'Rain is the only likely source; drains answer it.'],
    [only('ground'), 'The ground is the only likely source; a cover answers it.'],
    [only('leak'), 'One leak is the only likely source; a repair answers it.'],
    [
      share !== null && share < held.outdoorCondensingShare,
      'Outdoor dew point seldom stood above the coldest surface.',
    ],
    [climate === 'dry', 'In a dry climate venting dries.'],
    [foundation === 'open piers', 'An open pier foundation breathes like outdoors.'],
    [
      woodAtHumidEndPct !== null && woodAtHumidEndPct < held.woodDampPct && surfaceOverLine === false,
      `Wood was ${woodAtHumidEndPct?.toFixed(0)} % at the end of the humid season and no surface stayed above ${held.surfaceDampPct} % for ${held.surfaceMeanDays} days.`,
    ],
    [safety.floodZone === 'yes', 'Flood openings are required in a flood hazard zone.', 'stop'],
    [safety.combustionAppliances === 'yes', 'A fuel-burning appliance draws air from the space.', 'stop'],
    [reasoning.vaporWaits, 'Water still comes in; closing would hide it.'],
  ]
  return rows.flatMap(([applies, words, stop]) => (applies ? [{ words, stop: stop === 'stop' }] : []))
}

function closing(facts: RemedyFacts, held: Thresholds): Answer {
  const against = closingNotNeeded(facts, held).flatMap(({ words, stop }) => (stop ? [] : [words]))
  if (facts.reasoning.vaporWaits) return { need: 'not yet', reasons: against, waitsFor: 'the water to be out first' }
  if (against.length > 0) return { need: 'not needed', reasons: against }
  const { certainty, evidenceFor, nextTest } = suspicion(facts, 'outdoor air')
  const humid = facts.climate === 'hot humid' || facts.climate === 'mixed humid'
  const covered = facts.done.includes('ground cover') || (facts.found.coverShare ?? 0) >= held.coverGoodShare
  const wood = facts.woodAtHumidEndPct
  const harmed = (wood !== null && wood >= held.closeWoodPct) || (facts.found.condensationDays ?? 0) > 0
  const lacking = [
    facts.seasonsSeen ? '' : 'a humid season and a cold month to be seen',
    covered ? '' : 'the ground to be covered and drained',
    facts.climate === 'not recorded' ? 'the climate to be recorded' : '',
    certainty === 'likely' ? '' : nextTest,
    harmed ? '' : `wood at or above ${held.closeWoodPct} % at the end of a humid season, or dripping surfaces`,
  ].filter((words) => words !== '')
  if (humid && lacking.length === 0) return { need: 'needed', reasons: evidenceFor }
  if (certainty === 'unlikely') return { need: 'not needed', reasons: suspicion(facts, 'outdoor air').evidenceAgainst }
  return { need: 'not yet', reasons: evidenceFor, waitsFor: lacking.join('; ') || 'a humid climate to justify it' }
}

/** One row a remedy, in the order of the trade. */
export function adviseRemedies(facts: RemedyFacts, held: Thresholds): Advice[] {
  return REMEDIES.map((remedy) => {
    const {
      need,
      reasons,
      waitsFor = null,
    } = facts.done.includes(remedy)
      ? ({
          need: 'not needed',
          reasons: ['It has been done; whether it worked is answered apart.'],
        } satisfies Answer as Answer)
      : RULES[remedy](facts, held)
    const sentence = need === 'not needed' ? null : heldSentence(holdsOn(remedy, facts.safety, held))
    return { remedy, need: sentence === null ? need : 'held', reasons, waitsFor, held: sentence, wouldBe: need }
  })
}
