/** One fetch of a station: its table, read as it was settled, through the one gate into its probe. Safe to repeat. */
import { createHash } from 'node:crypto'
import { QUANTITY_NAMES, type Quantity, type ReadingColumns } from '../../series/quantities.ts'
import type { Database } from '../../store/open.ts'
import type { StationRow } from '../../store/stations.ts'
import { readRows } from '../csv/rows.ts'
import type { Answers, ReadingsBatch, Source, Understanding } from '../csv/understanding.ts'
import { lookAtSource } from '../import.ts'
import type { Intake } from '../intake.ts'
import { isRainOrOutdoor } from '../stationQuantities.ts'
import { type FetchedText, FetchRefused, MOST_BYTES } from './fetchText.ts'
import { openPoints, probesOfStation } from './mapping.ts'
import { fillStationUrl, type Span } from './stationUrl.ts'

export interface StationFetchDeps {
  db: Database
  intake: Pick<Intake, 'receiveColumns'>
  now: () => number
  fetchText: (asked: { url: string; tag?: string | null; signal?: AbortSignal }) => Promise<FetchedText>
}

export interface StationCounts {
  stored: number
  /** There already, with the same values. */
  repeated: number
  filled: number
  /** There already with another value, which stays. */
  differs: number
  refused: number
}

export type StationOutcome =
  | ({ state: 'stored'; tag: string | null; newestAt: number | null; quantities: Quantity[] } & StationCounts)
  | { state: 'unchanged' }
  /** Nothing of it is stored before a person has answered. */
  | { state: 'needs an answer'; problem: string }
  /** It was reached, and holds no rows. */
  | { state: 'empty'; problem: string }
  | { state: 'failed'; problem: string }

/** Begins what a station says while it waits for a person. */
export const NEEDS_ANSWER = 'Needs an answer: '

const EMPTY = ['EMPTY', 'NO_ROWS']
const MINUTE_MS = 60_000

/**
 * @param span of the readings wanted, where the address can ask for one
 * @param again sends the tag of the last answer, so that what has not changed is not sent again
 * @throws what the signal aborts with, and StoreError on a full disk
 */
export async function fetchStation(
  deps: StationFetchDeps,
  station: StationRow,
  span: Span,
  { again, signal }: { again: boolean; signal?: AbortSignal },
): Promise<StationOutcome> {
  const { config } = station
  if (config.url === null)
    return { state: 'failed', problem: 'No address is entered to fetch from. Enter it, or bring its files in by hand.' }
  const url = fillStationUrl(config.url, span, config.timeZone)
  let fetched: FetchedText
  try {
    fetched = await deps.fetchText({ url, tag: again ? tagFor(url, station.fetch?.tag ?? null) : null, signal })
  } catch (error) {
    if (!(error instanceof FetchRefused)) throw error
    return { state: 'failed', problem: error.message }
  }
  if (fetched.state === 'unchanged') return fetched
  const source = sourceOf(fetched.name, fetched.bytes)
  const asked = { timeZone: config.timeZone, answers: config.answers as Answers, signal, maxUnzippedBytes: MOST_BYTES }
  const { look, answers } = await lookAtSource(deps, source, asked)
  if (!look.ok) {
    const problem = `${look.refusal.message} ${look.refusal.hint}`
    return { state: EMPTY.includes(look.refusal.code) ? 'empty' : 'failed', problem }
  }
  const open = openPoints(look, answers, { fileProbes: config.fileProbes, quantities: station.quantities })
  if (open.length > 0) return { state: 'needs an answer', problem: `${NEEDS_ANSWER}${open.join(' ')}` }
  const { probes, quantities } = probesOfStation(look.understanding, config.fileProbes)
  const wanted = { probes, newest: deps.now() - config.holdBackMin * MINUTE_MS }
  const stored = await storeRows(deps, station.probeId, source, look.understanding, wanted, signal)
  if ('problem' in stored) return stored
  return { state: 'stored', ...stored, quantities, tag: fetched.tag === null ? null : `${keyOf(url)} ${fetched.tag}` }
}

/** A tag belongs to one address: that of yesterday's span says nothing of today's. */
const keyOf = (url: string): string => createHash('sha256').update(url).digest('hex').slice(0, 16)
function tagFor(url: string, kept: string | null): string | null {
  return kept?.startsWith(`${keyOf(url)} `) ? kept.slice(17) : null
}

export const sourceOf = (name: string, bytes: Buffer): Source => ({
  name,
  sizeBytes: bytes.length,
  async *open() {
    yield bytes
  },
})

async function storeRows(
  { intake }: StationFetchDeps,
  probeId: number,
  source: Source,
  understanding: Understanding,
  { probes, newest }: { probes: string[]; newest: number },
  signal: AbortSignal | undefined,
): Promise<(StationCounts & { newestAt: number | null }) | { state: 'failed'; problem: string }> {
  const counts: StationCounts = { stored: 0, repeated: 0, filled: 0, differs: 0, refused: 0 }
  let newestAt: number | null = null
  const rows = readRows(source, understanding, { signal, maxUnzippedBytes: MOST_BYTES })
  for (;;) {
    const next = await rows.next()
    if (next.done) {
      const { brokeOff } = next.value
      return brokeOff ? { state: 'failed', problem: `${brokeOff.message} ${brokeOff.hint}` } : { ...counts, newestAt }
    }
    const batch = next.value
    if (batch.kind === 'refused') {
      counts.refused += batch.lines.length
      continue
    }
    if (!probes.includes(batch.probeKey)) continue
    const columns = outdoorColumns(batch, newest)
    if (columns.at.length === 0) continue
    const receipt = await intake.receiveColumns(probeId, columns)
    counts.stored += receipt.stored
    counts.repeated += receipt.repeated
    counts.filled += receipt.filled
    counts.differs += new Set(receipt.differs.map(({ row }) => row)).size
    counts.refused += receipt.refused.length
    newestAt = columns.at.reduce((latest, at) => Math.max(latest, at), newestAt ?? Number.NEGATIVE_INFINITY)
  }
}

/** Rows not younger than `newest` that tell the weather; what else the table holds is left out. */
function outdoorColumns({ at, columns }: ReadingsBatch, newest: number): ReadingColumns {
  const told = QUANTITY_NAMES.filter((quantity) => isRainOrOutdoor(quantity) && columns[quantity] !== undefined)
  const rows = [...at.keys()].filter(
    (row) => at[row]! <= newest && told.some((quantity) => !Number.isNaN(columns[quantity]![row]!)),
  )
  const pick = (column: Float64Array) => Float64Array.from(rows, (row) => column[row]!)
  return { at: pick(at), ...Object.fromEntries(told.map((quantity) => [quantity, pick(columns[quantity]!)])) }
}
