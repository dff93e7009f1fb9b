/** Files that stack several kinds of report: the kind that comes in even steps holds the readings. */
import type { Head } from './head.ts'
import type { Layout } from './layout.ts'
import { createRowReader } from './rowReader.ts'
import { commonStep, createTally } from './tally.ts'
import type { Understanding } from './understanding.ts'

const STEADY_SHARE = 0.8

/** The kinds to keep: the steadiest one with at least three in ten of the rows; none named keeps all. */
export function steadyKinds(head: Head, draft: Understanding, layout: Layout): string[] {
  const kindAt = draft.columns.find((column) => column.role === 'kind')?.index ?? -1
  const texts = layout.table.rows.map((row) => row.cells[kindAt] ?? '')
  const bytes = Buffer.from(`${head.lines.join('\n')}\n`)
  const ranked = [...new Set(texts)]
    .filter((kind) => kind !== '' && texts.filter((text) => text === kind).length >= texts.length * 0.3)
    .map((kind) => {
      const reader = createRowReader({ ...draft, lineEnd: 10, keptKinds: [kind] })
      reader.push(bytes)
      reader.end()
      const tally = createTally()
      for (const batch of reader.takeBatches()) if (batch.kind === 'readings') tally.add(batch)
      return { kind, share: Math.max(0, ...tally.probes().map((probe) => commonStep(probe).share)) }
    })
    .sort((a, b) => b.share - a.share)
  const best = ranked[0]
  return best && best.share >= STEADY_SHARE ? [best.kind] : []
}
