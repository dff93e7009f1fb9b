/** Open notices that are for owners, in the words of their letters, the most urgent first. */
import type { Firm } from '../store/firm.ts'
import { findOpenNotices } from '../store/notices.ts'
import type { Database } from '../store/open.ts'
import { URGENCIES, type Urgency } from '../store/schema.ts'
import { readLetterLimits } from './letterLimits.ts'
import { openToOwner } from './letters/noticeLetter.ts'
import { forTheFirm } from './letters/told.ts'
import type { KeptBody, Watch } from './types.ts'

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
  const { answerHours } = await readLetterLimits(db)
  return open
    .flatMap((row): OwnerNotice[] => {
      const [watch, body] = [row.watch as Watch, row.body as KeptBody]
      // A note asks nothing of anybody.
      if (row.urgency === 'note' || forTheFirm(watch) || !concernsOwner(body)) return []
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

/** Who was told of it is told how it stands, even where it concerns the firm alone by now. */
export const concernsOwner = ({ audience, told }: Pick<KeptBody, 'audience' | 'told'>): boolean =>
  audience.includes('owner') || told.includes('owner')

const rankOf = ({ urgency, watch }: OwnerNotice): number =>
  -URGENCIES.indexOf(urgency) * 2 - (watch === 'liquid water' ? 1 : 0)
