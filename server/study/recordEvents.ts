/** What went wrong with the loggers, and freezes, as typed and dated data; sentences for people are made elsewhere. */
import { type FreezingLimits, freezing } from '../moisture/freezing.ts'
import { HOUR_MS } from '../series/hourly.ts'
import { markBit } from '../series/marks.ts'
import { GAP_EVENT_MS } from '../series/quality.ts'
import type { StudiedHouse, StudiedSpot } from './studiedHouse.ts'

export type RecordEventKind = 'stuck' | 'gap' | 'clock shift' | 'unit swap' | 'freeze'

export interface RecordEvent {
  kind: RecordEventKind
  from: number
  to: number
  /** Path of the spot; of a freeze, the spot that froze first. */
  spot: string
}

/** Stuck stretches this close are one fault. */
const JOIN_MS = 6 * HOUR_MS

/** In order of time. */
export function recordEvents(house: StudiedHouse, limits: FreezingLimits): RecordEvent[] {
  const heard = house.spots.filter(({ hours }) => hours.count.some((count) => count > 0))
  const events = [
    ...heard.flatMap((spot) => [...stuckEvents(spot), ...gapEvents(spot, house.grid.to)]),
    ...house.marks.flatMap(({ kind, probe, from, to }): RecordEvent[] =>
      kind === 'clock shift' || kind === 'unit swap' ? [{ kind, from, to, spot: probe }] : [],
    ),
    ...freezeEvents(house, limits),
  ]
  return events.sort((a, b) => a.from - b.from)
}

function stuckEvents({ path, hours }: StudiedSpot): RecordEvent[] {
  const bit = markBit('stuck')
  const events: RecordEvent[] = []
  for (let i = 0; i < hours.at.length; i++) {
    if ((hours.marks[i]! & bit) === 0) continue
    const at = hours.at[i]!
    const last = events.at(-1)
    if (last && at - last.to <= JOIN_MS) last.to = at + HOUR_MS
    else events.push({ kind: 'stuck', from: at, to: at + HOUR_MS, spot: path })
  }
  return events
}

/** Silence of more than five days between two readings, or from the last one until the others' end. */
function gapEvents({ path, hours }: StudiedSpot, gridTo: number): RecordEvent[] {
  const events: RecordEvent[] = []
  let last: number | null = null
  const silence = (to: number) => {
    if (last !== null && to - last > GAP_EVENT_MS) events.push({ kind: 'gap', from: last, to, spot: path })
  }
  for (let i = 0; i < hours.at.length; i++) {
    if (hours.count[i]! === 0) continue
    silence(hours.at[i]!)
    last = hours.at[i]! + HOUR_MS
  }
  silence(gridTo)
  return events
}

function freezeEvents(house: StudiedHouse, limits: FreezingLimits): RecordEvent[] {
  const spots = house.spots
    .filter(({ space }) => space.role === 'crawl space' || space.role === 'basement')
    .map(({ path, hours }) => ({
      key: path,
      tempC: hours.tempC,
      rhPct: hours.rhPct,
      vaporPressurePa: hours.vaporPressurePa,
    }))
  const { from: startAt, hours } = house.grid
  const observed = { startAt, hours, timeZone: house.tree.timeZone, spots, outdoor: null, rain: null }
  return freezing(observed, limits).events.map(({ from, to, spots: cold }) => ({
    kind: 'freeze' as const,
    from,
    to,
    spot: cold[0]!,
  }))
}
