/** The works of a case's events.json as a contractor would enter them. */
import type { WorkTree } from '../../server/store/houseTree.ts'
import type { WorkKind } from '../../server/store/schema.ts'
import { defined } from './defined.ts'

export interface CaseWork {
  id?: string
  date: string
  to?: string | null
  kind: string
  note?: string
  details?: Record<string, unknown>
}

/** Words by which a kind of work is known, in the cases' own `kind` and, for combined works, in the note. */
const WORK_WORDS: readonly [WorkKind, RegExp][] = [
  ['encapsulation', /encapsulat/],
  ['vent fan', /\bfan\b/],
  ['vents opened', /vents? (?:re-?)?open|open\w* (?:all |the |foundation )*vents?/],
  ['vents sealed', /vents? (?:seal|clos|cover)|(?:seal|clos)\w* (?:all |the |foundation )*vents?/],
  ['ground cover', /ground cover|liner|vapou?r (?:barrier|retarder)/],
  ['downspout drain', /downspout|gutter/],
  ['footing drain', /footing|perimeter drain|interior drain|sump/],
  ['yard drain', /yard|swale|french|catch basin|regrad|grading|drain/],
  ['dehumidifier', /dehumidif/],
  ['repair', /repair|leak|plumb/],
]
/** A machine taken away is no kind of its own, and surely not "dehumidifier". */
const TAKEN_AWAY = /dehumidif\w* (?:is |was )?(?:off|stopped|removed|taken)|\b(?:no|without)(?: \w+)? dehumidif\w*/g

export function workOf(work: CaseWork, key: string): WorkTree {
  const named = partsIn(work.kind)
  const kind = named.length === 1 ? named[0]! : 'other'
  // A broad kind leaves to the note what was done; only a machine is added to an encapsulation.
  const told = named.length === 0 || kind === 'encapsulation' ? partsIn(work.note ?? '') : []
  const parts =
    kind === 'encapsulation'
      ? told.includes('dehumidifier')
        ? (['encapsulation', 'dehumidifier'] as const)
        : []
      : named.length > 1
        ? named
        : told
  const number = (name: string) =>
    typeof work.details?.[name] === 'number' ? (work.details[name] as number) : undefined
  const details = defined({
    ratedLPerDay: number('rated_Lday'),
    setPointRhPct: number('setpoint_pct'),
    coverSharePct: number('share_pct') ?? number('cover_pct'),
    parts: parts.length > 0 ? [...parts] : undefined,
  })
  return {
    key,
    kind,
    from: localText(work.date),
    ...defined({ to: work.to ? localText(work.to) : undefined, note: work.note }),
    ...(Object.keys(details).length > 0 ? { details } : {}),
  }
}

/** A date, or a date and time to the minute: "2024-06-10" or "2024-06-10T09:30". */
export const localText = (text: string): string => text.replace(' ', 'T').slice(0, 16)

function partsIn(text: string): WorkKind[] {
  const words = text.toLowerCase().replaceAll('_', ' ').replaceAll(TAKEN_AWAY, '')
  const parts = WORK_WORDS.filter(([, known]) => known.test(words)).map(([part]) => part)
  // "Downspout drains" holds the word drain: one remedy, not two.
  const drains = parts.some((part) => part === 'downspout drain' || part === 'footing drain')
  return parts.filter((part) => part !== 'yard drain' || !drains || /yard|swale|french|catch basin/.test(words))
}
