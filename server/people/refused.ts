/** What the store would not do, in sentences. */
import { PeopleError } from './types.ts'

type Why = 'EMAIL_TAKEN' | 'NAME_TAKEN' | 'UNKNOWN_HOUSE' | 'UNKNOWN_PERSON' | 'LAST_CONTRACTOR' | 'BEGUN'

export function refused({ why, house }: { why: Why; house?: string }): PeopleError {
  switch (why) {
    case 'EMAIL_TAKEN':
      return new PeopleError(
        'EMAIL_TAKEN',
        'Somebody has this e-mail address already.',
        'Look through the list of people, closed accounts too, or take another address.',
        { where: 'email' },
      )
    case 'NAME_TAKEN':
      return new PeopleError(
        'BAD_PERSON',
        'Somebody has this name already, and the histories of houses tell people apart by their names.',
        'Add what tells them apart, such as "Ann Example (Oak Street)".',
        { where: 'name' },
      )
    case 'UNKNOWN_HOUSE':
      return unknownHouse(house ?? '')
    case 'UNKNOWN_PERSON':
      return unknownPerson()
    case 'LAST_CONTRACTOR':
      return new PeopleError(
        'LAST_CONTRACTOR',
        'Nobody else could sign in as a contractor, and the firm would lock itself out.',
        'Make somebody else a contractor first, and let them set their password.',
      )
    case 'BEGUN':
      return badCode()
  }
}

export const unknownHouse = (key: string): PeopleError =>
  new PeopleError(
    'UNKNOWN_HOUSE',
    `There is no house "${key}".`,
    'Take the key of a house as the list of houses has it.',
    {
      where: 'houses',
    },
  )

export const unknownPerson = (): PeopleError =>
  new PeopleError('UNKNOWN_PERSON', 'There is no such person.', 'Look through the list of people.')

export const badCode = (): PeopleError =>
  new PeopleError(
    'BAD_CODE',
    'The code is not good: it is unknown, was used, or its time is over.',
    'Ask for a new one.',
    { where: 'code' },
  )
