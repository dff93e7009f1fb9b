/** What can be wrong with a stretch of readings, as dated marks with a reason and as bits of an hour. */

/** The order gives the bits stored in `hourly.marks`: append only. */
export const MARK_KINDS = [
  'gap',
  'stuck',
  'saturated',
  'spike',
  'clock jump',
  'clock shift',
  'unit swap',
  'moved',
  'sun-struck',
  'battery dying',
] as const
export type MarkKind = (typeof MARK_KINDS)[number]

export interface Mark {
  kind: MarkKind
  from: number
  to: number
  /** A sentence for people. */
  reason: string
  /** The evidence, by name with unit. */
  numbers: Record<string, number>
}

export const markBit = (kind: MarkKind): number => 1 << MARK_KINDS.indexOf(kind)

export const marksOfBits = (bits: number): MarkKind[] => MARK_KINDS.filter((kind) => (bits & markBit(kind)) !== 0)

/**
 * Hours under these say nothing about the air and are left out of every analysis. A saturated sensor or a shifted
 * clock still tells something; those hours stay and the doubt is told beside them.
 */
export const UNUSABLE_BITS = markBit('stuck') | markBit('spike') | markBit('unit swap')

const HOUR_MS = 3_600_000

/** Sets the bits of `marks` on the hours (ascending starts, UTC) that they touch. */
export function setMarkBits(bits: Float64Array, at: Float64Array, marks: readonly Mark[]): void {
  for (const mark of marks) {
    const bit = markBit(mark.kind)
    for (let i = firstAtOrAfter(at, mark.from - HOUR_MS + 1); i < at.length && at[i]! < mark.to; i++) {
      bits[i] = bits[i]! | bit
    }
  }
}

/** Index of the first value not below `wanted` in an ascending column; its length when there is none. */
export function firstAtOrAfter(column: Float64Array, wanted: number): number {
  let low = 0
  let high = column.length
  while (low < high) {
    const middle = (low + high) >>> 1
    if (column[middle]! < wanted) low = middle + 1
    else high = middle
  }
  return low
}
