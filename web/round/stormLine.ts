/** What a storm did, in one line. */
import type { RoundStorm } from '../../server/http/contract/round.ts'

const NAMED = 3

export interface InWords {
  date: (at: number) => string
  rain: (mm: number) => string
}

/** @param names of its houses, those to go to first on top */
export function stormLine(
  { from, to, rainMm, unseen }: RoundStorm,
  names: readonly string[],
  { date, rain }: InWords,
): string {
  const [first, last] = [date(from), date(to)]
  const when = first === last ? `on ${first}` : `from ${first} to ${last}`
  const fell =
    rainMm === null
      ? ''
      : rain(rainMm.least) === rain(rainMm.most)
        ? ` after ${rain(rainMm.least)} of rain`
        : ` after ${rain(rainMm.least)} to ${rain(rainMm.most)} of rain`
  const seen =
    unseen === 0
      ? 'Somebody has seen each of them.'
      : unseen === names.length
        ? 'Nobody has seen any of them yet.'
        : `${unseen} of them nobody has seen yet.`
  return `Water came in ${when}${fell}. ${seen} First: ${names.slice(0, NAMED).join(', ')}.`
}
