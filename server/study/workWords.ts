/** Works and dates as people say them. */
import { localDateText } from '../series/localTime.ts'
import type { WorkKind } from '../store/schema.ts'
import type { StudiedHouse } from './studiedHouse.ts'

/** To stand after "since" and "what ... changed". */
const WORDS: Record<WorkKind, string> = {
  'downspout drain': 'the downspout drain',
  'yard drain': 'the yard drain',
  'footing drain': 'the footing drain',
  'vents sealed': 'sealing the vents',
  'vents opened': 'opening the vents',
  'vent fan': 'the vent fan',
  'ground cover': 'the ground cover',
  dehumidifier: 'the dehumidifier',
  encapsulation: 'the encapsulation',
  repair: 'the repair',
  other: 'the other work',
}

/** "the downspout drain" */
export const workKindWords = (kind: WorkKind): string => WORDS[kind]

/** "the downspout drain (2025-07-07) and the yard drain (2025-07-09)" */
export function workWords({ works, tree }: Pick<StudiedHouse, 'works' | 'tree'>, keys: readonly string[]): string {
  const words = keys.flatMap((key) => {
    const work = works.find((one) => one.key === key)
    return work ? [`${WORDS[work.kind]} (${localDateText(work.from, tree.timeZone)})`] : []
  })
  return listWords([...new Set(words)])
}

/** "a, b and c" */
export function listWords(words: readonly string[]): string {
  if (words.length <= 1) return words.join('')
  return `${words.slice(0, -1).join(', ')} and ${words[words.length - 1]}`
}

/** First and last date of a half-open span. */
export const datesOf = (
  { from, to }: { from: number; to: number },
  timeZone: string,
): { from: string; to: string } => ({
  from: localDateText(from, timeZone),
  to: localDateText(Math.max(from, to - 1), timeZone),
})
