import { expect, test } from 'vitest'
import { NUMBER_DEFAULTS } from '../../server/advice/defaults.ts'
import { defaultsDocument, ThresholdError, thresholdRows, thresholds } from '../../server/advice/thresholds.ts'
import { celsiusFromFahrenheit, kelvinDifferenceFromFahrenheit, mmFromInches } from '../../server/physics/units.ts'
import { equilibriumMoisturePct } from '../../server/physics/wood.ts'

const problemsOf = (firm: Record<string, unknown>, house: Record<string, unknown> = {}) => {
  try {
    thresholds(firm, house)
  } catch (error) {
    if (error instanceof ThresholdError) return error.problems
    throw error
  }
  return []
}

test('the house overrules the firm, the firm the defaults', () => {
  const held = thresholds({ closedOnRhPct: 68, stormMinMm: 10 }, { closedOnRhPct: 70 })
  expect([held.closedOnRhPct, held.stormMinMm, held.closedOffRhPct]).toEqual([70, 10, 60])
  expect(
    thresholdRows(held)
      .filter((row) => row.changed)
      .map((row) => row.name),
  ).toEqual(['closedOnRhPct', 'stormMinMm'])
})

test('all problems are told at once, each with its path', () => {
  const problems = problemsOf({ woodWet: 20, closedOnRhPct: 'high' }, { woodDampPct: 2, moldClass: 'weak' })
  expect(problems.map(({ path }) => path)).toEqual([
    'firm.settings.woodWet',
    'firm.settings.closedOnRhPct',
    'house.settings.woodDampPct',
    'house.settings.moldClass',
  ])
  expect(problems[0]!.problem).toBe('There is no threshold of that name. Did you mean woodWetPct?')
  expect(problems[1]!.problem).toBe('Give a number from 45 to 90 %, not "high".')
})

test('pairs out of order are refused: a damp closed space must be able to get dry', () => {
  const [problem] = problemsOf({}, { closedOffRhPct: 66 })
  expect(problem!.path).toBe('house.settings.closedOffRhPct')
  expect(problem!.problem).toContain('closedOffRhPct (66) must be below closedOnRhPct (65)')
  expect(problemsOf({ surfaceMinCompleteDays: 31 })).toHaveLength(1)
  expect(problemsOf({ toString: 3 })).toHaveLength(1)
})

test('every default lies in its own range and says what it guards and where it comes from', () => {
  for (const [name, row] of Object.entries(NUMBER_DEFAULTS)) {
    expect(row.value >= row.min && row.value <= row.max, name).toBe(true)
    expect(
      [row.unit, row.meaning, row.reference, row.usedIn].every((text) => text.length > 0),
      name,
    ).toBe(true)
  }
})

test('numbers of the trade in its own units', () => {
  const held = thresholds()
  expect(held.stormMinMm).toBeCloseTo(mmFromInches(0.5), 9)
  expect(held.freezeWatchC).toBeCloseTo(celsiusFromFahrenheit(38), 3)
  expect(held.freezeActC).toBe(celsiusFromFahrenheit(32))
  expect(held.matchedDewPointK).toBeCloseTo(kelvinDifferenceFromFahrenheit(3), 3)
  // 80 % RH is 16.0 % wood at 70 °F (Wood Handbook, table 4-2): the two damp lines say the same thing.
  expect(equilibriumMoisturePct(celsiusFromFahrenheit(70), held.surfaceDampPct)).toBeCloseTo(held.woodDampPct, 0)
})

test('the document has a row for every threshold', () => {
  const rows = defaultsDocument().trimEnd().split('\n')
  expect(rows).toHaveLength(2 + Object.keys(NUMBER_DEFAULTS).length + 1)
  expect(rows.every((row) => row.split(' | ').length === 7 || row.startsWith('|---'))).toBe(true)
  expect(rows).toContain(
    '| `stormMinMm` | 12.7 mm | 2 to 60 | least rain of a storm that is asked for a response | false conclusions | storms, baseline, proof | proposal |',
  )
})
