/**
 * Which passwords are refused. No rule about kinds of characters (OWASP ASVS 5.0, 6.2.5): length, and not what is guessed
 * first. NIST SP 800-63B-4, 3.1.1.2, asks for 15 characters where a password is all there is (as public files quote it),
 * ASVS 5.0, 6.2.1, for 8 and recommends 15. Long ones must be allowed (64 or more, 6.2.9).
 */
import { dictionary } from '@zxcvbn-ts/language-common'
import { PeopleError } from './types.ts'

export const PASSWORD_CHARS = { least: 15, most: 128 } as const

/** Words that are guessed first here, beside the person's and the firm's own (ASVS 5.0, 6.1.2 and 6.2.11). */
export const WORDS_OF_THE_TRADE = ['underjoist', 'crawlspace', 'basement', 'moisture', 'drainage', 'password'] as const

/** So much must be left beside such words. */
const LEAST_OWN_CHARS = 8
const LEAST_DIFFERENT_CHARS = 5
/** A word this short is in too many good passwords. */
const LEAST_WORD_CHARS = 3
/** Keys in a row and their like. */
const ROWS = ['abcdefghijklmnopqrstuvwxyz', '1234567890', 'qwertyuiopasdfghjklzxcvbnm', 'qwertzuiopasdfghjklyxcvbnm']

const common: ReadonlySet<string> = new Set(dictionary['passwords-common'])

export interface OwnWords {
  name: string
  email: string
  firm: string
}

/** @throws PeopleError WEAK_PASSWORD */
export function refuseWeak(password: string, own: OwnWords): void {
  const chars = [...password.normalize('NFC')]
  if (chars.length < PASSWORD_CHARS.least) {
    throw weak(
      `The password has ${chars.length} characters; it needs ${PASSWORD_CHARS.least}.`,
      'Take a few words that do not belong together; spaces are fine.',
    )
  }
  if (chars.length > PASSWORD_CHARS.most) {
    throw weak(`The password has ${chars.length} characters, more than ${PASSWORD_CHARS.most}.`, 'Take a shorter one.')
  }
  const lower = password.normalize('NFC').toLowerCase()
  if (isCommon(lower)) {
    throw weak(
      'The password is among those that are guessed first.',
      'Take a few words that do not belong together, such as things you see from where you sit.',
    )
  }
  if (isMadeOf(ownWords(own), lower)) {
    throw weak(
      'The password is made of your name, your e-mail address, the name of the firm, or words of the trade.',
      'Add words that have nothing to do with you.',
    )
  }
}

const weak = (message: string, hint: string) => new PeopleError('WEAK_PASSWORD', message, hint, { where: 'password' })

/** As it is, with signs and digits before and after it, a few characters over and over, or keys in a row. */
function isCommon(lower: string): boolean {
  const word = lower.replace(/^[^\p{L}]+|[^\p{L}]+$/gu, '')
  const typed = word === '' ? lower.replace(/[^\p{N}]/gu, '') : lower
  return (
    common.has(lower) ||
    common.has(word) ||
    common.has(typed) ||
    new Set(lower).size < LEAST_DIFFERENT_CHARS ||
    repeats(lower) ||
    ROWS.some((row) => inRow(typed, row) || inRow([...typed].reverse().join(''), row))
  )
}

/** Half of it or less, again and again. */
function repeats(text: string): boolean {
  const again = (text + text).indexOf(text, 1)
  return again < text.length
}

/** Rows are gone through again from their start. */
const inRow = (text: string, row: string): boolean =>
  text !== '' && row.repeat(2 + text.length / row.length).includes(text)

const ownWords = ({ name, email, firm }: OwnWords): string[] => [
  ...`${name} ${email} ${firm}`.toLowerCase().split(/[^\p{L}\p{N}]+/u),
  ...WORDS_OF_THE_TRADE,
]

/** Whether little is left of its letters and digits when such words are taken out, the longest first. */
function isMadeOf(words: readonly string[], lower: string): boolean {
  const plain = lower.replace(/[^\p{L}\p{N}]+/gu, '')
  const byLength = words.filter((word) => word.length >= LEAST_WORD_CHARS).sort((a, b) => b.length - a.length)
  const rest = byLength.reduce((text, word) => text.replaceAll(word, ' '), plain)
  return rest !== plain && [...rest.replaceAll(' ', '')].length < LEAST_OWN_CHARS
}
