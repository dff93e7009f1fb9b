/**
 * Reads when the dehumidifier of a house ran: from a power meter in the space, else from the fastest RH there. Readings
 * as stored are only asked for where the hours say that they came minutes apart: a year at five minutes is 105,000 rows.
 */
import { countRuns, type MachineRuns } from '../../moisture/machineRuns.ts'
import { correctedReadings } from '../../series/corrections.ts'
import { HOUR_MS } from '../../series/hourly.ts'
import { instantOfLocalText } from '../../series/localTime.ts'
import { findCorrections } from '../../store/corrections.ts'
import { findProbesOfHouse } from '../../store/houses.ts'
import type { Database } from '../../store/open.ts'
import { readColumns } from '../../store/readings.ts'
import type { MachineReadings, StudiedHouse, StudiedSpot } from '../studiedHouse.ts'
import { balanceSpace } from './balanceRecord.ts'

/** Slower readings show no short cycling at any line that may be set (two starts an hour at least). */
const SLOWEST_MINUTES = 15
/** A few beyond what the median says: a logger may miss some. */
const LEAST_SHARE_OF_COUNT = 0.9

/** The house with its machine's running hours; as it was when it has no machine that is known of. */
export async function withMachineReadings(db: Database, house: StudiedHouse): Promise<StudiedHouse> {
  const space = balanceSpace(house)
  if (space === undefined) return house
  const spots = house.spots.filter((spot) => spot.space.key === space.key)
  const byPower = spots.find(({ hours }) => hours.powerW.some((w) => !Number.isNaN(w)))
  const spans = machineSpans(house)
  const spot = byPower ?? (spans.length > 0 ? fastest(spots) : undefined)
  if (spot === undefined) return house
  const everyMinutes = usualMinutes(spot)
  const told = everyMinutes <= SLOWEST_MINUTES / LEAST_SHARE_OF_COUNT
  const found = told ? await runsAt(db, house, spot, byPower ? 'power' : 'humidity') : null
  const runs = found && (byPower ? found : within(found, house, spot, spans))
  return { ...house, machine: { everyMinutes: runs?.everyMinutes ?? everyMinutes, runs } satisfies MachineReadings }
}

interface Span {
  from: number
  to: number
}

/** When a dehumidifier stood in the house, as it was entered. */
function machineSpans({ tree, works, grid }: StudiedHouse): Span[] {
  const spans = works
    .filter(
      ({ kind, details }) =>
        kind === 'dehumidifier' ||
        details?.parts?.includes('dehumidifier') ||
        details?.ratedLPerDay !== undefined ||
        details?.setPointRhPct !== undefined,
    )
    .map(({ from, to }) => ({ from, to: to ?? grid.to }))
  return tree.facts?.dehumidifierAtStart ? [{ from: grid.from, to: grid.to }, ...spans] : spans
}

/** Usual time between the readings of a spot, by how many an hour holds. */
function usualMinutes({ hours }: StudiedSpot): number {
  const counts = hours.count.filter((n) => n > 0).sort()
  return counts.length === 0 ? Number.POSITIVE_INFINITY : 60 / counts[counts.length >> 1]!
}

/** Of those read most often the one whose RH swings most within an hour: it hangs nearest to the machine. */
function fastest(spots: readonly StudiedSpot[]): StudiedSpot | undefined {
  const heard = spots.filter(({ hours }) => hours.rhPct.some((rh) => !Number.isNaN(rh)))
  const best = Math.min(...heard.map(usualMinutes))
  const swing = ({ hours }: StudiedSpot) => {
    const swings = hours.rhMaxPct.map((high, h) => high - hours.rhMinPct[h]!).filter(Number.isFinite)
    return swings.reduce((sum, s) => sum + s, 0) / swings.length
  }
  return heard.filter((spot) => usualMinutes(spot) <= best * 1.1).sort((a, b) => swing(b) - swing(a))[0]
}

async function runsAt(
  db: Database,
  { id, tree, grid }: StudiedHouse,
  { path }: StudiedSpot,
  basis: MachineRuns['basis'],
): Promise<MachineRuns | null> {
  const ids = new Map((await findProbesOfHouse(db, id)).map((p) => [`${p.logger}/${p.probe}`, p.id]))
  const parts: MachineRuns[] = []
  for (const logger of tree.loggers ?? []) {
    for (const probe of logger.probes) {
      for (const placement of probe.placements.filter(({ spot }) => spot === path)) {
        const probeId = ids.get(`${logger.key}/${probe.key}`)
        if (probeId === undefined) continue
        const from = instantOfLocalText(placement.from, tree.timeZone)
        const to = placement.to === undefined ? grid.to : instantOfLocalText(placement.to, tree.timeZone)
        const raw = await readColumns(db, probeId, Math.max(from, grid.from), Math.min(to, grid.to))
        const { at, powerW, rhPct } = correctedReadings(raw, await findCorrections(db, probeId))
        const values = basis === 'power' ? powerW : rhPct
        const runs = values ? countRuns({ at, values, basis }, grid.from, grid.hours) : null
        if (runs) parts.push(runs)
      }
    }
  }
  return joined(parts)
}

/** Where two probes hung at one spot the first one counts, as in its hours. */
function joined([first, ...others]: readonly MachineRuns[]): MachineRuns | null {
  if (first === undefined) return null
  for (const { starts, runShare } of others) {
    for (let h = 0; h < starts.length; h++) {
      if (!Number.isNaN(first.starts[h]!)) continue
      first.starts[h] = starts[h]!
      first.runShare[h] = runShare[h]!
    }
  }
  return { ...first, everyMinutes: Math.max(first.everyMinutes, ...others.map((o) => o.everyMinutes)) }
}

/** Only hours with a machine, and whose air is believed: faults of the probe come first. */
function within(runs: MachineRuns, { grid }: StudiedHouse, { hours }: StudiedSpot, spans: readonly Span[]) {
  const counts = (h: number) => {
    const at = grid.from + h * HOUR_MS
    return !Number.isNaN(hours.rhPct[h]!) && spans.some(({ from, to }) => at >= from && at < to)
  }
  const kept = (column: Float64Array) => column.map((v, h) => (counts(h) ? v : Number.NaN))
  return { ...runs, starts: kept(runs.starts), runShare: kept(runs.runShare) }
}
