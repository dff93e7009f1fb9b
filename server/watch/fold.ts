/**
 * Goes along the hours of a house, oldest first. All that is held in mind is plain JSON (`Tracks`), so the way can be
 * taken up again from any hour it was kept at; the same hours always end in the same tracks.
 */
import { coldSurfaceTempC } from '../moisture/condensation.ts'
import { zoneClock } from '../series/localTime.ts'
import { markBit } from '../series/marks.ts'
import { median } from '../series/robust.ts'
import { type Condition, type Ended, keyOf, type RaisedAt, together } from './condition.ts'
import { isDisturbed, type Stretch, type WatchedHouse, type WatchedSpot } from './house.ts'
import { condensation } from './rules/condensation.ts'
import { damp } from './rules/damp.ts'
import { freezing } from './rules/freezing.ts'
import { liquidWater } from './rules/liquidWater.ts'
import { machineStopped } from './rules/machineStopped.ts'
import { mold } from './rules/mold.ts'
import { batteryLow, probeBad } from './rules/probes.ts'
import { type Around, HOUR_MS, orNull, type Rule, type SpotHour } from './rules/rule.ts'
import { isInOtherUnit, type UnitTrack, unitTrack } from './rules/unitTrack.ts'
import { vaporExcess } from './rules/vaporExcess.ts'
import { woodRising, woodWet } from './rules/wood.ts'
import { stepWood, type WoodTrack, woodTrack } from './rules/woodTrack.ts'

export const RULES: readonly Rule[] = [
  liquidWater,
  freezing,
  damp,
  vaporExcess,
  condensation,
  woodWet,
  woodRising,
  mold,
  machineStopped,
  batteryLow,
  probeBad,
]

interface SpotTrack {
  heardAt: number | null
  unit: UnitTrack
  wood: WoodTrack
  /** In the order of RULES. */
  memories: unknown[]
}

export interface Tracks {
  /** The hour to go on with. */
  at: number
  spots: Record<string, SpotTrack>
  /** Rain of the last hours, newest last. */
  rainMm: (number | null)[]
  /** What holds now, by cause. */
  open: Record<string, Condition>
}

const RAIN_HOURS = 72

export const tracksFrom = (at: number): Tracks => ({ at, spots: {}, rainMm: [], open: {} })

/**
 * One hour of the stretch, changing the tracks.
 * @param minutes of the hour that readings can speak for; less than 60 while it is under way, and then only the fast rules
 *   look at it: do it on a copy
 */
export function stepHour(tracks: Tracks, house: WatchedHouse, stretch: Stretch, i: number, minutes = 60): Ended[] {
  const at = stretch.from + i * HOUR_MS
  const over = minutes === 60
  tracks.rainMm.push(orNull(stretch.rainMm[i]!))
  if (tracks.rainMm.length > RAIN_HOURS) tracks.rainMm.shift()
  const disturbed = isDisturbed(house, at, at + HOUR_MS)
  const ofHouse = {
    endsDay: over && zoneClock(house.timeZone).nextDayStart(at) <= at + HOUR_MS,
    outdoorVaporPa: stretch.outdoorVaporPa[i]!,
    rain72Mm: knownSum(tracks.rainMm),
    drained: house.drainedFrom.some((from) => from <= at),
    setPointRhPct:
      house.machines.findLast(({ from, to }) => from <= at && (to === null || to > at))?.setPointRhPct ?? null,
  }
  const spaceRh = disturbed ? new Map<string, number>() : meanRhBySpace(house, stretch, i)
  for (const spot of house.spots) {
    const column = stretch.spots[spot.path]
    if (column === undefined) continue
    tracks.spots[spot.path] ??= {
      heardAt: null,
      unit: unitTrack(),
      wood: woodTrack(),
      memories: RULES.map((rule) => rule.start()),
    }
    const track = tracks.spots[spot.path]!
    const hour = spotHour(column, i, { at, minutes, disturbed })
    if (isInOtherUnit(track.unit, hour.tempC, othersTempC(house, stretch, spot, i))) takeOutAir(hour)
    if (hour.heard) track.heardAt = at + HOUR_MS
    if (over) {
      const pinsPct = disturbed ? Number.NaN : column.hours.woodMcPct[i]!
      const wood = stepWood(track.wood, { ...hour, pinsPct }, house.held)
      hour.woodMcPct = wood.woodMcPct
      hour.woodMeasured = wood.measured
      hour.woodSettled = wood.settled
    }
    const around: Around = {
      ...ofHouse,
      below: spot.below,
      closed: house.closedAt(spot.spaceKey, at),
      spaceRhPct: spaceRh.get(spot.spaceKey) ?? Number.NaN,
      coldSurfaceTempC: coldSurface(spot, hour.tempC),
      coldSurfaceName: spot.coldSurface?.name ?? `the surface measured at ${spot.name}`,
    }
    for (const [r, rule] of RULES.entries()) {
      if (over || rule.fast) rule.step(track.memories[r], hour, around, house.held)
    }
  }
  tracks.at = at + HOUR_MS
  return compare(tracks, house, at)
}

/** What holds after the hour, against what held before it. */
function compare(tracks: Tracks, house: WatchedHouse, at: number): Ended[] {
  const now: Record<string, Condition> = {}
  for (const [r, rule] of RULES.entries()) {
    const groups = new Map<string, RaisedAt[]>()
    for (const spot of house.spots) {
      const track = tracks.spots[spot.path]
      const raised = track === undefined ? null : rule.raised(track.memories[r], house.held)
      if (raised === null) continue
      const group = rule.scope === 'space' ? spot.spaceKey : rule.scope === 'spot' ? spot.path : ''
      groups.set(group, [...(groups.get(group) ?? []), { spot, raised, seenAt: track!.heardAt ?? at }])
    }
    for (const group of groups.values()) {
      const condition = together(rule, group, house, at)
      const key = keyOf(condition)
      const before = tracks.open[key]
      // The spot that began it may be over while another goes on.
      const since = before === undefined ? condition.since : Math.min(before.since, condition.since)
      now[key] = { ...condition, since, sureAt: before?.sureAt ?? condition.sureAt }
    }
  }
  const ended = Object.entries(tracks.open).flatMap(([key, before]): Ended[] =>
    key in now ? [] : [{ ...before, until: at + HOUR_MS }],
  )
  tracks.open = now
  return ended
}

const knownSum = (values: readonly (number | null)[]): number =>
  values.every((value) => value === null) ? Number.NaN : values.reduce<number>((sum, value) => sum + (value ?? 0), 0)

function spotHour(
  { hours, water }: Stretch['spots'][string],
  i: number,
  { at, minutes, disturbed }: { at: number; minutes: number; disturbed: boolean },
): SpotHour {
  const value = (column: Float64Array) => (disturbed ? Number.NaN : column[i]!)
  const waterPresentShare = value(hours.waterPresentShare)
  return {
    at,
    minutes,
    tempC: value(hours.tempC),
    tempMaxC: value(hours.tempMaxC),
    rhPct: value(hours.rhPct),
    vaporPressurePa: value(hours.vaporPressurePa),
    dewPointMaxC: value(hours.dewPointMaxC),
    surfaceTempC: value(hours.surfaceTempC),
    powerW: value(hours.powerW),
    batteryMinV: value(hours.batteryMinV),
    waterPresentShare,
    water: waterPresentShare > 0 ? water.filter((reading) => reading.at >= at && reading.at < at + HOUR_MS) : [],
    marks: hours.marks[i]!,
    readings: hours.count[i]!,
    heard: hours.count[i]! > 0,
    woodMcPct: Number.NaN,
    woodMeasured: false,
    woodSettled: false,
  }
}

function meanRhBySpace(house: WatchedHouse, stretch: Stretch, i: number): Map<string, number> {
  const sums = new Map<string, { sum: number; known: number }>()
  for (const { path, spaceKey } of house.spots) {
    const rh = stretch.spots[path]?.hours.rhPct[i] ?? Number.NaN
    if (Number.isNaN(rh)) continue
    const { sum, known } = sums.get(spaceKey) ?? { sum: 0, known: 0 }
    sums.set(spaceKey, { sum: sum + rh, known: known + 1 })
  }
  return new Map([...sums].map(([space, { sum, known }]) => [space, sum / known]))
}

/** Median of the other spots of the space; NaN while fewer than two are known, for then nobody knows which is wrong. */
function othersTempC(house: WatchedHouse, stretch: Stretch, { path, spaceKey }: WatchedSpot, i: number): number {
  const others = house.spots.flatMap((spot) => {
    const tempC =
      spot.path === path || spot.spaceKey !== spaceKey ? undefined : stretch.spots[spot.path]?.hours.tempC[i]
    return tempC === undefined || Number.isNaN(tempC) ? [] : [tempC]
  })
  return others.length < 2 ? Number.NaN : median(others)
}

function takeOutAir(hour: SpotHour): void {
  hour.tempC = hour.tempMaxC = hour.rhPct = hour.vaporPressurePa = hour.dewPointMaxC = Number.NaN
  hour.marks |= markBit('unit swap')
}

function coldSurface({ coldSurface: surface }: WatchedSpot, airC: number): number {
  if (surface === null || (surface.tempC === undefined && surface.insideTempC === undefined)) return Number.NaN
  const nothing = Float64Array.of(Number.NaN)
  const spot = { key: '', tempC: Float64Array.of(airC), rhPct: nothing, vaporPressurePa: nothing }
  return coldSurfaceTempC(spot, surface).tempC[0]!
}
