/** A change of a notice as a letter to one person. */
import { firmMatter } from './firmMatters.ts'
import { html } from './html.ts'
import type { LetterClass, LetterKind } from './kinds.ts'
import { CLASS_WORDS, classOfKind } from './kinds.ts'
import { type Context, ownerMatter } from './ownerMatters.ts'
import { ABOUT_WATER, INVENTED, type LetterParts, NOT_SEEN } from './parts.ts'
import { day, lowerFirst, placeLine } from './phrases.ts'
import { drawPicture } from './picture.ts'
import { plainText } from './plainText.ts'
import type { FirmTold, HouseTold, LinksTold, ReaderTold, Told } from './told.ts'

export interface Asked {
  told: Told
  house: HouseTold
  reader: ReaderTold
  firm: FirmTold
  links: LinksTold
}

/** Words, picture and address to stop at. */
export interface Written {
  subject: string
  text: string
  html: string
  picture: { png: Buffer; alt: string } | null
  calendar: string | null
  unsubscribeUrl: string | null
}

const HOUR_MS = 3_600_000

export const kindOf = ({ urgency, change }: Pick<Told, 'urgency' | 'change'>): LetterKind => {
  const kind = urgency === 'urgent' ? 'urgent' : 'soon'
  return change === 'cleared' ? `${kind} all clear` : kind
}

export function noticeLetter(asked: Asked): Written {
  const { told, house, reader, links } = asked
  const letterClass = classOfKind(kindOf(told))!
  const drawn = told.picture && drawPicture(told.picture, { timeZone: house.timeZone, units: reader.units })
  const { subject, parts } = reader.role === 'owner' ? toOwner(asked) : toFirm(asked)
  const whole: LetterParts = {
    house: house.name,
    rows: null,
    note: null,
    picture: drawn,
    foot: [NOT_SEEN, ...(house.invented ? [INVENTED] : [])],
    stop: stopLink(letterClass, links),
    ...parts,
  }
  return {
    subject,
    text: plainText(whole),
    html: html(whole, subject),
    picture: drawn && { png: drawn.png, alt: drawn.alt },
    calendar: null,
    unsubscribeUrl: links.stop(letterClass),
  }
}

export const stopLink = (letterClass: LetterClass, links: LinksTold): LetterParts['stop'] => ({
  label:
    letterClass === 'alarms'
      ? `Stop ${CLASS_WORDS.alarms} about this house`
      : `Stop ${CLASS_WORDS[letterClass]}; alarms about water, freezing and power go on`,
  url: links.stop(letterClass),
})

type OfNotice = Omit<LetterParts, 'house' | 'rows' | 'picture' | 'foot' | 'stop' | 'note'> & { note?: string }

export const callWords = ({ name, phone }: FirmTold): string => {
  if (phone !== null) return name === '' ? phone : `${name}, ${phone}`
  return name === '' ? 'Your contractor.' : `${name}.`
}

/** What an owner reads of a matter that is open, in letters and on their page. */
export function openToOwner({
  told,
  house,
  reader,
  firm,
}: Context & { told: Pick<Told, 'at'>; firm: Pick<FirmTold, 'answerHours'> }): Pick<
  LetterParts,
  'headline' | 'happened' | 'urgency' | 'steps' | 'cautions'
> & { weDo: string } {
  const matter = ownerMatter({ told, house, reader, firm })
  const urgent = told.urgency === 'urgent'
  const byAt = told.at + firm.answerHours[urgent ? 'urgent' : 'soon'] * HOUR_MS
  return {
    headline: matter.headline,
    happened: [matter.happened, ...[placeLine(told.body)].filter((line) => line !== null)],
    urgency: urgent
      ? 'Urgent. Please do this now.'
      : 'Not urgent: it can wait a few days. It may not go away by itself.',
    steps: matter.steps,
    cautions: matter.nearWater ? [ABOUT_WATER] : [],
    weDo: `We were told at the same moment and look at the readings. You hear from us by ${day(byAt, house.timeZone)}; if not, please call.`,
  }
}

function toOwner({ told, house, reader, firm, links }: Asked): { subject: string; parts: OfNotice } {
  const matter = ownerMatter({ told, house, reader, firm })
  const where = [placeLine(told.body)].filter((line) => line !== null)
  if (told.change === 'cleared') {
    const { subject, headline, happened } = matter.cleared
    return {
      subject: `All clear: ${lowerFirst(subject)}`,
      parts: {
        headline,
        happened: [happened, ...where],
        urgency: 'Over. There is nothing you need to do.',
        steps: [],
        cautions: matter.nearWater
          ? ['Outlets and machines that got wet are for a licensed electrician to look at.']
          : [],
        weDo: 'We keep watching, and write again only if something must be done.',
        call: callWords(firm),
        links: [{ label: 'Look at the house', url: links.look, first: true }],
      },
    }
  }
  return {
    subject: `${told.urgency === 'urgent' ? 'Urgent' : 'Not urgent'}: ${lowerFirst(matter.subject)}`,
    parts: {
      ...openToOwner({ told, house, reader, firm }),
      call: callWords(firm),
      links: [{ label: 'Look, and say you have read this', url: links.look, first: true }],
      note: 'Opens your page of the house; a button there tells us. Until somebody presses it, we are told again.',
    },
  }
}

const URGENCY_WORDS = { urgent: 'Urgent.', soon: 'Within a few days.', note: 'For the record.' } as const

function toFirm({ told, house, reader, links }: Asked): { subject: string; parts: OfNotice } {
  const { subject, headline, happened, steps } = firmMatter(told, house, reader)
  const cleared = told.change === 'cleared'
  return {
    subject: told.urgency === 'urgent' && !cleared ? `Urgent: ${lowerFirst(subject)}` : subject,
    parts: {
      headline,
      happened,
      urgency: cleared ? null : URGENCY_WORDS[told.urgency],
      steps,
      cautions: [],
      weDo: cleared ? null : 'Until somebody acknowledges it, it is told again after 24 hours.',
      call: '',
      links: [{ label: cleared ? 'Look at the house' : 'Look and acknowledge', url: links.look, first: true }],
    },
  }
}
