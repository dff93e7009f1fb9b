/** Thinning for drawing: peaks and gaps survive, because they are what people look for. */

/** One row a bucket, ascending; NaN in all three where the bucket holds no value, so that a gap stays a gap. */
export interface ThinnedColumns {
  /** Start of the bucket [UTC epoch ms]. */
  at: Float64Array
  min: Float64Array
  mean: Float64Array
  max: Float64Array
  bucketMs: number
}

/**
 * Minimum, mean and maximum of equal buckets of time. Any span without values that is at least two buckets long shows
 * as an empty row.
 *
 * @param at instants [UTC epoch ms], ascending
 * @param values NaN where missing
 * @param span end excluded; instants outside are left out
 * @param rows at most so many buckets, a whole number from 1
 * @throws RangeError when the span is empty or `rows` is not a whole number from 1
 */
export function thinned(
  at: Float64Array,
  values: Float64Array,
  { from, to }: { from: number; to: number },
  rows: number,
): ThinnedColumns {
  if (!(to > from)) throw new RangeError(`to must be later than from, got from ${from} and to ${to}.`)
  if (!Number.isInteger(rows) || rows < 1) throw new RangeError(`rows must be a whole number from 1, got ${rows}.`)
  const bucketMs = Math.ceil((to - from) / rows)
  const length = Math.ceil((to - from) / bucketMs)
  const column = () => new Float64Array(length).fill(Number.NaN)
  const out: ThinnedColumns = { at: column(), min: column(), mean: column(), max: column(), bucketMs }
  const count = new Int32Array(length)
  for (let k = 0; k < length; k++) out.at[k] = from + k * bucketMs
  for (let i = 0; i < at.length; i++) {
    const value = values[i]!
    if (Number.isNaN(value) || at[i]! < from || at[i]! >= to) continue
    const k = Math.floor((at[i]! - from) / bucketMs)
    if (!(out.min[k]! <= value)) out.min[k] = value
    if (!(out.max[k]! >= value)) out.max[k] = value
    out.mean[k] = (count[k] === 0 ? 0 : out.mean[k]!) + value
    count[k] = count[k]! + 1
  }
  for (let k = 0; k < length; k++) if (count[k]! > 0) out.mean[k] = out.mean[k]! / count[k]!
  return out
}
