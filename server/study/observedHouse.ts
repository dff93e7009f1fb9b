/** A studied house as the analyses of moisture/ take it: each space with its own spots on the common hour grid. */
import type { ColdSurface } from '../moisture/condensation.ts'
import { HOUR_MS, type RainRecord } from '../moisture/input.ts'
import type { Observed, ObservedSpot } from '../moisture/observed.ts'
import type { PinReading } from '../moisture/risk.ts'
import { pinReadingAtCalibrationPct } from '../physics/wood.ts'
import { instantOfLocalText } from '../series/localTime.ts'
import type { Period } from '../series/periods.ts'
import type { HouseTree, SpaceTree } from '../store/houseTree.ts'
import type { StudiedHouse, StudiedSpot } from './studiedHouse.ts'

export interface ObservedSpace {
  space: SpaceTree
  /** In the order of `observed.spots`; their keys there are paths. */
  spots: StudiedSpot[]
  observed: Observed
  pins: Record<string, PinReading[]>
  /** Cold surfaces whose temperature can be told. */
  coldSurfaces: Record<string, ColdSurface>
}

const known = new WeakMap<StudiedHouse, ObservedSpace[]>()

/** Spaces that are judged: neither outdoors nor where people live. Made once a house, since many questions ask. */
export function observedSpaces(house: StudiedHouse): ObservedSpace[] {
  let spaces = known.get(house)
  if (spaces === undefined) {
    spaces = house.tree.spaces
      .filter(({ role, spots }) => role !== 'outdoor' && role !== 'living' && spots.length > 0)
      .map((space) => observedSpace(house, space))
    known.set(house, spaces)
  }
  return spaces
}

function observedSpace(house: StudiedHouse, space: SpaceTree): ObservedSpace {
  const spots = house.spots.filter((spot) => spot.space.key === space.key)
  const outdoor = house.outdoor?.hours
  const observed: Observed = {
    startAt: house.grid.from,
    hours: house.grid.hours,
    timeZone: house.tree.timeZone,
    spots: spots.map(observedSpot),
    outdoor: outdoor ? { tempC: outdoor.tempC, vaporPressurePa: outdoor.vaporPressurePa } : null,
    rain: rainRecord(house),
  }
  const pins = Object.fromEntries(spots.map(({ path }) => [path, pinsAt(house, space, path)]))
  return { space, spots, observed, pins, coldSurfaces: coldSurfacesOf(space, observed) }
}

const anyKnown = (column: Float64Array) => column.some((value) => !Number.isNaN(value))

function observedSpot({ path, hours }: StudiedSpot): ObservedSpot {
  const { tempC, rhPct, vaporPressurePa, dewPointMaxC, woodMcPct, surfaceTempC, waterPresentShare } = hours
  return {
    key: path,
    tempC,
    rhPct,
    vaporPressurePa,
    dewPointMaxC,
    // A column without any value is a sensor that is not there.
    ...(anyKnown(woodMcPct) && { woodMcPct }),
    ...(anyKnown(surfaceTempC) && { surfaceTempC }),
    ...(anyKnown(waterPresentShare) && { waterPresentShare }),
  }
}

function rainRecord({ rain }: StudiedHouse): RainRecord | null {
  if (rain === null) return null
  return rain.days ? { step: 'daily', days: rain.days } : { step: 'hourly', rainMm: rain.rainMm }
}

/** A reading outside what a pin meter's correction is known for is left as it was read. */
function corrected(value: number, woodTempC: number | undefined): number {
  if (woodTempC === undefined || value < 6 || value > 60 || woodTempC < -20 || woodTempC > 50) return value
  return pinReadingAtCalibrationPct(value, woodTempC)
}

/**
 * Pin readings of the visits that say something about the wood at a spot: its own, else the middle of the others in its
 * space on that visit.
 */
function pinsAt({ tree }: StudiedHouse, space: SpaceTree, path: string): PinReading[] {
  const onlySpace = tree.spaces.filter(({ role }) => role !== 'outdoor' && role !== 'living').length === 1
  return (tree.surveys ?? []).flatMap(({ at, readings }): PinReading[] => {
    const pins = readings.filter(({ quantity }) => quantity === 'woodMcPct')
    const own = pins.filter(({ spot }) => spot === path)
    const ofSpace = pins.filter(({ spot }) => (spot === undefined ? onlySpace : spot.startsWith(`${space.key}/`)))
    const used = (own.length > 0 ? own : ofSpace).map(({ value, woodTempC }) => corrected(value, woodTempC))
    if (used.length === 0) return []
    used.sort((a, b) => a - b)
    const woodMcPct = (used[(used.length - 1) >> 1]! + used[used.length >> 1]!) / 2
    return [{ at: instantOfLocalText(at, tree.timeZone), woodMcPct }]
  })
}

/** Named ones, and measured ones without a name. */
function coldSurfacesOf(space: SpaceTree, observed: Observed): Record<string, ColdSurface> {
  const surfaces: Record<string, ColdSurface> = {}
  for (const { key, name, coldSurface } of space.spots) {
    const path = `${space.key}/${key}`
    const measured = observed.spots.some((spot) => spot.key === path && spot.surfaceTempC)
    const told = coldSurface?.tempC !== undefined || coldSurface?.insideTempC !== undefined
    if (measured || told) surfaces[path] = coldSurface ?? { name: `the surface measured at ${name}` }
  }
  return surfaces
}

/** The hours of one period, from its first whole hour on. */
export function inPeriod(observed: Observed, { from, to }: Pick<Period, 'from' | 'to'>): Observed {
  const first = Math.min(observed.hours, Math.max(0, Math.ceil((from - observed.startAt) / HOUR_MS)))
  const end = Math.min(observed.hours, Math.max(first, Math.ceil((to - observed.startAt) / HOUR_MS)))
  const cut = (column: Float64Array) => column.subarray(first, end)
  const startAt = observed.startAt + first * HOUR_MS
  const { rain } = observed
  return {
    ...observed,
    startAt,
    hours: end - first,
    spots: observed.spots.map((spot) => cutSpot(spot, cut)),
    outdoor: observed.outdoor && {
      tempC: cut(observed.outdoor.tempC),
      vaporPressurePa: cut(observed.outdoor.vaporPressurePa),
    },
    rain:
      rain?.step === 'daily'
        ? { step: 'daily', days: rain.days.filter((day) => day.from >= startAt && day.to <= to) }
        : rain && { step: 'hourly', rainMm: cut(rain.rainMm) },
  }
}

const cutSpot = (spot: ObservedSpot, cut: (column: Float64Array) => Float64Array): ObservedSpot =>
  Object.fromEntries(
    Object.entries(spot).map(([name, value]) => [name, value instanceof Float64Array ? cut(value) : value]),
  ) as unknown as ObservedSpot

/** Offsets against each other were looked for at the spot and outdoors; a correction of zero says so too. */
export function checkedSideBySide({ tree, spots, outdoor }: StudiedHouse, spot: StudiedSpot): boolean {
  const outside =
    outdoor?.source === 'spot'
      ? spots.find(({ space, name }) => space.role === 'outdoor' && name === outdoor.name)
      : undefined
  return outside !== undefined && hasCheckedProbe(tree, spot.path) && hasCheckedProbe(tree, outside.path)
}

const hasCheckedProbe = (tree: HouseTree, path: string): boolean =>
  (tree.loggers ?? []).some((logger) =>
    logger.probes.some(
      (probe) =>
        probe.placements.some((placement) => placement.spot === path) &&
        tree.corrections?.some((c) => c.probe === `${logger.key}/${probe.key}` && c.quantity === 'rhPct'),
    ),
  )
