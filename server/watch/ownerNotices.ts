/** Open notices that are for owners, in the words of their letters, the most urgent first. */
import type { Firm } from '../store/firm.ts'
import { findOpenNotices } from '../store/notices.ts'
import type { Database } from '../store/open.ts'
import { URGENCIES, type Urgency } from '../store/schema.ts'
import { openToOwner } from './letters/noticeLetter.ts'
import { readAnswerHours } from './answerHours.ts'
import { forTheFirm } from './letters/told.ts'
import type { NoticeBody, Watch } from './types.ts'

export interface OwnerNotice {
  id: number
  watch: Watch
  urgency: Urgency
  sinceAt: number
  headline: string
  happened: string
  steps: string[]
  cautions: string[]
  weDo: string
  acknowledgedAt: number | null
  acknowledgedBy: string | null
}

export interface OwnerNoticesAsked {
  house: { id: number; timeZone: string }
  units: 'us' | 'si'
  firm: Pick<Firm, 'name' | 'phone'>
}

export async function ownerNotices(db: Database, { house, units, firm }: OwnerNoticesAsked): Promise<OwnerNotice[]> {
  const open = await findOpenNotices(db, house.id)
  const answerHours = await readAnswerHours(db)
  return open
    .flatMap((row): OwnerNotice[] => {
      const [watch, body] = [row.watch as Watch, row.body as NoticeBody]
      // A note asks nothing of anybody.
      if (row.urgency === 'note' || forTheFirm(watch) || !body.audience.includes('owner')) return []
      const { id, urgency, sinceAt, acknowledgedAt, acknowledgedBy } = row
      const { headline, happened, steps, cautions, weDo } = openToOwner({
        told: { watch, urgency, sinceAt, body, at: row.openedAt },
        house,
        reader: { units },
        firm: { ...firm, answerHours },
      })
      const words = { headline, happened: happened.join(' '), steps, cautions, weDo }
      return [{ id, watch, urgency, sinceAt, ...words, acknowledgedAt, acknowledgedBy }]
    })
    .sort((a, b) => rankOf(a) - rankOf(b) || b.sinceAt - a.sinceAt)
}

const rankOf = ({ urgency, watch }: OwnerNotice): number =>
  -URGENCIES.indexOf(urgency) * 2 - (watch === 'liquid water' ? 1 : 0)
