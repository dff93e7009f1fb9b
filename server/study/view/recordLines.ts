/** One line of a record: bucket by bucket from hour values, or from the readings themselves where the span is short. */
import { dewPointC } from '../../physics/air.ts'
import { dewPointCInto, vaporPressurePaInto } from '../../physics/airColumns.ts'
import { correctedReadings } from '../../series/corrections.ts'
import { HOUR_MS } from '../../series/hourly.ts'
import { UNUSABLE_BITS } from '../../series/marks.ts'
import type { ReadingColumns } from '../../series/quantities.ts'
import { thinned } from '../../series/thin.ts'
import { findCorrections } from '../../store/corrections.ts'
import { readHourBuckets } from '../../store/hourBuckets.ts'
import type { Database } from '../../store/open.ts'
import { readColumns } from '../../store/readings.ts'
import type { Source } from './recordSources.ts'
import {
  type Buckets,
  type Column,
  type RecordAsked,
  type RecordShow,
  type RecordViewLine,
  rounded,
  roundedHours,
} from './recordTypes.ts'

type AirShow = Exclude<RecordShow, 'woodMcPct' | 'moldIndex'>

export async function airLine(
  db: Database,
  { path, name, role, placed }: Source,
  show: AirShow,
  span: Buckets,
  letter: string,
): Promise<RecordViewLine> {
  const empty = (): Column => new Array<number | null>(span.at.length).fill(null)
  const line: RecordViewLine = {
    spot: path,
    letter,
    name,
    role,
    basis: 'measured',
    min: empty(),
    mean: empty(),
    max: empty(),
  }
  for (const { probeId, from, to } of placed) {
    const own = { ...span, from: Math.max(span.from, from), to: Math.min(span.to, to) }
    if (own.to <= own.from) continue
    if (span.bucketMs < HOUR_MS) await fillFromReadings(db, probeId, own, show, span, line)
    else await fillFromHours(db, probeId, own, show, span, line)
  }
  return line
}

async function fillFromHours(
  db: Database,
  probeId: number,
  own: { from: number; to: number },
  show: AirShow,
  { from, bucketMs }: { from: number; bucketMs: number },
  line: RecordViewLine,
): Promise<void> {
  // Counted from the span's own start, so that two placements share the buckets; only hours that lie within count, for
  // one in which a logger came or went may hold readings of another house.
  const firstBucket = Math.floor((own.from - from) / bucketMs)
  const base = from + firstBucket * bucketMs
  const to = Math.floor(own.to / HOUR_MS) * HOUR_MS
  const notBefore = Math.ceil(own.from / HOUR_MS) * HOUR_MS
  const rows = await readHourBuckets(db, probeId, show, { from: base, to, bucketMs, notBefore }, UNUSABLE_BITS)
  const round = roundedHours(show)
  for (const bucket of rows) {
    const k = firstBucket + bucket.bucket
    const [min, mean, max] =
      show === 'dewPointC' ? [dew(bucket.low), dew(bucket.mid), bucket.high] : [bucket.low, bucket.mid, bucket.high]
    if (mean === null || k >= line.mean.length) continue
    line.min[k] = round(Math.min(line.min[k] ?? Number.POSITIVE_INFINITY, min ?? mean))
    line.mean[k] = round(mean)
    line.max[k] = round(Math.max(line.max[k] ?? Number.NEGATIVE_INFINITY, max ?? mean))
  }
}

/** The dew point of a bucket is that of its mean vapor pressure; dew point rises with vapor, so ends match ends. */
const dew = (pa: number | null): number | null => (pa === null || pa <= 1 ? null : dewPointC(pa))

/** Short spans show every reading, with its corrections. */
async function fillFromReadings(
  db: Database,
  probeId: number,
  own: { from: number; to: number },
  show: AirShow,
  span: { from: number; to: number; at: number[] },
  line: RecordViewLine,
): Promise<void> {
  const columns = correctedReadings(
    await readColumns(db, probeId, own.from, own.to),
    await findCorrections(db, probeId),
  )
  const values = valuesOf(columns, show)
  if (values === null) return
  const thin = thinned(columns.at, values, span, span.at.length)
  for (let k = 0; k < line.mean.length; k++) {
    if (Number.isNaN(thin.mean[k] ?? Number.NaN)) continue
    line.min[k] = rounded(thin.min[k]!)
    line.mean[k] = rounded(thin.mean[k]!)
    line.max[k] = rounded(thin.max[k]!)
  }
}

function valuesOf({ at, tempC, rhPct }: ReadingColumns, show: RecordShow): Float64Array | null {
  if (show === 'tempC') return tempC ?? null
  if (show === 'rhPct') return rhPct ?? null
  if (!tempC || !rhPct) return null
  const pa = vaporPressurePaInto(new Float64Array(at.length), tempC, rhPct)
  return show === 'vaporPressurePa' ? pa : dewPointCInto(new Float64Array(at.length), pa)
}

/** Wood and mold, estimated over the whole record. */
export function riskLines(
  { show, risk }: RecordAsked,
  { from, bucketMs, at }: { from: number; bucketMs: number; at: number[] },
  sources: readonly Source[],
  letters: ReadonlyMap<string, string>,
): RecordViewLine[] {
  if (risk === null) return []
  return risk.spots.flatMap((spot): RecordViewLine[] => {
    const source = sources.find(({ path }) => path === spot.spot)
    if (!source) return []
    const days = show === 'woodMcPct' ? spot.wood : spot.mold
    const column = (pick: (d: number) => number | null): Column =>
      at.map((start) => {
        // A day's value stands for every bucket whose middle lies in it.
        const d = risk.at.findLastIndex((dayStart) => dayStart <= start + bucketMs / 2)
        return d < 0 || start + bucketMs / 2 >= (risk.at[d + 1] ?? risk.to) || start < from ? null : pick(d)
      })
    return [
      {
        spot: spot.spot,
        letter: letters.get(spot.spot) ?? '',
        name: source.name,
        role: 'inside',
        basis: show === 'woodMcPct' && spot.pins ? 'measured' : 'estimated',
        min: column((d) => days.low[d] ?? null),
        mean: column((d) => days.mid[d] ?? null),
        max: column((d) => days.high[d] ?? null),
      },
    ]
  })
}
