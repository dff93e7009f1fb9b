/** Reads what the schedule of regular letters turns on, and what a summary tells of its span. */
import type { Thresholds } from '../advice/defaults.ts'
import { findHeardLoggers } from '../store/heard.ts'
import type { HouseRow } from '../store/houses.ts'
import { noticesWrittenTo } from '../store/noticeNews.ts'
import { findNoticesSince, type NoticeRow } from '../store/notices.ts'
import type { Database } from '../store/open.ts'
import { findFirstHeard, readRain } from '../store/regularLetters.ts'
import { bigRains } from './bigRains.ts'
import { ownerMatter } from './letters/ownerMatters.ts'
import { lowerFirst } from './letters/phrases.ts'
import type { NewsFacts } from './letters/regular.ts'
import type { RegularHouse } from './letters/regularHouse.ts'
import { forTheFirm, type HouseTold, type ReaderTold } from './letters/told.ts'
import { readStretch, readWatched, type WatchedRecord } from './readWatched.ts'
import type { KeptBody, Watch } from './types.ts'

const HOUR_MS = 3_600_000
const DAY_MS = 24 * HOUR_MS
/** A day of which less is known has no mean. */
const LEAST_HOURS = 18

export interface RegularFacts {
  house: RegularHouse
  held: Thresholds
  record: WatchedRecord
  /** Heard under the house. */
  loggers: number
  /** Of all that report by themselves. */
  silentLoggers: number
}

/** @throws ThresholdError when the settings of the firm or the house cannot hold */
export async function readRegular(db: Database, row: HouseRow, now: number): Promise<RegularFacts> {
  const record = await readWatched(db, row)
  const { held } = record.house
  const firstHeardAt = await findFirstHeard(db, row.id)
  const heard = await findHeardLoggers(db, row.id)
  const below = new Set(record.house.spots.filter((spot) => spot.below).map(({ path }) => path))
  const under = heard.filter(({ path }) => below.has(path))
  const since = Math.min(firstHeardAt ?? now, ...record.works.map(({ from }) => from))
  const weather = [...new Set([...record.outdoors.map(({ probeId }) => probeId), ...record.stations])]
  const rain = await readRain(db, weather, since - DAY_MS, now)
  return {
    house: {
      timeZone: row.timeZone,
      latitude: row.latitude,
      firstHeardAt,
      reporting: under.length,
      works: record.works,
      dehumidifierAtStart: record.dehumidifierAtStart,
      bigRains: bigRains(rain, held.bigRainMm),
    },
    held,
    record,
    loggers: under.filter(({ heardAt }) => heardAt !== null).length,
    silentLoggers: heard.filter(({ heardAt }) => heardAt === null || now - heardAt >= held.silentHours * HOUR_MS)
      .length,
  }
}

/** The spot under the house whose air was dampest, by its dampest day. */
export interface Dampest {
  path: string
  name: string
  spaceKey: string
  rhPct: number
}

export async function readSpan(
  db: Database,
  record: WatchedRecord,
  { from, to }: { from: number; to: number },
): Promise<{ dampest: Dampest | null; rainMm: number | null }> {
  const stretch = await readStretch(db, record, Math.floor(from / HOUR_MS) * HOUR_MS, Math.ceil(to / HOUR_MS) * HOUR_MS)
  let dampest: Dampest | null = null
  for (const { path, name, spaceKey, below } of record.house.spots) {
    if (!below) continue
    const rhPct = highestDay(stretch.spots[path]!.hours.rhPct)
    if (rhPct !== null && (dampest === null || rhPct > dampest.rhPct)) dampest = { path, name, spaceKey, rhPct }
  }
  const rain = stretch.rainMm.filter((mm) => !Number.isNaN(mm))
  return { dampest, rainMm: rain.length === 0 ? null : rain.reduce((sum, mm) => sum + mm, 0) }
}

/** Highest mean of 24 hours; null where no day is known well enough. */
function highestDay(hours: Float64Array): number | null {
  let highest: number | null = null
  for (let start = 0; start + 24 <= hours.length; start += 24) {
    const known = hours.subarray(start, start + 24).filter((value) => !Number.isNaN(value))
    if (known.length < LEAST_HOURS) continue
    const mean = known.reduce((sum, value) => sum + value, 0) / known.length
    if (highest === null || mean > highest) highest = mean
  }
  return highest
}

/** What opened and ended in a span for an owner, and which of it they got no letter about. */
export async function readMatters(
  db: Database,
  house: HouseTold,
  reader: Pick<ReaderTold, 'personId' | 'units'>,
  { from, to }: { from: number; to: number },
): Promise<Pick<NewsFacts, 'opened' | 'ended' | 'unwritten'>> {
  const rows = (await findNoticesSince(db, house.id, from)).filter((row) => row.openedAt < to && isForOwners(row))
  const written = await noticesWrittenTo(db, reader.personId, house.id)
  const within = (at: number | null) => at !== null && at >= from && at < to
  const wordsOf = ({ watch, urgency, sinceAt, body }: NoticeRow) =>
    ownerMatter({
      told: { watch: watch as Watch, urgency, sinceAt, body: body as KeptBody },
      house,
      reader,
      firm: { phone: null },
    })
  const words = (found: NoticeRow[], text: (matter: ReturnType<typeof wordsOf>) => string) => [
    ...new Set(found.map((row) => lowerFirst(text(wordsOf(row))))),
  ]
  return {
    opened: words(
      rows.filter(({ openedAt }) => within(openedAt)),
      ({ subject }) => subject,
    ),
    ended: words(
      rows.filter(({ clearedAt }) => within(clearedAt)),
      ({ cleared }) => cleared.subject,
    ),
    unwritten: words(
      rows.filter(({ id }) => !written.has(id)),
      ({ subject }) => subject,
    ),
  }
}

const isForOwners = ({ watch, urgency, body }: NoticeRow): boolean =>
  urgency !== 'note' && !forTheFirm(watch as Watch) && (body as KeptBody).audience.includes('owner')
