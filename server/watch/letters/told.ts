/** What a letter is told: a change of a notice, the house, who reads it, and which firm writes. */
import type { Role } from '../../store/schema.ts'
import type { SpotQuantity } from '../../store/spotHistory.ts'
import type { Audience, NoticeBody, NoticeChangeKind, Urgency, Watch } from '../types.ts'
import type { LetterClass } from './kinds.ts'

/** Never told to an owner: a model's index is no sight of anything, and tools are the firm's own matter. */
const FOR_THE_FIRM: ReadonlySet<Watch> = new Set(['mold', 'battery low', 'probe gone bad', 'station stale'])

export const forTheFirm = (watch: Watch): boolean => FOR_THE_FIRM.has(watch)

export interface Told {
  noticeId: number
  changeId: number
  change: NoticeChangeKind
  /** When the change was noted. */
  at: number
  watch: Watch
  urgency: Urgency
  /** When the readings say it began, and from when they say it is over. */
  sinceAt: number
  overAt: number | null
  /** Whom the watch wants told of this very change. */
  tell: readonly Audience[]
  body: NoticeBody
  picture: PictureData | null
}

/** One line over the last weeks; NaN is a gap and stays one. */
export interface PictureData {
  quantity: SpotQuantity
  /** Of the line, such as "under the bath". */
  name: string
  at: readonly number[]
  value: readonly number[]
  threshold: { value: number; name: string } | null
}

export interface HouseTold {
  id: number
  key: string
  name: string
  timeZone: string
  invented: boolean
}

export interface ReaderTold {
  personId: number
  name: string
  email: string
  role: Role
  units: 'us' | 'si'
  stopped: ReadonlySet<string>
}

export interface FirmTold {
  name: string
  phone: string | null
  /** Within how many hours the firm says it gets back to an owner: what is written is promised. */
  answerHours: { urgent: number; soon: number }
}

export interface LinksTold {
  /** Where this reader looks at the house, and where it is acknowledged: a page with a button. */
  look: string
  /** Where this reader stops a class of letters about this house. */
  stop: (letterClass: LetterClass) => string
}
