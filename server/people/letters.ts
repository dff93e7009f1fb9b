/** The words of letters about accounts. Subjects hold nothing that anybody typed. */
import type { Role } from '../store/schema.ts'

export interface AccountLetter {
  /** Whoever asks twice for the same letter sends one. */
  onceKey: string
  personId: number
  to: string
  name: string
  subject: string
  text: string
  html: string
  /** It carries a secret: its words are wiped once it is sent. */
  secret: true
  kind: 'invitation' | 'forgotten password'
}

export type SendLetter = (letter: AccountLetter) => Promise<void>

interface Reader {
  personId: number
  name: string
  email: string
}

export function invitationLetter(
  { personId, name, email }: Reader,
  { role, firm, address, onceKey }: { role: Role; firm: string; address: string; onceKey: string },
): AccountLetter {
  const [measure, keep] = firm === '' ? ['We measure', 'We keep our'] : [`${firm} measures`, `${firm} keeps its`]
  const about =
    role === 'owner'
      ? `${measure} the moisture under your house. You may look at the record of it in Underjoist whenever you like.`
      : `${keep} moisture records of houses in Underjoist, and you are to work with them.`
  return {
    onceKey,
    personId,
    to: email,
    name,
    kind: 'invitation',
    secret: true,
    subject: role === 'owner' ? 'The moisture record of your house: your invitation' : 'Your invitation to Underjoist',
    ...bodyOf({
      name,
      before: [about],
      ask: 'Open this page and choose a password:',
      address,
      after: [
        'The page can be used once, within 7 days. After that, ask us for a new invitation.',
        'If you did not expect this letter, you need not do anything.',
      ],
      from: firm,
    }),
  }
}

export function forgottenLetter(
  { personId, name, email }: Reader,
  { firm, address, onceKey }: { firm: string; address: string; onceKey: string },
): AccountLetter {
  return {
    onceKey,
    personId,
    to: email,
    name,
    kind: 'forgotten password',
    secret: true,
    subject: 'A new password for Underjoist',
    ...bodyOf({
      name,
      before: ['Somebody, most likely you, asked for a new password of your account in Underjoist.'],
      ask: 'Open this page and choose one:',
      address,
      after: [
        'The page can be used once, within an hour. When you have chosen, every browser that was signed in is signed out.',
        'If it was not you, do nothing: your password stays as it is, and nobody got in.',
      ],
      from: firm,
    }),
  }
}

interface Body {
  name: string
  before: string[]
  ask: string
  address: string
  after: string[]
  from: string
}

function bodyOf({ name, before, ask, address, after, from }: Body): { text: string; html: string } {
  const closing = from === '' ? [] : [from]
  const paragraph = (words: string) => `<p>${escaped(words)}</p>`
  return {
    text: `${[`Hello ${name},`, ...before, `${ask}\n${address}`, ...after, ...closing].join('\n\n')}\n`,
    html: [
      '<!doctype html><html lang="en"><meta charset="utf-8"><body style="font:16px/1.5 sans-serif;max-width:36em">',
      paragraph(`Hello ${name},`),
      ...before.map(paragraph),
      `<p>${escaped(ask)}<br><a href="${escaped(address)}">${escaped(address)}</a></p>`,
      ...after.map(paragraph),
      ...closing.map(paragraph),
      '</body></html>',
    ].join('\n'),
  }
}

const ENTITIES: Record<string, string> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;', "'": '&#39;' }
/** Words as they may stand in HTML, in an attribute too. */
export const escaped = (text: string): string => text.replace(/[&<>"']/g, (sign) => ENTITIES[sign]!)
