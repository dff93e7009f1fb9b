/** Reads a file as it was understood: typed batches with back pressure. */
import { asciiBytes } from './encoding.ts'
import { createRowReader } from './rowReader.ts'
import { FileTrouble } from './trouble.ts'
import type { Batch, ReadOptions, ReadSummary, Source, Understanding } from './understanding.ts'
import { plainBytes } from './unzip.ts'

/**
 * Streams a file's readings and refused lines, in file order per probe. Nothing more is read than the receiver takes.
 *
 * A file that breaks off (damaged zip, over the limit) ends the stream early: what came before has been given out and
 * `brokeOff` in the summary says why.
 *
 * @throws Error when a question without an assumption is still open, or the signal aborts
 */
export async function* readRows(
  source: Source,
  understanding: Understanding,
  options: ReadOptions = {},
): AsyncGenerator<Batch, ReadSummary, undefined> {
  if (understanding.typicalYear && understanding.typicalYearAs === null) {
    throw new Error(`${source.name} is a typical year; answer typicalYear with the year its rows are to be put in.`)
  }
  const reader = createRowReader(understanding)
  try {
    for await (const chunk of asciiBytes(plainBytes(source, options), understanding)) {
      options.signal?.throwIfAborted()
      reader.push(chunk)
      yield* reader.takeBatches()
    }
  } catch (trouble) {
    if (!(trouble instanceof FileTrouble)) throw trouble
    reader.summary.brokeOff = trouble.refusal
  }
  reader.end()
  yield* reader.takeBatches()
  return reader.summary
}
