import { expect, test } from 'vitest'
import * as statistics from '../../server/series/statistics.ts'
import { type Answers, CHECK_VALUES, inputsOf, titleOf } from '../support/checkValues.ts'
import { seeded } from '../support/seeded.ts'

const ANSWERS: Answers = {
  effective_sample_size_lag1: (i) => statistics.effectiveSampleSize(i.number('n'), i.number('rho_lag1')),
  cv_rmse: (i) => statistics.cvRmsePct(i.numbers('measured'), i.numbers('predicted'), i.number('p_parameters')),
  nmbe: (i) => statistics.nmbePct(i.numbers('measured'), i.numbers('predicted'), i.number('p_parameters')),
  guideline14_calibration_limit: (i) => {
    const limits = statistics.CALIBRATION_LIMITS_PCT[i.text('interval') as 'hourly' | 'monthly']
    return i.text('metric') === 'cv_rmse' ? limits.cvRmse : limits.nmbe
  },
  fractional_savings_uncertainty: (i) =>
    statistics.fractionalSavingsUncertainty({
      cvRmse: i.number('cv_rmse_fraction'),
      savings: i.number('savings_fraction'),
      n: i.number('n'),
      nEffective: i.number('n_eff'),
      m: i.number('m'),
      t: i.number('t_statistic'),
    }),
  newey_west_se_of_mean: (i) => statistics.neweyWestSeOfMean(i.numbers('x'), i.number('max_lag')),
  moving_block_bootstrap_exact_se_of_mean: (i) =>
    statistics.movingBlockSeOfMean(i.numbers('x'), i.number('block_length'), i.number('n_blocks')),
  stationary_bootstrap_exact_se_of_mean: (i) =>
    statistics.stationaryBootstrapSeOfMean(i.numbers('x'), i.number('mean_block_length')),
}

/** The file allows 5 % for resampling; ours are closed forms, so they must match to the digits printed. */
const CLOSED_FORM_TOLERANCE = 1e-5

for (const row of CHECK_VALUES.filter((check) => check.topic === 'statistics')) {
  test(titleOf(row), () => {
    const found = ANSWERS[row.quantity]!(inputsOf(row))
    const tolerance = row.quantity.includes('bootstrap') ? CLOSED_FORM_TOLERANCE : row.tolerance
    expect(Math.abs(found - row.expected), `found ${found}, expected ${row.expected}`).toBeLessThanOrEqual(tolerance)
  })
}

/** A series in which each value keeps 0.6 of the one before. */
function correlated(n: number): number[] {
  const random = seeded(7)
  const values: number[] = []
  let value = 0
  for (let i = 0; i < n; i++) values.push((value = 0.6 * value + random() - 0.5))
  return values
}

test('resampling by hand finds the exact error of the moving-block bootstrap', () => {
  const values = correlated(60)
  const random = seeded(3)
  const means = Array.from({ length: 20_000 }, () => {
    let sum = 0
    for (let block = 0; block < 10; block++) {
      const start = Math.floor(random() * 55)
      for (let i = 0; i < 6; i++) sum += values[start + i]!
    }
    return sum / 60
  })
  const center = statistics.mean(means)
  const spread = Math.sqrt(means.reduce((sum, value) => sum + (value - center) ** 2, 0) / means.length)
  expect(spread / statistics.movingBlockSeOfMean(values, 6, 10)).toBeCloseTo(1, 1)
})

test('autocorrelation of a known process is found, and a constant series has none', () => {
  expect(Math.abs(statistics.lag1Autocorrelation(correlated(20_000)) - 0.6)).toBeLessThan(0.02)
  expect(statistics.lag1Autocorrelation([4, 4, 4, 4])).toBe(0)
})

test('neighbors that resemble each other widen the error of a mean', () => {
  const values = correlated(2000)
  const plain = statistics.neweyWestSeOfMean(values, 0)
  const wide = statistics.neweyWestSeOfMean(values, 24)
  expect(wide / plain).toBeGreaterThan(1.7) // theory for 0.6: a factor of 2
  expect(wide / plain).toBeLessThan(2.3)
  expect(statistics.stationaryBootstrapSeOfMean(values, 24) / plain).toBeGreaterThan(1.6)
})

test('independent blocks of one are the plain standard error', () => {
  const values = correlated(50)
  expect(statistics.movingBlockSeOfMean(values, 1, 50)).toBeCloseTo(statistics.neweyWestSeOfMean(values, 0), 12)
  expect(statistics.stationaryBootstrapSeOfMean(values, 1)).toBeCloseTo(statistics.neweyWestSeOfMean(values, 0), 12)
})

test('the usual number of lags grows slowly with the length', () => {
  expect([100, 720, 8760].map(statistics.ruleOfThumbLags)).toEqual([4, 6, 10])
})

const BAD_CALLS: readonly [string, () => unknown, string][] = [
  ['no values', () => statistics.mean([]), 'At least 1 values are needed, got 0'],
  ['two values', () => statistics.lag1Autocorrelation([1, 2]), 'At least 3 values are needed, got 2'],
  ['perfect correlation', () => statistics.effectiveSampleSize(10, 1), 'rho must be above -1 and below 1, got 1'],
  ['unequal columns', () => statistics.cvRmsePct([1, 2], [1]), 'measured has 2 values and predicted 1'],
  ['more parameters than data', () => statistics.nmbePct([1, 2], [1, 2], 2), 'At least 3 values are needed, got 2'],
  ['too many lags', () => statistics.neweyWestSeOfMean([1, 2, 3], 3), 'maxLag must be a whole number from 0 to 2'],
  ['a block too long', () => statistics.movingBlockSeOfMean([1, 2], 3, 1), 'blockLength must be a whole number'],
  ['no blocks', () => statistics.movingBlockSeOfMean([1, 2], 1, 0), 'blocks must be at least 1'],
  ['a short block', () => statistics.stationaryBootstrapSeOfMean([1, 2], 0.5), 'meanBlockLength must be at least 1'],
  [
    'no saving',
    () => statistics.fractionalSavingsUncertainty({ cvRmse: 0.1, savings: 0, n: 9, nEffective: 9, m: 9, t: 2 }),
    'savings must be above 0, got 0',
  ],
]

test.each(BAD_CALLS)('%s is refused in words', (_name, call, message) => {
  expect(call).toThrow(RangeError)
  expect(call).toThrow(message)
})
