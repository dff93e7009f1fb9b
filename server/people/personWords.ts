/** Checks what is typed about a person: name, e-mail address, name of the firm. */
import { FORMER_PERSON } from '../store/peopleDelete.ts'
import { PeopleError } from './types.ts'

/** RFC 5321, 4.5.3.1: a path has 256 octets with its brackets, a local part 64. From memory. */
const MOST_EMAIL_CHARS = 254
const MOST_LOCAL_CHARS = 64
const MOST_NAME_CHARS = 100

/** Nothing that could end a header's line, begin another address, or stand around one. */
const LOCAL = /^[^\s\p{C}@<>()[\]\\,;:"]+$/u
const DOMAIN = /^(?=[^.]+(?:\.[^.]+)+$)[\p{L}\p{N}](?:[\p{L}\p{N}.-]*[\p{L}\p{N}])?$/u

/** In lower case, as it is kept; null when it is none. */
export function emailFrom(typed: string): string | null {
  const email = typed.trim().normalize('NFC').toLowerCase()
  const [local = '', domain = '', ...more] = email.split('@')
  const good =
    more.length === 0 &&
    email.length <= MOST_EMAIL_CHARS &&
    local.length <= MOST_LOCAL_CHARS &&
    LOCAL.test(local) &&
    DOMAIN.test(domain)
  return good ? email : null
}

/** @throws PeopleError BAD_PERSON */
export function requireEmail(typed: string): string {
  const email = emailFrom(typed)
  if (email !== null) return email
  throw new PeopleError(
    'BAD_PERSON',
    'The e-mail address cannot be one.',
    'Write it as name@example.com, one address alone.',
    { where: 'email' },
  )
}

/** Whom the histories name where no person did something. */
const NOT_PEOPLE: ReadonlySet<string> = new Set(['the pages', 'the service', 'the command line', FORMER_PERSON])

/** @throws PeopleError BAD_PERSON */
export function requireName(typed: string, where = 'name'): string {
  const name = typed.normalize('NFC').trim().replace(/ +/g, ' ')
  const chars = [...name].length
  if (chars === 0 || chars > MOST_NAME_CHARS || /[\p{C}\p{Zl}\p{Zp}]/u.test(name)) {
    throw new PeopleError(
      'BAD_PERSON',
      'The name is empty, too long, or has signs that cannot be seen.',
      `Write it in one line of at most ${MOST_NAME_CHARS} characters.`,
      { where },
    )
  }
  if (NOT_PEOPLE.has(name.toLowerCase())) {
    throw new PeopleError('BAD_PERSON', `Histories say "${name}" of nobody in particular.`, 'Take another name.', {
      where,
    })
  }
  return name
}
