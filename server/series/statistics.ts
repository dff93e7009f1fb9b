/** Small statistics of series whose neighbors resemble each other, as hourly readings always do. */

function assertCount(length: number, least: number): void {
  if (length < least) throw new RangeError(`At least ${least} values are needed, got ${length}.`)
}

export function mean(values: ArrayLike<number>): number {
  assertCount(values.length, 1)
  let sum = 0
  for (let i = 0; i < values.length; i++) sum += values[i]!
  return sum / values.length
}

/** Sum of products of deviations `lag` apart, divided by n (the biased form, which keeps variances positive). */
function autocovariance(values: ArrayLike<number>, center: number, lag: number): number {
  let sum = 0
  for (let i = lag; i < values.length; i++) sum += (values[i]! - center) * (values[i - lag]! - center)
  return sum / values.length
}

/**
 * Correlation of each value with the one before it.
 *
 * @returns -1 to 1; 0 for a constant series
 * @throws RangeError for fewer than 3 values
 */
export function lag1Autocorrelation(values: ArrayLike<number>): number {
  assertCount(values.length, 3)
  const center = mean(values)
  const variance = autocovariance(values, center, 0)
  return variance === 0 ? 0 : autocovariance(values, center, 1) / variance
}

/**
 * How many independent values a series of n is worth: n (1 − rho) / (1 + rho). The form of ASHRAE Guideline 14 as widely
 * quoted (from memory); it is too hopeful where correlation lasts longer than lag 1 says.
 *
 * @param n count, at least 1
 * @param rho lag-1 autocorrelation, valid above -1 and below 1
 * @throws RangeError outside the valid ranges
 */
export function effectiveSampleSize(n: number, rho: number): number {
  assertCount(n, 1)
  if (!(rho > -1 && rho < 1)) throw new RangeError(`rho must be above -1 and below 1, got ${rho}.`)
  return (n * (1 - rho)) / (1 + rho)
}

function assertFit(measured: ArrayLike<number>, predicted: ArrayLike<number>, parameters: number): void {
  if (measured.length !== predicted.length) {
    throw new RangeError(`measured has ${measured.length} values and predicted ${predicted.length}; both must match.`)
  }
  assertCount(measured.length, parameters + 1)
}

/**
 * Coefficient of variation of the root mean square error [%]. Never for temperatures in °C or °F, nor for dew points:
 * it depends on where the scale has its zero. Report absolute errors for those.
 *
 * @param parameters fitted parameters p; the sum is divided by n − p. 1 for a calibrated simulation
 * @throws RangeError for unequal lengths or too few values
 * @see ASHRAE Guideline 14
 */
export function cvRmsePct(measured: ArrayLike<number>, predicted: ArrayLike<number>, parameters = 1): number {
  assertFit(measured, predicted, parameters)
  let sum = 0
  for (let i = 0; i < measured.length; i++) sum += (measured[i]! - predicted[i]!) ** 2
  return (100 * Math.sqrt(sum / (measured.length - parameters))) / mean(measured)
}

/**
 * Normalized mean bias error [%], measured minus predicted: negative means that the model reads high.
 *
 * @param parameters as in `cvRmsePct`
 * @throws RangeError for unequal lengths or too few values
 * @see ASHRAE Guideline 14; some texts reverse the sign
 */
export function nmbePct(measured: ArrayLike<number>, predicted: ArrayLike<number>, parameters = 1): number {
  assertFit(measured, predicted, parameters)
  let sum = 0
  for (let i = 0; i < measured.length; i++) sum += measured[i]! - predicted[i]!
  return (100 * sum) / ((measured.length - parameters) * mean(measured))
}

/** Calibration limits of ASHRAE Guideline 14 [%], written for energy use; a yardstick only. */
export const CALIBRATION_LIMITS_PCT = {
  hourly: { cvRmse: 30, nmbe: 10 },
  monthly: { cvRmse: 15, nmbe: 5 },
} as const

/**
 * Fractional uncertainty of a saving. From memory of Guideline 14; published work finds it too narrow for strongly
 * autocorrelated hourly data, where the bootstrap below serves better.
 *
 * @param cvRmse of the baseline model, as a fraction
 * @param savings saving as a fraction of the baseline, above 0
 * @param n, nEffective, m baseline values, their effective number, values after
 * @param t Student's t of the wanted confidence
 * @returns uncertainty as a fraction of the saving
 * @throws RangeError for a number that is not above 0
 */
export function fractionalSavingsUncertainty(input: {
  cvRmse: number
  savings: number
  n: number
  nEffective: number
  m: number
  t: number
}): number {
  for (const [name, value] of Object.entries(input)) {
    if (!(value > 0)) throw new RangeError(`${name} must be above 0, got ${value}.`)
  }
  const { cvRmse, savings, n, nEffective, m, t } = input
  return ((1.26 * t * cvRmse) / savings) * Math.sqrt(((n / nEffective) * (1 + 2 / nEffective)) / m)
}

/** Lags by a common rule (from memory); hourly readings with a daily cycle need at least 24 to 72. */
export function ruleOfThumbLags(n: number): number {
  return Math.floor(4 * (n / 100) ** (2 / 9))
}

/**
 * Standard error of a mean that allows for autocorrelation up to `maxLag` (Newey and West 1987, Bartlett weights, no
 * small-sample correction).
 *
 * @param maxLag 0 up to n − 1
 * @throws RangeError outside the valid range
 */
export function neweyWestSeOfMean(values: ArrayLike<number>, maxLag: number): number {
  assertCount(values.length, 2)
  if (!Number.isInteger(maxLag) || maxLag < 0 || maxLag >= values.length) {
    throw new RangeError(`maxLag must be a whole number from 0 to ${values.length - 1}, got ${maxLag}.`)
  }
  const center = mean(values)
  let sum = autocovariance(values, center, 0)
  for (let lag = 1; lag <= maxLag; lag++) sum += 2 * (1 - lag / (maxLag + 1)) * autocovariance(values, center, lag)
  return Math.sqrt(sum / values.length)
}

/**
 * Standard error that a moving-block bootstrap of the mean would find with endless resampling (Künsch 1989).
 *
 * @param blockLength values in a block, 1 to n
 * @param blocks blocks in a resample, at least 1
 * @throws RangeError outside the valid ranges
 */
export function movingBlockSeOfMean(values: ArrayLike<number>, blockLength: number, blocks: number): number {
  if (!Number.isInteger(blockLength) || blockLength < 1 || blockLength > values.length) {
    throw new RangeError(`blockLength must be a whole number from 1 to ${values.length}, got ${blockLength}.`)
  }
  if (!(blocks >= 1)) throw new RangeError(`blocks must be at least 1, got ${blocks}.`)
  const blockMeans: number[] = []
  let sum = 0
  for (let i = 0; i < values.length; i++) {
    sum += values[i]!
    if (i >= blockLength) sum -= values[i - blockLength]!
    if (i >= blockLength - 1) blockMeans.push(sum / blockLength)
  }
  return Math.sqrt(autocovariance(blockMeans, mean(blockMeans), 0) / blocks)
}

/**
 * Standard error that a stationary bootstrap of the mean would find with endless resampling (Politis and Romano 1994).
 * Costs n² operations: thin long series to daily means first.
 *
 * @param meanBlockLength mean of the geometric block length, at least 1
 * @throws RangeError outside the valid range
 */
export function stationaryBootstrapSeOfMean(values: ArrayLike<number>, meanBlockLength: number): number {
  assertCount(values.length, 2)
  if (!(meanBlockLength >= 1)) throw new RangeError(`meanBlockLength must be at least 1, got ${meanBlockLength}.`)
  const n = values.length
  const center = mean(values)
  const goesOn = 1 - 1 / meanBlockLength // chance that the next value continues the block
  let sum = autocovariance(values, center, 0)
  for (let lag = 1; lag < n; lag++) {
    // Blocks wrap around the end of the series, hence the second part.
    const weight = (1 - lag / n) * goesOn ** lag + (lag / n) * goesOn ** (n - lag)
    sum += 2 * weight * autocovariance(values, center, lag)
  }
  return Math.sqrt(sum / n)
}
