/** Middle values that a few bad rows cannot move. NaN rows are left out; of nothing the answer is NaN. */

export function median(values: ArrayLike<number>): number {
  return quantile(values, 0.5)
}

/** Linear between the two nearest ranks; `share` from 0 to 1. */
export function quantile(values: ArrayLike<number>, share: number): number {
  const sorted = Float64Array.from(values as ArrayLike<number>)
    .filter((value) => !Number.isNaN(value))
    .sort()
  if (sorted.length === 0) return Number.NaN
  const place = (sorted.length - 1) * share
  const low = Math.floor(place)
  const high = Math.ceil(place)
  return sorted[low]! + (sorted[high]! - sorted[low]!) * (place - low)
}

/** Median distance from the median, times 1.4826 so that it equals the standard deviation of normal scatter. */
export function robustSpread(values: ArrayLike<number>): number {
  const middle = median(values)
  return 1.4826 * median(Float64Array.from(values as ArrayLike<number>, (value) => Math.abs(value - middle)))
}

/** Mean of what is there. */
export function meanOf(values: ArrayLike<number>): number {
  let sum = 0
  let count = 0
  for (let i = 0; i < values.length; i++) {
    if (Number.isNaN(values[i]!)) continue
    sum += values[i]!
    count++
  }
  return count === 0 ? Number.NaN : sum / count
}

/** At each row the median over columns of one length, without column `except`. */
export function medianAcross(columns: readonly Float64Array[], except = -1): Float64Array {
  const length = columns[0]?.length ?? 0
  const out = new Float64Array(length).fill(Number.NaN)
  const row: number[] = []
  for (let i = 0; i < length; i++) {
    row.length = 0
    for (let c = 0; c < columns.length; c++) {
      const value = columns[c]![i]!
      if (c !== except && !Number.isNaN(value)) row.push(value)
    }
    if (row.length === 0) continue
    row.sort((a, b) => a - b)
    const half = row.length >> 1
    out[i] = row.length % 2 === 1 ? row[half]! : (row[half - 1]! + row[half]!) / 2
  }
  return out
}

/**
 * One series of several that stand in the same air: each brought to the group's middle by its own usual difference, then
 * the median at each row. A probe that drops out or goes bad does not move the level.
 */
export function groupLevel(columns: readonly Float64Array[]): Float64Array {
  if (columns.length <= 1) return columns[0]?.slice() ?? new Float64Array(0)
  const middle = medianAcross(columns)
  return medianAcross(
    columns.map((column) => {
      const usual = median(column.map((value, i) => value - middle[i]!))
      return Number.isNaN(usual) ? column : column.map((value) => value - usual)
    }),
  )
}
