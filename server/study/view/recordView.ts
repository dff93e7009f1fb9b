/** The record of a house in columns for drawing, thinned so that peaks and gaps survive. */
import { thresholds } from '../../advice/thresholds.ts'
import { HOUR_MS } from '../../series/hourly.ts'
import { findHouse, findStationProbes } from '../../store/houses.ts'
import type { Database } from '../../store/open.ts'
import { readTree } from '../../store/readHouse.ts'
import { readSettings } from '../../store/settings.ts'
import { leftOutOf } from './recordLeftOut.ts'
import { airLine, riskLines } from './recordLines.ts'
import { rainOf } from './recordRain.ts'
import { recordSpan, sourcesOf } from './recordSources.ts'
import type { RecordAsked, RecordShow, RecordView } from './recordTypes.ts'
import { spotLetters } from './spotLetters.ts'

export type { RecordAsked, RecordShow, RecordView, RecordViewLine } from './recordTypes.ts'

/** @returns undefined when there is no such house. Hour values must be up to date. */
export async function recordView(db: Database, houseKey: string, asked: RecordAsked): Promise<RecordView | undefined> {
  const row = await findHouse(db, houseKey)
  if (!row) return undefined
  const tree = readTree(db, row)
  const sources = await sourcesOf(db, row.id, tree)
  const record = await recordSpan(db, sources)
  const span = askedSpan(asked, record)
  const settings = await readSettings(db, row)
  const view: RecordView = {
    show: asked.show,
    ...span,
    recordFrom: record?.from ?? null,
    recordTo: record?.to ?? null,
    at: bucketStarts(span),
    lines: [],
    rain: null,
    leftOut: [],
    thresholds: linesOfHarm(asked.show, thresholds(settings.firm, settings.house)),
  }
  if (record === null) return view
  const letters = spotLetters(tree)
  if (asked.show === 'woodMcPct' || asked.show === 'moldIndex') view.lines = riskLines(asked, view, sources, letters)
  else {
    for (const source of sources) {
      const line = await airLine(db, source, asked.show, view, letters.get(source.path) ?? '')
      if (line.mean.some((value) => value !== null)) view.lines.push(line)
    }
  }
  view.rain = await rainOf(db, sources, await findStationProbes(db, row.id), span)
  view.leftOut = await leftOutOf(db, sources, tree, span)
  return view
}

/** The span asked for, cut into equal buckets that begin on whole hours where they are an hour or longer. */
function askedSpan({ from, to, rows }: RecordAsked, record: { from: number; to: number } | null) {
  const [first, last] = [from ?? record?.from ?? 0, to ?? record?.to ?? HOUR_MS]
  const length = Math.max(HOUR_MS, last - first)
  const rough = length / rows
  const bucketMs = rough > 0.75 * HOUR_MS ? Math.ceil(rough / HOUR_MS) * HOUR_MS : Math.ceil(rough / 60_000) * 60_000
  const grain = Math.min(bucketMs, HOUR_MS)
  const start = Math.floor(first / grain) * grain
  const count = Math.max(1, Math.ceil((first + length - start) / bucketMs))
  return { from: start, to: start + count * bucketMs, bucketMs }
}

const bucketStarts = ({ from, to, bucketMs }: { from: number; to: number; bucketMs: number }): number[] =>
  Array.from({ length: Math.round((to - from) / bucketMs) }, (_, i) => from + i * bucketMs)

function linesOfHarm(show: RecordShow, held: ReturnType<typeof thresholds>): RecordView['thresholds'] {
  if (show === 'woodMcPct') {
    return [
      { value: held.woodWetPct, name: 'wet', harm: 'decay' },
      { value: held.woodFastenerPct, name: 'fasteners in treated wood', harm: 'corrosion' },
      { value: held.woodDampPct, name: 'damp', harm: 'mold' },
    ]
  }
  return show === 'moldIndex' ? [{ value: held.moldWetIndex, name: 'wet', harm: 'mold seen by eye' }] : []
}
