/** What one weather did to many houses, as one letter to one of the firm's people: the houses by rank. */
import type { NewLetter } from '../../store/letters.ts'
import { firmMatter } from './firmMatters.ts'
import { html } from './html.ts'
import { type LetterParts, NOT_SEEN } from './parts.ts'
import { lowerFirst } from './phrases.ts'
import { plainText } from './plainText.ts'
import { afterQuietHours } from './quietHours.ts'
import type { HouseTold, ReaderTold, Told } from './told.ts'

export interface ToldOfHouse {
  told: Told
  house: HouseTold
}

/** @param changes oldest first; of each notice the last one counts */
export function stormLetter(
  changes: readonly ToldOfHouse[],
  reader: ReaderTold,
  { publicUrl, now }: { publicUrl: string; now: number },
): NewLetter {
  const ranked = [...new Map(changes.map((one) => [one.told.noticeId, one])).values()].sort(byRank)
  const houses = [...new Map(ranked.map(({ house }) => [house.id, house])).values()]
  const open = ranked.filter(({ told }) => told.change !== 'cleared')
  const isUrgent = open.some(({ told }) => told.urgency === 'urgent')
  const water = open.every(({ told }) => told.watch === 'liquid water')
  const what = open.length === 0 ? 'Over' : water ? 'Water under the house' : 'Water, frost or no power'
  const subject = `${isUrgent ? `Urgent: ${lowerFirst(what)}` : what}, ${houses.length} houses`
  const parts: LetterParts = {
    house: 'Several houses',
    headline: `${what}: ${houses.length} houses.`,
    happened: ['One letter for all, so that you see them side by side. Liquid water comes first, then what is newest.'],
    urgency: isUrgent ? 'Urgent.' : open.length === 0 ? null : 'Within a few days.',
    steps:
      open.length === 0
        ? []
        : ['Call the owners, from the top down.', 'Nobody enters before the power there is off and no gas is smelled.'],
    cautions: [],
    weDo: open.length === 0 ? null : 'What nobody acknowledges is told again after 24 hours.',
    call: '',
    picture: null,
    rows: {
      head: 'The houses, by rank',
      rows: houses.map((house) => [
        `${house.name}${house.invented ? ' (invented)' : ''}`,
        ranked
          .filter((one) => one.house.id === house.id)
          .map(({ told }) => {
            const { headline, happened } = firmMatter(told, house, reader)
            return [told.change === 'opened' ? 'New.' : '', headline, ...happened]
              .filter((line) => line !== '')
              .join(' ')
          })
          .join(' '),
      ]),
    },
    links: [{ label: 'Look at the round, and acknowledge', url: `${publicUrl}/`, first: true }],
    note: null,
    foot: [NOT_SEEN],
    stop: null,
  }
  return {
    onceKey: `storm ${changes[0]!.told.changeId} to ${reader.personId}`,
    kind: isUrgent ? 'urgent' : open.length === 0 ? 'urgent all clear' : 'soon',
    personId: reader.personId,
    toAddress: reader.email,
    toName: reader.name,
    subject,
    text: plainText(parts),
    html: html(parts, subject),
    createdAt: now,
    notBeforeAt: isUrgent ? now : afterQuietHours(now, houses[0]!.timeZone),
  }
}

function byRank({ told: a }: ToldOfHouse, { told: b }: ToldOfHouse): number {
  const rank = ({ change, watch }: Told) => (change === 'cleared' ? 2 : watch === 'liquid water' ? 0 : 1)
  return rank(a) - rank(b) || b.sinceAt - a.sinceAt
}
