/** What the firm must know about its letters: that somebody no longer gets alarms, or that letters do not arrive. */
import type { NewLetter } from '../../store/letters.ts'
import { html } from './html.ts'
import type { LetterParts } from './parts.ts'
import { plainText } from './plainText.ts'

export interface Contractor {
  personId: number
  name: string
  email: string
}

const plainParts: Omit<LetterParts, 'house' | 'headline' | 'happened' | 'steps' | 'links'> = {
  urgency: null,
  cautions: [],
  weDo: null,
  call: '',
  picture: null,
  rows: null,
  note: null,
  foot: [],
  stop: null,
}

function letter(
  to: Contractor,
  about: {
    onceKey: string
    kind: 'alarms stopped' | 'post trouble'
    subject: string
    at: number
    houseId: number | null
  },
  parts: Pick<LetterParts, 'house' | 'headline' | 'happened' | 'steps' | 'links'>,
): NewLetter {
  const whole = { ...plainParts, ...parts }
  return {
    onceKey: `${about.onceKey} to ${to.personId}`,
    kind: about.kind,
    houseId: about.houseId,
    personId: to.personId,
    toAddress: to.email,
    toName: to.name,
    subject: about.subject,
    text: plainText(whole),
    html: html(whole, about.subject),
    createdAt: about.at,
  }
}

export const alarmsStoppedLetter = (
  to: Contractor,
  {
    person,
    house,
    houseKey,
    houseId,
    personId,
    at,
    publicUrl,
  }: {
    person: string
    house: string
    houseKey: string
    houseId: number
    personId: number
    at: number
    publicUrl: string
  },
): NewLetter =>
  letter(
    to,
    {
      onceKey: `alarms stopped ${personId} ${houseId} ${at}`,
      kind: 'alarms stopped',
      subject: `${person} no longer gets alarms, ${house}`,
      at,
      houseId,
    },
    {
      house,
      headline: `${person} no longer gets alarms.`,
      happened: ['They stopped alarms about water, freezing and power for this house. You still get yours.'],
      steps: ['Ask whether that was meant. If water comes, you are the one who calls.'],
      links: [{ label: 'Look at the house', url: `${publicUrl}/houses/${encodeURIComponent(houseKey)}`, first: true }],
    },
  )

export const postTroubleLetter = (
  to: Contractor,
  {
    letterId,
    toName,
    toAddress,
    subject,
    problem,
    houseId,
    at,
    publicUrl,
  }: {
    letterId: number
    toName: string
    toAddress: string
    subject: string
    problem: string
    houseId: number | null
    at: number
    publicUrl: string
  },
): NewLetter =>
  letter(
    to,
    {
      onceKey: `post trouble ${letterId}`,
      kind: 'post trouble',
      subject: `A letter to ${toName} does not arrive`,
      at,
      houseId,
    },
    {
      house: 'Letters',
      headline: `A letter to ${toName} does not arrive.`,
      happened: [`“${subject}” to ${toAddress} was given up. ${problem}`],
      steps: ['Call them: they may not know.', 'Mend the address, then try the letter again on the page of letters.'],
      links: [{ label: 'Look at the letters', url: `${publicUrl}/letters`, first: true }],
    },
  )
