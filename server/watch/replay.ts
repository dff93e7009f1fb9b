/**
 * What the watches would have raised over stored readings, had every reading been heard at its instant and somebody
 * looked at every full hour. Nothing is stored. Marks that take days to show (a stuck sensor) are known from the start
 * here, and what rests on findings is left out, for they were made once, at the end.
 */
import { HOUR_MS } from '../series/hourly.ts'
import type { HouseRow } from '../store/houses.ts'
import type { Database } from '../store/open.ts'
import { yieldToOthers } from '../store/unitsOfWork.ts'
import { stepHour, tracksFrom } from './fold.ts'
import type { Stretch } from './house.ts'
import { type LedgerNotice, ownerToldIn, takeDown } from './ledger.ts'
import { readStretch, readWatched, type WatchedRecord } from './readWatched.ts'
import { settle } from './settle.ts'
import { type HeardLogger, stillConditions } from './stillness.ts'

const STRETCH_MS = 30 * 24 * HOUR_MS

export interface Replayed {
  house: string
  from: number
  to: number
  notices: LedgerNotice[]
}

/** Rules see the hours before `from` too; what they held then is no news. Without a reading there is nothing to replay. */
export async function replayHouse(
  db: Database,
  row: HouseRow,
  span: { from: number | null; to: number | null },
): Promise<Replayed | null> {
  const record = await readWatched(db, row)
  if (record.begin === null || record.end === null) return null
  const from = Math.max(span.from ?? record.begin, record.begin)
  const to = Math.min(span.to ?? record.end, record.end)
  const notices: LedgerNotice[] = []
  const tracks = tracksFrom(record.begin)
  const heard = new Map<string, HeardLogger>()
  while (tracks.at + HOUR_MS <= to) {
    const end = Math.min(Math.floor(to / HOUR_MS) * HOUR_MS, tracks.at + STRETCH_MS)
    const stretch = await readStretch(db, record, tracks.at, end)
    for (let i = 0; i < stretch.hours; i++) {
      const ended = stepHour(tracks, record.house, stretch, i)
      hear(heard, record, stretch, i)
      const now = tracks.at
      if (now < from) continue
      const { held } = record.house
      const conditions = [
        ...Object.values(tracks.open),
        ...stillConditions({ loggers: [...heard.values()], stations: [] }, now, held),
      ]
      const latest = notices.filter(({ clearedAt }) => clearedAt === null || now - clearedAt < 2 * HOUR_MS)
      const news = ended.filter(({ until }) => until >= from)
      takeDown(
        notices,
        settle({ now, held, conditions, ended: news, notices: latest, ownerToldAt: ownerToldIn(notices) }),
      )
    }
    await yieldToOthers()
  }
  return { house: row.key, from, to, notices }
}

/** Every spot counts as a logger of its own that reports by itself. */
function hear(heard: Map<string, HeardLogger>, { house }: WatchedRecord, stretch: Stretch, i: number): void {
  for (const { path, name, spaceName } of house.spots) {
    const hours = stretch.spots[path]?.hours
    if (hours === undefined || hours.count[i]! === 0) continue
    const meters = (heard.get(path)?.meters ?? false) || !Number.isNaN(hours.powerW[i]!)
    const heardAt = stretch.from + (i + 1) * HOUR_MS
    heard.set(path, {
      logger: path,
      loggerName: name,
      path,
      spotName: name,
      spaceName,
      heardAt,
      intervalS: null,
      meters,
    })
  }
}
