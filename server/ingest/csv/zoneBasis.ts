/** In which zone a file's wall-clock times are. */

import { dayOf } from './instants.ts'
import type { Layout } from './layout.ts'
import { addTimeText, clearTimeText, timeText } from './timeText.ts'
import type { Answers, TimeZoneBasis } from './understanding.ts'
import { zoneNamed } from './words.ts'
import { isKnownZone, offsetName, standardOffsetMs, zoneOffset } from './zones.ts'

export interface ZoneFound {
  zone: string
  basis: TimeZoneBasis
  /** Two clocks that nothing tells apart. */
  twoClocks?: boolean
}

/** What a person answered, else what the file states (in the cells, the header, above the table), else the house's zone. */
export function zoneOfFile(layout: Layout, houseZone: string, answers: Answers): ZoneFound {
  const { time } = layout
  if (answers.timeZone) return { zone: answers.timeZone === 'house' ? houseZone : answers.timeZone, basis: 'asked' }
  const hasOffsetColumn = [...time.roles.values()].includes('offset')
  if (time.offsetInText || hasOffsetColumn) return { zone: 'UTC', basis: 'offset in text' }
  const stated = time.zone ?? layout.stationZone ?? zoneAbove(layout.table.preamble)
  if (stated) return { zone: stated, basis: basisOf(stated) }
  const pair = otherClock(layout)
  if (!pair) return { zone: houseZone, basis: 'house zone' }
  const offset = zoneOffset(houseZone)
  const standard = standardOffsetMs(houseZone)
  // The first clock minus the second is minus the offset when the first is UTC and the second local time.
  if (pair.differenceMs === -standard || pair.differenceMs === -offset(pair.at)) return { zone: 'UTC', basis: 'UTC' }
  if (pair.differenceMs === standard || pair.differenceMs === offset(pair.at)) {
    return { zone: offsetName(standard), basis: 'fixed offset' }
  }
  return { zone: houseZone, basis: 'house zone', twoClocks: true }
}

const basisOf = (zone: string): TimeZoneBasis =>
  zone === 'UTC' ? 'UTC' : /^[+-]/.test(zone) ? 'fixed offset' : 'named zone'

/** A line above the table that speaks of the zone. */
function zoneAbove(preamble: readonly string[][]): string | null {
  for (const cells of preamble) {
    const text = cells.join(' ')
    const iana = cells
      .flatMap((cell) => cell.split(/[\s:]+/))
      .find((word) => /^[A-Z][A-Za-z]+\/[A-Z][A-Za-z_/]+$/.test(word) && isKnownZone(word))
    if (iana) return iana
    if (!/zone|utc|gmt|time base|fuseau|huso|fuso|zeit|aikavyohyke/i.test(text)) continue
    const zone = zoneNamed(text)
    if (zone) return zone
  }
  return null
}

/** A second date and clock beside the first, always the same whole number of quarter hours away. */
function otherClock(layout: Layout): { differenceMs: number; at: number } | null {
  const { kinds, table, time } = layout
  const dateAt = [...time.roles].find(([, role]) => role === 'date')?.[0]
  const clockAt = [...time.roles].find(([, role]) => role === 'clock')?.[0]
  if (dateAt === undefined || clockAt === undefined) return null
  const sameKind = (index: number, as: number) =>
    index > clockAt && kinds[index]!.kind === kinds[as]!.kind && kinds[index]!.share >= 0.8
  const otherDate = kinds.findIndex((_, i) => sameKind(i, dateAt))
  const otherTime = kinds.findIndex((_, i) => i > otherDate && sameKind(i, clockAt))
  if (otherDate < 0 || otherTime < 0) return null
  const instant = (cells: readonly string[], date: number, clock: number) => {
    clearTimeText()
    for (const text of [cells[date] ?? '', cells[clock] ?? '']) addTimeText(Buffer.from(text), 0, text.length)
    const { groups } = timeText
    return (dayOf(groups[0]!, groups[1]!, groups[2]!) * 1440 + groups[3]! * 60 + groups[4]!) * 60_000
  }
  const differences = table.rows
    .slice(0, 50)
    .map(({ cells }) => instant(cells, dateAt, clockAt) - instant(cells, otherDate, otherTime))
  const [first] = differences
  if (first === undefined || first === 0 || first % 900_000 !== 0 || differences.some((d) => d !== first)) return null
  return { differenceMs: first, at: instant(table.rows[0]!.cells, dateAt, clockAt) }
}
