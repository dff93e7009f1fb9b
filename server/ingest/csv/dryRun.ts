/** Reads a file as for good, but only counts: what a look promises is what a reading gives. */
import { asciiBytes } from './encoding.ts'
import type { Head } from './head.ts'
import { createRowReader, ONE_PROBE, type RowReader } from './rowReader.ts'
import { commonStep, createTally, type ProbeTally, probeFound } from './tally.ts'
import type { LookContext, RefusedLine, Source, Understanding } from './understanding.ts'
import { plainBytes } from './unzip.ts'

const SHOWN_REFUSED = 20
/** A number that is impossible for its column and comes again this often is a mark for "no value". */
const MARKER_REPEATS = 10

export interface Run {
  reader: RowReader
  probes: ProbeTally[]
  refused: RefusedLine[]
  ignoredDst: boolean
}

export async function dryRun(source: Source, context: LookContext, understanding: Understanding): Promise<Run> {
  const reader = createRowReader(understanding)
  const tally = createTally()
  const refused: RefusedLine[] = []
  const take = () => {
    for (const batch of reader.takeBatches()) {
      if (batch.kind === 'readings') tally.add(batch)
      else if (refused.length < SHOWN_REFUSED) refused.push(...batch.lines.slice(0, SHOWN_REFUSED - refused.length))
    }
  }
  for await (const chunk of asciiBytes(plainBytes(source, context), understanding)) {
    reader.push(chunk)
    take()
  }
  reader.end()
  take()
  return { reader, probes: tally.probes(), refused, ignoredDst: false }
}

/** Usual step between the rows of a probe in the head, negative where the newest row comes first. */
export function settleRowStep(head: Head, draft: Understanding, trial: Understanding): void {
  const tally = createTally()
  const reader = createRowReader({ ...trial, lineEnd: 10, time: { ...trial.time, rowStepMs: 0 } })
  reader.push(Buffer.from(`${head.lines.slice(0, 3000).join('\n')}\n`))
  reader.end()
  for (const batch of reader.takeBatches()) if (batch.kind === 'readings') tally.add(batch)
  const [largest] = tally.probes().sort((a, b) => b.rows - a.rows)
  if (!largest) return
  const { stepMs, share } = commonStep(largest)
  draft.time.rowStepMs = share > 0.3 ? stepMs : largest.backward > largest.forward ? -1 : 0
}

/** Rows all through an hour that local time skips: the logger's clock was never put forward. */
export const followsNoDst = ({ reader }: Run, draft: Understanding): boolean => {
  if (draft.timeZoneBasis !== 'house zone') return false
  const { missing } = reader.instants.clock.counts
  const step = Math.abs(draft.time.rowStepMs)
  return missing > 0 && (step === 0 || step > 3_600_000 || missing >= Math.floor(3_600_000 / step) * 0.5)
}

/** The hour that comes twice stands in the file once, though rows come at least hourly. */
export const repeatedOnce = ({ reader }: Run, draft: Understanding): boolean => {
  const { repeatedFirst, repeatedSecond } = reader.instants.clock.counts
  const hourly = draft.stepMs !== null && draft.stepMs <= 3_600_000
  return draft.timeZoneBasis === 'house zone' && hourly && repeatedFirst > 0 && repeatedSecond === 0
}

export function repeatedImpossible(reader: RowReader): number[] {
  return reader.cells.flatMap(({ counts: { impossible } }) => {
    const [most] = [...impossible].sort((a, b) => b[1] - a[1])
    return most && impossible.size <= 3 && most[1] >= MARKER_REPEATS ? [most[0]] : []
  })
}

/** Puts what was counted into the understanding. */
export function fillIn(draft: Understanding, { reader, probes }: Run): void {
  draft.rows = reader.summary.rows
  draft.emptyRows = reader.summary.emptyRows
  draft.refusedRows = reader.summary.refusedRows
  draft.probes = probes.map(probeFound)
  const ends = probes.length > 0 ? probes : [reader.span]
  draft.firstAt = Math.min(...ends.map((probe) => probe.firstAt))
  draft.lastAt = Math.max(...ends.map((probe) => probe.lastAt))
  const [largest] = [...draft.probes].sort((a, b) => b.rows - a.rows)
  draft.stepMs = largest?.stepMs ?? null
  if (draft.shape === 'long' && draft.probes.length <= 1) draft.shape = 'one probe'
  if (
    draft.shape === 'wide' &&
    draft.probes.length <= 1 &&
    !draft.columns.some((c) => c.probeKey && c.probeKey !== ONE_PROBE)
  ) {
    draft.shape = 'one probe'
  }
}
