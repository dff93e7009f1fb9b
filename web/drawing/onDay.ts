/** What a house was on one day: levels from its runs, values from its record. Pure. */
import type { HousePage } from '../../server/http/contract/page.ts'
import type { RecordAnswer } from '../../server/http/contract/record.ts'
import type { Level } from '../../server/http/contract/words.ts'
import { localDate } from '../base/time.ts'
import { bucketAt } from '../record/picture.ts'

type Spot = HousePage['spaces'][number]['spots'][number]

/** @param at an instant of the day; at the end of the record the level is the one that is told now */
export function levelOn(spot: Spot, at: number, page: Pick<HousePage, 'recordTo' | 'house'>): Level | null {
  if (page.recordTo === null || at >= page.recordTo - 1) return spot.level
  const date = localDate(at, page.house.timeZone)
  return spot.runs.find(({ from, to }) => date >= from && date <= to)?.level ?? null
}

/** Mean of a spot's line in the bucket of the instant; null where nothing was measured. */
export function valueOn(record: RecordAnswer | null, spot: string, at: number): number | null {
  if (record === null) return null
  const line = record.lines.find((one) => one.spot === spot)
  const k = bucketAt(record, Math.min(at, record.to - 1))
  return (k < 0 ? null : line?.mean[k]) ?? null
}
