/** The record of a house in columns for drawing, thinned so that peaks and gaps survive. */
import { thresholds } from '../../advice/thresholds.ts'
import { dewPointC } from '../../physics/air.ts'
import { dewPointCInto, vaporPressurePaInto } from '../../physics/airColumns.ts'
import { correctedReadings } from '../../series/corrections.ts'
import { HOUR_MS } from '../../series/hourly.ts'
import { instantOfLocalText } from '../../series/localTime.ts'
import { marksOfBits, UNUSABLE_BITS } from '../../series/marks.ts'
import type { ReadingColumns } from '../../series/quantities.ts'
import { thinned } from '../../series/thin.ts'
import { findCorrections } from '../../store/corrections.ts'
import { findMarkedHours, type HourBucket, readHourBuckets } from '../../store/hourBuckets.ts'
import { findHouse, findProbesOfHouse, findStationProbes } from '../../store/houses.ts'
import type { HouseTree } from '../../store/houseTree.ts'
import type { Database } from '../../store/open.ts'
import { readTree } from '../../store/readHouse.ts'
import { findEnds, readColumns } from '../../store/readings.ts'
import { readSettings } from '../../store/settings.ts'
import type { RiskSeries } from './riskSeries.ts'
import { isJudged, spotLetters } from './spotLetters.ts'

export type RecordShow = 'dewPointC' | 'vaporPressurePa' | 'rhPct' | 'tempC' | 'woodMcPct' | 'moldIndex'

type Column = (number | null)[]

export interface RecordViewLine {
  spot: string
  letter: string
  name: string
  role: 'inside' | 'outdoor' | 'living'
  basis: 'measured' | 'estimated'
  min: Column
  mean: Column
  max: Column
}

export interface RecordView {
  show: RecordShow
  from: number
  to: number
  recordFrom: number | null
  recordTo: number | null
  bucketMs: number
  at: number[]
  lines: RecordViewLine[]
  rain: { bucketMs: number; at: number[]; mm: Column } | null
  leftOut: { spot: string; from: number; to: number; reason: string }[]
  thresholds: { value: number; harm: string; name: string }[]
}

export interface RecordAsked {
  show: RecordShow
  from: number | null
  to: number | null
  rows: number
  /** Wood and mold are estimates over the whole record, made apart; null while they are not at hand. */
  risk: RiskSeries | null
}

interface Placed {
  probeId: number
  from: number
  to: number
}

interface Source {
  path: string
  name: string
  role: RecordViewLine['role']
  placed: Placed[]
}

const EVER = { from: 0, to: Number.MAX_SAFE_INTEGER }
/** A day of a gauge that is read once a day is never cut. */
const DAY_MS = 24 * HOUR_MS

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

async function sourcesOf(db: Database, houseId: number, tree: HouseTree): Promise<Source[]> {
  const ids = new Map((await findProbesOfHouse(db, houseId)).map(({ logger, probe, id }) => [`${logger}/${probe}`, id]))
  const instant = (text: string) => instantOfLocalText(text, tree.timeZone)
  const placed = new Map<string, Placed[]>()
  for (const logger of tree.loggers ?? []) {
    for (const probe of logger.probes) {
      const probeId = ids.get(`${logger.key}/${probe.key}`)
      if (probeId === undefined) continue
      for (const { spot, from, to } of probe.placements) {
        const own = placed.get(spot) ?? []
        own.push({ probeId, from: instant(from), to: to === undefined ? EVER.to : instant(to) })
        placed.set(spot, own)
      }
    }
  }
  const role = (space: HouseTree['spaces'][number]): Source['role'] =>
    isJudged(space) ? 'inside' : space.role === 'outdoor' ? 'outdoor' : 'living'
  const ofSpots = tree.spaces.flatMap((space) =>
    space.spots.map((spot): Source => {
      const path = `${space.key}/${spot.key}`
      return { path, name: spot.name, role: role(space), placed: placed.get(path) ?? [] }
    }),
  )
  // A station is drawn as outdoors where no spot of the house is outside.
  const outside = ofSpots.some((source) => source.role === 'outdoor' && source.placed.length > 0)
  const stations = outside ? [] : [...(await findStationProbes(db, houseId))]
  return [
    ...ofSpots.filter(({ placed: own }) => own.length > 0),
    ...stations.map(([key, probeId]): Source => {
      const name = tree.stations?.find((station) => station.key === key)?.name ?? key
      return { path: `station/${key}`, name, role: 'outdoor', placed: [{ probeId, ...EVER }] }
    }),
  ]
}

/** From the first to the last reading heard in the house; a station's own years do not count. */
async function recordSpan(db: Database, sources: readonly Source[]): Promise<{ from: number; to: number } | null> {
  const own = sources.filter(({ path }) => !path.startsWith('station/'))
  const placed = (own.length > 0 ? own : sources).flatMap((source) => source.placed)
  const spans = await findEnds(db, [...new Set(placed.map(({ probeId }) => probeId))])
  const heard = placed.flatMap(({ probeId, from, to }) => {
    const span = spans.find((one) => one.probeId === probeId)
    if (!span) return []
    const within = { from: Math.max(span.from, from), to: Math.min(span.to, to) }
    return within.to > within.from ? [within] : []
  })
  if (heard.length === 0) return null
  return { from: Math.min(...heard.map(({ from }) => from)), to: Math.max(...heard.map(({ to }) => to)) }
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

async function airLine(
  db: Database,
  { path, name, role, placed }: Source,
  show: Exclude<RecordShow, 'woodMcPct' | 'moldIndex'>,
  span: { from: number; to: number; bucketMs: number; at: number[] },
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
  show: Exclude<RecordShow, 'woodMcPct' | 'moldIndex'>,
  { from, bucketMs }: { from: number; bucketMs: number },
  line: RecordViewLine,
): Promise<void> {
  // Counted from the span's own start, so that two placements share the buckets; their ends are whole hours.
  const firstBucket = Math.floor((own.from - from) / bucketMs)
  const base = from + firstBucket * bucketMs
  const rows = await readHourBuckets(
    db,
    probeId,
    { from: base, to: Math.floor(own.to / HOUR_MS) * HOUR_MS, bucketMs },
    UNUSABLE_BITS,
  )
  for (const bucket of rows) {
    const k = firstBucket + bucket.bucket
    const [min, mean, max] = OF_BUCKET[show](bucket)
    if (mean === null || k >= line.mean.length) continue
    line.min[k] = rounded(Math.min(line.min[k] ?? Number.POSITIVE_INFINITY, min ?? mean))
    line.mean[k] = rounded(mean)
    line.max[k] = rounded(Math.max(line.max[k] ?? Number.NEGATIVE_INFINITY, max ?? mean))
  }
}

type Triple = [number | null, number | null, number | null]
const dew = (pa: number | null): number | null => (pa === null || pa <= 1 ? null : dewPointC(pa))

/** The dew point of a bucket is that of its mean vapor pressure; dew point rises with vapor, so ends match ends. */
const OF_BUCKET: Record<Exclude<RecordShow, 'woodMcPct' | 'moldIndex'>, (bucket: HourBucket) => Triple> = {
  tempC: ({ tempMinC, tempC, tempMaxC }) => [tempMinC, tempC, tempMaxC],
  rhPct: ({ rhMinPct, rhPct, rhMaxPct }) => [rhMinPct, rhPct, rhMaxPct],
  vaporPressurePa: ({ vaporMinPa, vaporPa, vaporMaxPa }) => [vaporMinPa, vaporPa, vaporMaxPa],
  dewPointC: ({ vaporMinPa, vaporPa, dewPointMaxC }) => [dew(vaporMinPa), dew(vaporPa), dewPointMaxC],
}

/** Short spans show every reading, with its corrections. */
async function fillFromReadings(
  db: Database,
  probeId: number,
  own: { from: number; to: number },
  show: Exclude<RecordShow, 'woodMcPct' | 'moldIndex'>,
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

function riskLines(
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

/** The gauge outdoors that covers most buckets, else a station's. */
async function rainOf(
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
    const rows = await readHourBuckets(db, probeId, { from, to: span.to, bucketMs }, 0)
    const known = rows.filter(({ rainMm }) => rainMm !== null).length
    if (known > (best?.known ?? 0)) best = { rows, known }
  }
  if (best === null) return null
  const at = bucketStarts({ from, to: from + Math.ceil((span.to - from) / bucketMs) * bucketMs, bucketMs })
  const mm: Column = at.map(() => null)
  for (const { bucket, rainMm } of best.rows)
    if (bucket < mm.length) mm[bucket] = rainMm === null ? null : rounded(rainMm)
  return { bucketMs, at, mm }
}

const REASONS: Record<string, string> = {
  stuck: 'the sensor did not change at all',
  spike: 'a jump no air makes',
  'unit swap': 'the readings came in another unit',
}
const VISIT_HOURS = 2

async function leftOutOf(
  db: Database,
  sources: readonly Source[],
  tree: HouseTree,
  span: { from: number; to: number },
): Promise<RecordView['leftOut']> {
  const leftOut: RecordView['leftOut'] = []
  for (const { path, placed } of sources) {
    for (const { probeId, from, to } of placed) {
      const own = { from: Math.max(span.from, from), to: Math.min(span.to, to) }
      if (own.to <= own.from) continue
      for (const run of await findMarkedHours(db, probeId, own, UNUSABLE_BITS)) {
        const kinds = marksOfBits(run.bits).map((kind) => REASONS[kind] ?? kind)
        leftOut.push({ spot: path, from: run.from, to: run.to, reason: kinds.join(', ') })
      }
    }
  }
  const instant = (text: string) => instantOfLocalText(text, tree.timeZone)
  for (const { kind, from, to } of tree.events ?? []) {
    if ((kind !== 'visit' && kind !== 'logger touched') || !from.includes('T')) continue
    const at = instant(from)
    const end = to === undefined ? at + VISIT_HOURS * HOUR_MS : instant(to)
    if (at >= span.to || end <= span.from) continue
    for (const { path, role } of sources)
      if (role === 'inside') leftOut.push({ spot: path, from: at, to: end, reason: kind })
  }
  return leftOut
}

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

const rounded = (value: number): number => Math.round(value * 100) / 100
