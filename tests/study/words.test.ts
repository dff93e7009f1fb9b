import { expect, test } from 'vitest'
import { spaceKinds } from '../../server/moisture/spaceKind.ts'
import type { FindingNumber } from '../../server/study/finding.ts'
import { monthsWords } from '../../server/study/outdoorAir.ts'
import { table, wrapped } from '../../server/study/pageText.ts'
import type { StudiedWork } from '../../server/study/studiedHouse.ts'
import { takeNumbersOut } from '../../server/study/takeNumbersOut.ts'
import { numberText, wordedText } from '../../server/study/wording.ts'
import { listWords, workWords } from '../../server/study/workWords.ts'
import { TEST_HOUSE } from '../support/studiedHouse.ts'

test.each([
  [{ value: 150, unit: 'Pa' }, '150 Pa', '6.6 grains/lb'], // trade notes: 75 to 110 Pa are 3 to 5 grains/lb
  [{ value: 25.4, unit: 'mm' }, '25 mm', '1.00 in'],
  [{ value: 100 / 25.4, unit: 'Pa/mm' }, '39 Pa per 10 mm of rain', '4.4 grains/lb per inch of rain'],
  [{ value: 2, unit: 'K' }, '2.0 K', '3.6 °F'],
  [{ value: 0, unit: '°C', low: -1, high: 1 }, '0.0 °C (-1.0 to 1.0)', '32.0 °F (30.2 to 33.8)'],
  [{ value: 1, unit: 'days' }, '1 day', '1 day'],
  [{ value: 2, unit: 'pairs' }, '2 pairs', '2 pairs'],
  [{ value: 7, unit: 'count' }, '7', '7'],
  [{ value: -0.001, unit: '1' }, '0.00', '0.00'],
] as [FindingNumber, string, string][])('%j reads as "%s" and "%s"', (number, si, us) => {
  expect([numberText(number, 'si'), numberText(number, 'us')]).toEqual([si, us])
})

test('numbers with a unit are taken out of a sentence, those without stay', () => {
  const numbers: Record<string, FindingNumber> = { n1: { value: 9, unit: 'h' } }
  const text = takeNumbersOut(
    'On 9 days 250 Pa (100 to 400) more, by 40 Pa per inch; line 80 %, 2 K colder, 13 mm.',
    numbers,
  )
  expect(text).toBe('On 9 days {n2} more, by {n3}; line 80 %, {n4} colder, {n5}.')
  expect(numbers).toEqual({
    n1: { value: 9, unit: 'h' },
    n2: { value: 250, unit: 'Pa', low: 100, high: 400 },
    n3: { value: 40 / 25.4, unit: 'Pa/mm' },
    n4: { value: 2, unit: 'K' },
    n5: { value: 13, unit: 'mm' },
  })
  expect(wordedText(text, { numbers }, 'us')).not.toMatch(/\{| Pa| K | mm/)
  expect(takeNumbersOut('2 Kinds and 3 parts', {})).toBe('2 Kinds and 3 parts')
})

test('works and months are said as people say them', () => {
  const at = Date.UTC(2024, 5, 3, 12)
  const works = [
    { key: 'a', kind: 'vents sealed', from: at },
    { key: 'b', kind: 'yard drain', from: at },
  ] as StudiedWork[]
  expect(workWords({ works, tree: TEST_HOUSE }, ['a', 'b'])).toBe(
    'sealing the vents (2024-06-03) and the yard drain (2024-06-03)',
  )
  expect(listWords(['a', 'b', 'c'])).toBe('a, b and c')
  expect(monthsWords(['2025-11', '2025-12', '2026-01', '2026-04', '2026-05', '2026-07'])).toBe(
    'Nov 2025 to Jan 2026, Apr to May 2026, Jul 2026',
  )
})

const space = (more: object) =>
  ({ ...TEST_HOUSE.spaces[0]!, kind: undefined, ...more }) as (typeof TEST_HOUSE.spaces)[number]
const work = (kind: StudiedWork['kind'], from: number, to: number | null = null, details?: StudiedWork['details']) =>
  ({ key: kind, kind, from, to, note: undefined, details }) as StudiedWork

test('a space is judged by what it was: works close and open it, a trial ends', () => {
  const sealed = spaceKinds(space({ kind: 'closed' }), [work('vents sealed', 100)])
  expect([50, 100, 200].map((at) => sealed.at(at))).toEqual(['vented', 'closed', 'closed'])
  const trial = spaceKinds(space({ kind: 'vented' }), [work('vents sealed', 100, 200)])
  expect([50, 150, 250].map((at) => trial.at(at))).toEqual(['vented', 'closed', 'vented'])
  const opened = spaceKinds(space({ kind: 'vented' }), [work('vents opened', 100)])
  expect([50, 150].map((at) => opened.at(at))).toEqual(['closed', 'vented'])
  const parts = spaceKinds(space({ kind: 'conditioned' }), [work('other', 100, null, { parts: ['vents sealed'] })])
  expect([50, 150].map((at) => parts.at(at))).toEqual(['vented', 'conditioned'])
})

test('a kind nobody recorded is read with care and said so', () => {
  expect(spaceKinds(space({}), [])).toMatchObject({ recorded: false })
  expect(spaceKinds(space({}), []).at(0)).toBe('vented')
  expect(spaceKinds(space({ role: 'basement' }), []).at(0)).toBe('closed')
  const byVents = spaceKinds(space({ ventState: 'closed' }), [])
  expect([byVents.at(0), byVents.recorded]).toEqual(['closed', true])
})

test('lines break between words, and columns line up', () => {
  expect(wrapped('word '.repeat(40).trim(), '  ').every((line) => line.length <= 100)).toBe(true)
  expect(
    table(
      [
        ['a', '1'],
        ['long', '22'],
      ],
      '',
    ),
  ).toEqual(['a      1', 'long  22'])
})
