/** The record in figures, for screen readers and print: the span at hand in at most so many rows. */
import type { RecordAnswer } from '../../server/http/contract/record.ts'

export interface RecordRow {
  from: number
  to: number
  /** Mean of each line's bucket means, null where nothing was measured. */
  means: (number | null)[]
  rainMm: number | null
}

/** Joins buckets into equal rows; rain is summed, and is not known where no bucket of it is. */
export function recordRows(record: RecordAnswer, most: number): RecordRow[] {
  const perRow = Math.max(1, Math.ceil(record.at.length / most))
  const rows: RecordRow[] = []
  for (let start = 0; start < record.at.length; start += perRow) {
    const end = Math.min(start + perRow, record.at.length)
    const from = record.at[start]!
    const to = end < record.at.length ? record.at[end]! : record.to
    rows.push({
      from,
      to,
      means: record.lines.map(({ mean }) => meanOf(mean.slice(start, end))),
      rainMm:
        record.rain && sumOf(record.rain.mm.filter((_, i) => record.rain!.at[i]! >= from && record.rain!.at[i]! < to)),
    })
  }
  return rows
}

const known = (values: readonly (number | null)[]): number[] => values.filter((value) => value !== null)

function meanOf(values: readonly (number | null)[]): number | null {
  const there = known(values)
  return there.length === 0 ? null : there.reduce((sum, value) => sum + value, 0) / there.length
}

function sumOf(values: readonly (number | null)[]): number | null {
  const there = known(values)
  return there.length === 0 ? null : there.reduce((sum, value) => sum + value, 0)
}
