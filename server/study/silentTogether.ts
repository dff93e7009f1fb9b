/** Several loggers of one house fall silent at once: one cause for all is likelier than as many faults. */
import { localTimeText } from '../series/localTime.ts'

/** Last words this close are one event. Proposal. */
export const TOGETHER_MS = 30 * 60_000

/** At least two, and the first of them fell silent no longer before the last than that. */
export const fellSilentTogether = (lastHeardAt: readonly number[], withinMs: number): boolean =>
  lastHeardAt.length >= 2 && Math.max(...lastHeardAt) - Math.min(...lastHeardAt) <= withinMs

/** What is known, what to look at, and the caution. */
export function silentTogetherSentence(
  house: { name: string; timeZone: string },
  lastHeardAt: readonly number[],
): string {
  const text = (at: number) => localTimeText(at, house.timeZone).replace('T', ' ')
  const [first, last] = [text(Math.min(...lastHeardAt)), text(Math.max(...lastHeardAt))]
  const when = first === last ? `since ${last}` : `since ${last}, the first of them since ${first}`
  return `Gateway or power: nothing is heard of any of the ${lastHeardAt.length} loggers in ${house.name} ${when}. ${WHAT_TO_DO}`
}

export const WHAT_TO_DO =
  'Look at the box that passes readings on, its plug and its internet connection first, then at the power of the house. ' +
  'If a breaker or a ground-fault outlet has tripped, or anything electrical may be wet, leave it as it is, stay out of the space, and have a licensed electrician look.'
