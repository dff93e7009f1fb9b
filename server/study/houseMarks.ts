/** Faults that show only beside the other spots of a space, and hours in which people were there. */
import { clockShiftMarks } from '../series/clockQuality.ts'
import type { LocalDay } from '../series/days.ts'
import { movedMarks, type ProbeMark, sunStruckMarks, unitSwapMarks } from '../series/groupQuality.ts'
import { HOUR_MS, type HourSpan } from '../series/hourly.ts'
import { markBit, setMarkBits } from '../series/marks.ts'
import { maskSun, maskUnusable } from '../series/placedHours.ts'
import type { HouseTree } from '../store/houseTree.ts'
import { visitEnd } from '../store/visits.ts'
import type { StudiedSpot } from './studiedHouse.ts'

/** Finds them, sets their bits on the spots' hours and takes out what they spoil. */
export function markAgainstOthers(
  spots: readonly StudiedSpot[],
  stationTempC: Float64Array | undefined,
  days: readonly LocalDay[],
  gridFrom: number,
): ProbeMark[] {
  const marks: ProbeMark[] = []
  for (const space of new Set(spots.map((spot) => spot.space))) {
    const group = spots
      .filter((spot) => spot.space === space)
      .map(({ path, hours }) => ({ key: path, tempC: hours.tempC }))
    if (space.role === 'outdoor') marks.push(...group.flatMap((one) => sunStruckMarks(one, gridFrom, stationTempC)))
    else marks.push(...unitSwapMarks(group, gridFrom), ...clockShiftMarks(group, gridFrom), ...movedMarks(group, days))
  }
  for (const { path, hours } of spots) {
    const own = marks.filter((mark) => mark.probe === path)
    if (own.length === 0) continue
    setMarkBits(hours.marks, hours.at, own)
    maskUnusable(hours)
    maskSun(hours, markBit('sun-struck'))
  }
  return marks
}

/**
 * 1 for hours in which somebody was in the house's spaces; a visit known only by its date leaves this to the spike marks. One
 * that nobody has ended yet reaches to the last hour heard, and no further than its longest.
 */
export function visitHours(
  tree: HouseTree,
  grid: HourSpan & { hours: number },
  instant: (text: string) => number,
): Uint8Array {
  const out = new Uint8Array(grid.hours)
  for (const event of tree.events ?? []) {
    if ((event.kind !== 'visit' && event.kind !== 'logger touched') || !event.from.includes('T')) continue
    const from = instant(event.from)
    const to = visitEnd(event, instant)
    const first = Math.max(0, Math.floor((from - grid.from) / HOUR_MS))
    out.fill(1, Math.min(first, grid.hours), Math.max(0, Math.min(grid.hours, Math.ceil((to - grid.from) / HOUR_MS))))
  }
  return out
}
