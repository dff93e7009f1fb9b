/** Rain beside a record, in buckets of its own: never shorter than those of the lines, and not known where nobody measured. */
import { HOUR_MS } from '../../series/hourly.ts'
import { type HourBucket, readHourBuckets } from '../../store/hourBuckets.ts'
import type { Database } from '../../store/open.ts'
import type { Source } from './recordSources.ts'
import { type Column, type RecordView, rounded } from './recordTypes.ts'

/** A day of a gauge that is read once a day is never cut. */
const DAY_MS = 24 * HOUR_MS

/** The gauge outdoors that covers most buckets, else a station's. */
export async function rainOf(
  db: Database,
  sources: readonly Source[],
  stations: ReadonlyMap<string, number>,
  span: { from: number; to: number; bucketMs: number },
): Promise<RecordView['rain']> {
  const probeIds = new Set([
    ...sources.filter(({ role }) => role === 'outdoor').flatMap(({ placed }) => placed.map(({ probeId }) => probeId)),
    ...stations.values(),
  ])
  const bucketMs = span.bucketMs >= 4 * HOUR_MS ? Math.ceil(span.bucketMs / DAY_MS) * DAY_MS : HOUR_MS
  const from = Math.floor(span.from / HOUR_MS) * HOUR_MS
  let best: { rows: HourBucket[]; known: number } | null = null
  for (const probeId of probeIds) {
    const rows = await readHourBuckets(db, probeId, 'rainMm', { from, to: span.to, bucketMs }, 0)
    const known = rows.filter(({ mid }) => mid !== null).length
    if (known > (best?.known ?? 0)) best = { rows, known }
  }
  if (best === null) return null
  const at = Array.from({ length: Math.ceil((span.to - from) / bucketMs) }, (_, i) => from + i * bucketMs)
  const mm: Column = at.map(() => null)
  for (const { bucket, mid } of best.rows) if (bucket < mm.length) mm[bucket] = mid === null ? null : rounded(mid)
  return { bucketMs, at, mm }
}
