/** Which letters a set of changes of a house's notices makes, and when they may go. Pure: the same answer every time. */
import type { NewLetter } from '../../store/letters.ts'
import type { Audience } from '../types.ts'
import { classOfKind } from './kinds.ts'
import { kindOf, noticeLetter } from './noticeLetter.ts'
import { afterQuietHours } from './quietHours.ts'
import type { FirmTold, HouseTold, LinksTold, ReaderTold, Told } from './told.ts'
import { forTheFirm } from './told.ts'

export const BUDGET_DAYS = 30
export const BUDGETED = ['soon', 'soon all clear'] as const

/** What was written to one reader about this house before. */
export interface Before {
  /** Budgeted letters of the last 30 days. */
  canWait: number
  /** Notices they were ever written to about. */
  notices: ReadonlySet<number>
}

export interface People {
  readers: readonly ReaderTold[]
  firm: FirmTold
  before: (reader: ReaderTold) => Before
  links: (reader: ReaderTold) => LinksTold
  /** Whether a change waits to be told to somebody of the firm together with those of other houses. */
  waits?: (reader: ReaderTold, change: Told) => boolean
  /** Letters that can wait an owner gets at most so many of within 30 days; the regular summary tells the rest. */
  ownerLettersPerMonth: number
}

/** @param changes oldest first */
export function lettersFor(changes: readonly Told[], house: HouseTold, people: People, now: number): NewLetter[] {
  return people.readers.flatMap((reader) => {
    const { canWait, notices } = people.before(reader)
    const told = new Set(notices)
    let spent = canWait
    return changes.flatMap((change) => {
      const kind = kindOf(change)
      if (!concerns(change, reader) || reader.stopped.has(classOfKind(kind)!)) return []
      // Over is only said to whom it was said that it began.
      if (change.change === 'cleared' && !told.has(change.noticeId)) return []
      if (reader.role === 'owner' && isBudgeted(kind)) {
        if (spent >= people.ownerLettersPerMonth) return []
        spent++
      }
      told.add(change.noticeId)
      if (reader.role !== 'owner' && people.waits?.(reader, change)) return []
      const letter: NewLetter = {
        onceKey: `change ${change.changeId} to ${reader.personId}`,
        kind,
        houseId: house.id,
        noticeId: change.noticeId,
        personId: reader.personId,
        toAddress: reader.email,
        toName: reader.name,
        ...noticeLetter({ told: change, house, reader, firm: people.firm, links: people.links(reader) }),
        createdAt: now,
        notBeforeAt: kind === 'urgent' ? now : afterQuietHours(now, house.timeZone),
      }
      return [letter]
    })
  })
}

const isBudgeted = (kind: string): boolean => (BUDGETED as readonly string[]).includes(kind)

function concerns({ watch, urgency, change, tell }: Told, { role }: ReaderTold): boolean {
  if (urgency === 'note') return false // looked at, not written about
  const audience: Audience = role === 'owner' ? 'owner' : 'contractor'
  if (role === 'owner' && forTheFirm(watch)) return false
  // Nobody answered: the firm is told again, and who is in the house too where it cannot wait.
  if (change === 'escalated') return role !== 'owner' || (urgency === 'urgent' && tell.includes('owner'))
  return tell.includes(audience)
}
