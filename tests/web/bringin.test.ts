import { expect, test } from 'vitest'
import type { Question } from '../../server/http/contract/files.ts'
import { cells } from '../../web/bringin/firstLines.tsx'
import { rangeWords, valueWords } from '../../web/bringin/quantityWords.ts'
import { answered, withAnswer } from '../../web/bringin/questions.tsx'

test('a line is cut as its file is: quotes hold delimiters together, empty cells stay', () => {
  expect(cells('a,"b, c",,d', ',', 4)).toEqual(['a', 'b, c', '', 'd'])
  expect(cells('1;2,5;', ';', 3)).toEqual(['1', '2,5', ''])
  expect(cells('"say ""so""",2', ',', 2)).toEqual(['say "so"', '2'])
  expect(cells('  12   13  14', ' ', 3)).toEqual(['12', '13', '14'])
  expect(cells('a|b', '|', 3)).toEqual(['a', 'b', ''])
})

const question = (more: Partial<Question>): Question => ({
  key: 'dateOrder',
  why: '',
  choices: [],
  assumed: null,
  ...more,
})

test('what counts is the answer that was given, else what is assumed', () => {
  expect(answered(question({}), {})).toBeNull()
  expect(answered(question({ assumed: 'dmy' }), {})).toBe('dmy')
  expect(answered(question({ assumed: 'dmy' }), { dateOrder: 'mdy' })).toBe('mdy')
})

test('one answer for several columns is given to each of them, and keeps the others', () => {
  const units = question({ key: 'columnUnits', columns: ['T1', 'T2'] })
  const answers = withAnswer({ dateOrder: 'dmy', columnUnits: { T0: '°C' } }, units, '°F')
  expect(answers).toEqual({ dateOrder: 'dmy', columnUnits: { T0: '°C', T1: '°F', T2: '°F' } })
})

test('values are said in the person’s words and units', () => {
  expect(valueWords('tempC', 20, 'us')).toBe('temperature 68.0 °F')
  expect(valueWords('rhPct', 61.4, 'si')).toBe('RH 61 %')
  expect(rangeWords('rainMm', 0, 25.4, 'us')).toBe('rain 0.00 to 1.00 in')
  expect(valueWords('batteryV', 2.987, 'us')).toBe('battery 2.99 V')
})
