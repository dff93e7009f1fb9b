/** A closed range of allowed values, in the unit of the quantity. */
export type Range = readonly [low: number, high: number]

/**
 * Refuses a value outside its valid range. NaN and infinities are outside every range.
 *
 * @throws RangeError that names the argument, the range, the unit and what came instead
 */
export function assertWithin(value: number, name: string, unit: string, [low, high]: Range): void {
  if (value >= low && value <= high && value < Number.POSITIVE_INFINITY) return
  const suffix = unit === '' ? '' : ` ${unit}`
  const [from, upTo] = [Number(low.toPrecision(6)), Number(high.toPrecision(6))] // computed limits carry endless digits
  const to = high === Number.POSITIVE_INFINITY ? `at least ${from}` : `between ${from} and ${upTo}`
  throw new RangeError(`${name} must be ${to}${suffix}, got ${value}. Check the unit of the source.`)
}

/**
 * Refuses zero, negative numbers, NaN and infinities.
 *
 * @throws RangeError that names the argument
 */
export function assertPositive(value: number, name: string, unit: string): void {
  if (value > 0 && Number.isFinite(value)) return
  throw new RangeError(`${name} must be greater than 0${unit === '' ? '' : ` ${unit}`}, got ${value}.`)
}

/**
 * Array forms write one row for each row they read, so all columns must have the same length.
 *
 * @throws RangeError when they do not
 */
export function assertSameLength(out: ArrayLike<number>, ...columns: readonly ArrayLike<number>[]): void {
  for (const column of columns) {
    if (column.length !== out.length) {
      throw new RangeError(`Columns must be as long as the result: ${out.length} rows expected, got ${column.length}.`)
    }
  }
}
