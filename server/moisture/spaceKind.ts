/** Whether a space was vented or closed, through time: works that close or open it change how it is judged. */
import type { WorkKind } from './input.ts'

export type SpaceKind = 'vented' | 'closed' | 'conditioned'

export interface SpaceKinds {
  at(instant: number): SpaceKind
  /** Somebody entered the kind, the state of the vents, or a work that tells it. */
  recorded: boolean
}

/** What was entered of a space. */
export interface EnteredSpace {
  role: string
  kind?: SpaceKind
  ventState?: 'open' | 'partly' | 'closed'
}

export interface KindChangingWork {
  kind: WorkKind
  details?: { parts?: readonly WorkKind[] }
  from: number
  to: number | null
}

const CLOSES: readonly WorkKind[] = ['vents sealed', 'encapsulation']
const OPENS: readonly WorkKind[] = ['vents opened']

/** Before the first work that closed or opened it, a space was the other way, whatever was entered. */
export function spaceKinds(space: EnteredSpace, works: readonly KindChangingWork[]): SpaceKinds {
  const closed: SpaceKind = space.kind === 'conditioned' ? 'conditioned' : 'closed'
  const changes = works
    .flatMap(({ kind, details, from, to }): { at: number; to: SpaceKind }[] => {
      const kinds = [kind, ...(details?.parts ?? [])]
      const closes = kinds.some((one) => CLOSES.includes(one))
      if (!closes && !kinds.some((one) => OPENS.includes(one))) return []
      const [after, before]: [SpaceKind, SpaceKind] = closes ? [closed, 'vented'] : ['vented', closed]
      return [{ at: from, to: after }, ...(to === null ? [] : [{ at: to, to: before }])]
    })
    .sort((a, b) => a.at - b.at)
  const first = changes[0]
  const entered = space.kind ?? kindOfVents(space)
  const atFirst = first === undefined ? (entered ?? usualKind(space)) : first.to === 'vented' ? closed : 'vented'
  return {
    at: (instant) => changes.findLast((change) => change.at <= instant)?.to ?? atFirst,
    recorded: entered !== undefined || first !== undefined,
  }
}

const kindOfVents = ({ ventState }: EnteredSpace): SpaceKind | undefined =>
  ventState === undefined ? undefined : ventState === 'closed' ? 'closed' : 'vented'

/** The cautious reading: a crawl space has vents, a basement is part of the house. */
const usualKind = ({ role }: EnteredSpace): SpaceKind => (role === 'basement' ? 'closed' : 'vented')
