/** A studied house as the record that the balance of the space's air is fitted to. Pure mapping: nothing is judged here. */
import {
  type AirSeries,
  HOUR_MS,
  type HouseRecord,
  type Machine,
  type RainRecord,
  type SpotSeries,
  type VentState,
  type Work,
} from '../../moisture/input.ts'
import type { RatingBasis } from '../../physics/dehumidifier.ts'
import { pinReadingAtCalibrationPct } from '../../physics/wood.ts'
import { type HourlyColumns, hoursWithin } from '../../series/hourly.ts'
import { instantOfLocalText } from '../../series/localTime.ts'
import type { HouseFacts, SpaceTree, WorkTree } from '../../store/houseTree.ts'
import type { StudiedHouse, StudiedSpot, StudiedWork } from '../studiedHouse.ts'

/** Held where the house names no target of its own. Proposal of the trade notes, no source. */
const USUAL_TARGET_RH_PCT = 55
/** A work known only by its date took effect in the course of that day; noon is at most half a day off. */
const NOON_MS = 12 * HOUR_MS
/** Pin meters read wood from 6 to 60 %. */
const PINS_PCT = [6, 60] as const
const WOOD_TEMP_C = [-20, 50] as const

/** The space under the house whose air is studied: the first crawl space that was heard, else the first such basement. */
export function balanceSpace(house: StudiedHouse): SpaceTree | undefined {
  const heard = house.spots.filter(({ hours }) => isKnown(hours.vaporPressurePa))
  const ofRole = (role: SpaceTree['role']) => heard.find(({ space }) => space.role === role)?.space
  return ofRole('crawl space') ?? ofRole('basement')
}

/**
 * @param space whose air the balance is about, see {@link balanceSpace}
 * @returns the hours from the first to the last that was measured in the space; columns are views of the house's and
 *   not to be written to
 */
export function balanceRecord(house: StudiedHouse, space: SpaceTree): HouseRecord {
  const { tree, grid, outdoor } = house
  const facts = tree.facts ?? {}
  const ofSpace = house.spots.filter((spot) => spot.space.key === space.key)
  const [first, end] = measuredHours(ofSpace)
  const startAt = grid.from + first * HOUR_MS
  const cut = (hours: HourlyColumns) => hoursWithin(hours, { from: startAt, to: grid.from + end * HOUR_MS })
  const spots = ofSpace.map(({ path, hours }) => ({ path, hours: cut(hours) }))
  const living = house.spots.find((spot) => spot.space.role === 'living' && isKnown(spot.hours.vaporPressurePa))
  const air = outdoor && airOf(cut(outdoor.hours))
  return {
    startAt,
    hours: end - first,
    spots: spots.filter(({ hours }) => isKnown(hours.vaporPressurePa)).map(seriesOf),
    outdoor: outdoor?.source === 'spot' ? air : null,
    station: outdoor?.source === 'station' ? air : null,
    rain: rainOf(house, first, end),
    houseAir: living ? airOf(cut(living.hours)) : null,
    condensateL: firstKnown(spots, 'condensateL'),
    powerW: firstKnown(spots, 'powerW'),
    machineRuns: runsOf(house, first, end),
    machineReadingsEveryMinutes: house.machine?.everyMinutes ?? null,
    geometry: geometryOf(space, facts),
    machineAtStart: facts.dehumidifierAtStart ? machineOf(facts.dehumidifierAtStart) : null,
    latitude: tree.latitude ?? null,
    elevationM: tree.elevationM ?? null,
    targetRhPct: facts.targetRhPct ?? USUAL_TARGET_RH_PCT,
    works: house.works.map((work) =>
      workOf(
        work,
        tree.works?.find(({ key }) => key === work.key),
      ),
    ),
    woodReadings: woodReadingsOf(house, space),
  }
}

const isKnown = (column: Float64Array): boolean => column.some((value) => !Number.isNaN(value))

/** Row of the first hour with a vapor pressure at any spot, and the one after the last. */
function measuredHours(spots: readonly StudiedSpot[]): [number, number] {
  const columns = spots.map(({ hours }) => hours.vaporPressurePa)
  const firsts = columns.map((column) => column.findIndex((value) => !Number.isNaN(value))).filter((row) => row >= 0)
  const ends = columns.map((column) => column.findLastIndex((value) => !Number.isNaN(value)) + 1)
  return firsts.length === 0 ? [0, 0] : [Math.min(...firsts), Math.max(...ends)]
}

type Spot = Pick<StudiedSpot, 'path' | 'hours'>

const seriesOf = ({ path, hours }: Spot): SpotSeries => ({
  key: path,
  tempC: hours.tempC,
  vaporPressurePa: hours.vaporPressurePa,
  rhStepPct: rhStepPct(hours),
})

/**
 * How far RH moved within each hour, and from the hour before where an hour holds one reading. The saw-tooth of a
 * cycling machine is judged against the same spot's usual one, so the whole swing serves as well as single steps.
 */
function rhStepPct({ count, rhPct, rhMinPct, rhMaxPct }: HourlyColumns): Float64Array {
  return rhPct.map((rh, h) =>
    count[h]! > 1 ? rhMaxPct[h]! - rhMinPct[h]! : Math.abs(rh - (h > 0 ? rhPct[h - 1]! : Number.NaN)),
  )
}

const airOf = ({ tempC, vaporPressurePa }: HourlyColumns): AirSeries => ({ tempC, vaporPressurePa })

/** A day's sums go on as they are: the hour they fell in is not known. */
function rainOf({ rain }: StudiedHouse, first: number, end: number): RainRecord | null {
  if (rain === null) return null
  if (rain.days) return { step: 'daily', days: rain.days }
  return { step: 'hourly', rainMm: rain.rainMm.subarray(first, end) }
}

function firstKnown(spots: readonly Spot[], name: 'condensateL' | 'powerW'): Float64Array | null {
  return spots.find(({ hours }) => isKnown(hours[name]))?.hours[name] ?? null
}

function runsOf({ machine }: StudiedHouse, first: number, end: number): HouseRecord['machineRuns'] {
  if (!machine?.runs) return null
  const { starts, runShare } = machine.runs
  return { ...machine.runs, starts: starts.subarray(first, end), runShare: runShare.subarray(first, end) }
}

const VENT_STATES: Record<NonNullable<SpaceTree['ventState']>, VentState> = {
  open: 'open',
  partly: 'partly open',
  closed: 'closed',
}

function geometryOf(space: SpaceTree, facts: HouseFacts): HouseRecord['geometry'] {
  return {
    floorAreaM2: space.floorAreaM2 ?? null,
    heightM: space.heightM ?? null,
    perimeterM: space.perimeterM ?? null,
    volumeM3: null,
    coverShare: space.groundCoverSharePct === undefined ? null : space.groundCoverSharePct / 100,
    ventCount: space.ventCount ?? null,
    ventState: space.ventState ? VENT_STATES[space.ventState] : null,
    downspouts: facts.downspouts ?? null,
    floorInsulated: facts.floorInsulated ?? null,
  }
}

type MachineTree = NonNullable<HouseFacts['dehumidifierAtStart']>

const BASES: Record<NonNullable<MachineTree['ratingBasis']>, RatingBasis> = {
  '26.7 °C / 60 %': '80 °F',
  '22.8 °C / 60 %': '73 °F',
  '18.3 °C / 60 %': '65 °F',
}

const machineOf = ({ setPointRhPct, ratedLPerDay, ratingBasis }: MachineTree): Machine => ({
  setRhPct: setPointRhPct ?? null,
  ratedLPerDay: ratedLPerDay ?? null,
  ratingBasis: ratingBasis ? BASES[ratingBasis] : null,
})

function workOf({ key, kind, details, from, to }: StudiedWork, asEntered: WorkTree | undefined): Work {
  const tookEffect = (at: number, text: string | undefined) => (text?.includes('T') === false ? at + NOON_MS : at)
  return {
    key,
    kind,
    ...(details?.parts && { parts: details.parts }),
    from: tookEffect(from, asEntered?.from),
    to: to === null ? null : tookEffect(to, asEntered?.to),
    ...(details && {
      details: {
        ...machineOf(details),
        coverShareAfter: details.coverSharePct === undefined ? null : details.coverSharePct / 100,
      },
    }),
  }
}

/** Pin readings of visits in this space or at a place that names no spot, brought to the meter's temperature. */
function woodReadingsOf({ tree }: StudiedHouse, space: SpaceTree): NonNullable<HouseRecord['woodReadings']> {
  return (tree.surveys ?? []).flatMap(({ at, readings }) =>
    readings
      .filter(({ quantity, spot }) => quantity === 'woodMcPct' && (spot ?? space.key).split('/')[0] === space.key)
      .filter(({ value }) => value >= PINS_PCT[0] && value <= PINS_PCT[1])
      .map(({ value, woodTempC }) => {
        const corrected =
          woodTempC === undefined || woodTempC < WOOD_TEMP_C[0] || woodTempC > WOOD_TEMP_C[1]
            ? value
            : pinReadingAtCalibrationPct(value, woodTempC)
        return { at: instantOfLocalText(at, tree.timeZone), woodMcPct: corrected }
      }),
  )
}
