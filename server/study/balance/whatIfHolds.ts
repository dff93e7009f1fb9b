/** What holds a remedy back: it is computed like any other, and the sentence says what to record first or who decides. */
import type { Thresholds } from '../../advice/defaults.ts'
import { type Remedy as AdviceRemedy, type Hold, heldSentence, holdsOn } from '../../advice/holds.ts'
import type { WorkKind } from '../../moisture/input.ts'
import type { Remedy } from '../../moisture/whatif.ts'
import { partsOf } from '../../moisture/works.ts'
import { safetyFactsOf } from '../safetyFacts.ts'
import type { StudiedHouse } from '../studiedHouse.ts'

/** Closing the space or pulling air out of it; what else is done inside changes nothing about draft, radon or floods. */
const TIGHTENS: Partial<Record<WorkKind, AdviceRemedy>> = {
  'vents sealed': 'close the space',
  encapsulation: 'close the space',
  'vent fan': 'vent fan',
}
/** Holds on the remedy itself; those on entering and digging are for the visit and hold every quote alike. */
const TOPICS: readonly Hold['topic'][] = ['flood zone', 'combustion', 'radon']

export const partsAsked = (remedy: Remedy): WorkKind[] => partsOf({ key: 'asked', from: 0, ...remedy })

export function holdsBack(
  { tree }: StudiedHouse,
  remedy: Remedy,
  thresholds: Pick<Thresholds, 'radonActPciL'>,
): Hold[] {
  const facts = safetyFactsOf(tree)
  return [remedy.kind, ...partsAsked(remedy)]
    .flatMap((kind) => TIGHTENS[kind] ?? [])
    .flatMap((one) => holdsOn(one, facts, thresholds))
    .filter(({ topic }) => TOPICS.includes(topic))
}

/** Each topic is said once. */
export function heldFor(holds: readonly Hold[]): { reason: string } | null {
  const reason = heldSentence([...new Map(holds.map((hold) => [hold.topic, hold])).values()])
  return reason === null ? null : { reason }
}
