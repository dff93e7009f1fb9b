/** The first rows beside what they become. */
import type { Quantity } from '../../series/quantities.ts'
import type { Head } from './head.ts'
import { createRowReader } from './rowReader.ts'
import type { PreviewRow, Understanding } from './understanding.ts'

const PREVIEW_ROWS = 5
const MAX_TEXT = 200

export function previewOf(head: Head, understanding: Understanding): PreviewRow[] {
  const lines = head.lines.slice(0, understanding.firstRowLine + 4 * PREVIEW_ROWS)
  const reader = createRowReader({ ...understanding, lineEnd: 10 })
  reader.push(Buffer.from(`${lines.join('\n')}\n`))
  reader.end()
  const rows = new Map<number, PreviewRow>()
  for (const batch of reader.takeBatches()) {
    if (batch.kind !== 'readings') continue
    batch.lines.forEach((line, i) => {
      const row = rows.get(line) ?? { line, text: (head.lines[line - 1] ?? '').slice(0, MAX_TEXT), readings: [] }
      const values: Partial<Record<Quantity, number>> = {}
      for (const [quantity, column] of Object.entries(batch.columns) as [Quantity, Float64Array][]) {
        if (!Number.isNaN(column[i])) values[quantity] = column[i]!
      }
      row.readings.push({ probeKey: batch.probeKey, at: batch.at[i]!, values })
      rows.set(line, row)
    })
  }
  return [...rows.values()].sort((a, b) => a.line - b.line).slice(0, PREVIEW_ROWS)
}
