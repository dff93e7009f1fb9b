/** Checks a person's answers before they are used. */
import { FileTrouble } from './trouble.ts'
import type { Answers } from './understanding.ts'
import { UNITS } from './units.ts'
import { isKnownZone } from './zones.ts'

/** @throws FileTrouble BAD_ANSWER naming the answer and what it may be */
export function checkedAnswers(answers: Answers): Answers {
  const bad = (what: string, hint: string) => new FileTrouble('BAD_ANSWER', what, hint)
  if (answers.dateOrder && !['ymd', 'dmy', 'mdy'].includes(answers.dateOrder)) {
    throw bad(`The answer dateOrder is "${answers.dateOrder}".`, 'Use ymd, dmy or mdy.')
  }
  if (answers.timeZone && answers.timeZone !== 'house' && !isKnownZone(answers.timeZone)) {
    throw bad(
      `The answer timeZone is "${answers.timeZone}".`,
      'Use house, UTC, an offset such as -05:00, or a zone such as America/New_York.',
    )
  }
  for (const [key, unit] of Object.entries(answers.columnUnits ?? {})) {
    if (!(unit in UNITS))
      throw bad(`The answer for the unit of ${key} is "${unit}".`, `Use one of ${Object.keys(UNITS).join(', ')}.`)
  }
  for (const [key, answer] of Object.entries(answers.columnRoles ?? {})) {
    if (answer.role === 'quantity' && answer.unit && !UNITS[answer.unit]?.of.includes(answer.quantity)) {
      throw bad(
        `The answer for ${key} gives ${answer.quantity} in ${answer.unit}.`,
        'Give a unit that this quantity can have.',
      )
    }
  }
  const year = answers.typicalYear
  if (year !== undefined && !(Number.isInteger(year) && year >= 1900 && year < 2200)) {
    throw bad(`The answer typicalYear is "${year}".`, 'Give the year to put the rows in, such as 2023.')
  }
  return answers
}
