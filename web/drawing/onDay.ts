/** What a house was on one day: levels from its runs, values from its record. Pure. */
import type { HousePage } from '../../server/http/contract/page.ts'
import type { RecordAnswer } from '../../server/http/contract/record.ts'
import type { Level, Units } from '../../server/http/contract/words.ts'
import { ageText, localDate } from '../base/time.ts'
import { withUnit } from '../base/units.ts'
import { bucketAt } from '../record/picture.ts'

export type PageSpot = HousePage['spaces'][number]['spots'][number]

/** Daily columns of what can be shown of a day in the past; null until they are loaded. */
export interface DayRecords {
  dewPointC: RecordAnswer | null
  rhPct: RecordAnswer | null
  woodMcPct: RecordAnswer | null
}

/** At the end of the record the page itself tells levels and values. */
export const isNow = ({ recordTo }: Pick<HousePage, 'recordTo'>, at: number): boolean =>
  recordTo === null || at >= recordTo - 1

/** @param at an instant of the day; at the end of the record the level is the one that is told now */
export function levelOn(spot: PageSpot, at: number, page: Pick<HousePage, 'recordTo' | 'house'>): Level | null {
  if (isNow(page, at)) return spot.level
  const date = localDate(at, page.house.timeZone)
  return spot.runs.find(({ from, to }) => date >= from && date <= to)?.level ?? null
}

/** Mean of a spot's line in the bucket of the instant; null where nothing was measured. */
function valueOn(record: RecordAnswer | null, spot: string, at: number): number | null {
  if (record === null) return null
  const line = record.lines.find((one) => one.spot === spot)
  const k = bucketAt(record, Math.min(at, record.to - 1))
  return (k < 0 ? null : line?.mean[k]) ?? null
}

/** Only what pins read; an estimate has no place on the drawing. */
function pinsOn(wood: RecordAnswer | null, spot: string, at: number): number | null {
  const line = wood?.lines.find((one) => one.spot === spot)
  return line?.basis === 'measured' ? valueOn(wood, spot, at) : null
}

/** Wood first, for it is what is guarded; a silent spot says so before its last values. */
export function linesOf(spot: PageSpot, at: number, page: HousePage, records: DayRecords, units: Units): string[] {
  const now = isNow(page, at)
  const wood = now ? (spot.last?.woodMcPct ?? null) : pinsOn(records.woodMcPct, spot.spot, at)
  const dewPointC = now ? (spot.last?.dewPointC ?? null) : valueOn(records.dewPointC, spot.spot, at)
  const rhPct = now ? (spot.last?.rhPct ?? null) : valueOn(records.rhPct, spot.spot, at)
  const silent = now && spot.level === 'silent' && spot.lastHeardAt !== null
  return [
    ...(silent ? [`last heard ${ageText(page.asOf - spot.lastHeardAt!)}`] : []),
    ...(wood === null ? [] : [withUnit(wood, 'woodMcPct', units).replace('% moisture', '% wood')]),
    ...(dewPointC === null ? [] : [`dew point ${withUnit(dewPointC, 'tempC', units)}`]),
    ...(rhPct === null ? [] : [withUnit(rhPct, 'rhPct', units)]),
  ]
}
