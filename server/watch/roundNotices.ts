/** Open notices of every house, each with one line for the firm's round. */
import { findOpenNotices } from '../store/notices.ts'
import type { Database } from '../store/open.ts'
import type { Urgency } from '../store/schema.ts'
import { watchInWords } from './letters/firmMatters.ts'
import { moment } from './letters/phrases.ts'
import type { NoticeBody, Watch } from './types.ts'

export interface RoundNotice {
  watch: Watch
  urgency: Urgency
  sinceAt: number
  openedAt: number
  acknowledgedBy: string | null
  snoozedUntil: number | null
  /** Nobody acknowledged it in time. */
  escalated: boolean
  afterBigRain: boolean
  rainMm: number | null
  /** How many places it is so at. */
  places: number
  line: string
}

/** By id of the house. @param zones the time zone of each */
export async function roundNotices(
  db: Database,
  zones: ReadonlyMap<number, string>,
): Promise<Map<number, RoundNotice[]>> {
  const byHouse = new Map<number, RoundNotice[]>()
  for (const row of await findOpenNotices(db)) {
    const [watch, body] = [row.watch as Watch, row.body as NoticeBody]
    const { houseId, urgency, sinceAt, openedAt, acknowledgedBy, snoozedUntil, escalatedAt } = row
    const notice: RoundNotice = {
      watch,
      urgency,
      sinceAt,
      openedAt,
      acknowledgedBy,
      snoozedUntil,
      escalated: escalatedAt !== null,
      afterBigRain: body.circumstances.includes('after big rain'),
      rainMm: body.numbers.rainMm ?? null,
      places: 1 + body.alsoAt.length,
      line: lineOf(watch, body, moment(sinceAt, zones.get(houseId) ?? 'UTC')),
    }
    const ofHouse = byHouse.get(houseId)
    if (ofHouse) ofHouse.push(notice)
    else byHouse.set(houseId, [notice])
  }
  return byHouse
}

function lineOf(watch: Watch, { place, alsoAt, about, circumstances }: NoticeBody, since: string): string {
  const whole = circumstances.includes('whole house')
  const name = whole ? 'the whole house' : (place.spotName ?? place.spaceName ?? about)
  const more = alsoAt.length === 0 ? '' : ` and ${alsoAt.length} more`
  return `${watchInWords(watch)}${name === null ? '' : `, ${name}${more}`}, since ${since}.`
}
