/**
 * Where the water comes from and where it goes, by path and period, on two bases that are never mixed: the balance as it
 * is, and the load that would have to be removed to hold the target. Dry air lets evaporation come that humid air holds
 * back, so the two differ. Entries are sums of the positive hourly flows, exits of the negative; water that the wood
 * gives back is shown beside the sources and is not one of them.
 */
import { newFlows, type Path } from './balance.ts'
import { reportParameters } from './fit.ts'
import { drawHouses, driversWithout, type HouseModel } from './house.ts'
import { DAY_HOURS, type Estimate } from './input.ts'
import { fromDraws } from './numbers.ts'
import { type FullRun, runFully } from './timber.ts'

export const SOURCE_PATHS = ['outdoorAir', 'ground', 'rain', 'leak', 'house'] as const satisfies readonly Path[]
export type SourcePath = (typeof SOURCE_PATHS)[number]

export interface PathAmount {
  path: SourcePath
  entersLPerDay: Estimate
  /** Of all entries except wood. */
  sharePct: Estimate
  leavesLPerDay: Estimate
  /** Share of the prior's spread that the data took away, 0 to 1; below one half the path is not ranked. */
  dataShare: number
}

export interface PeriodSources {
  label: string
  fromHour: number
  toHour: number
  basis: 'as it is' | 'to hold the target'
  paths: PathAmount[]
  woodGivesLPerDay: Estimate
  woodTakesLPerDay: Estimate
  machineLPerDay: Estimate
  condensesLPerDay: Estimate
  /** A plain word on how far the numbers can be trusted. */
  caution: string | null
}

const DRAWS = 40
const HELD_CAUTION =
  'A dehumidifier held the whole period and never idled: humidity alone cannot tell the paths apart. Meter its water.'

/** Periods between the works, each on both bases. */
export function findSources(model: HouseModel): PeriodSources[] {
  const { hours, record } = model.prepared
  const marks = [0, ...model.plan.groups.map((g) => g.fromHour), hours]
  const spans = marks.slice(0, -1).map((fromHour, i) => ({ label: `P${i}`, fromHour, toHour: marks[i + 1]! }))
  const flows = newFlows(hours)
  const ideal = { setRh: record.targetRhPct / 100, ratedKgPerH: Number.POSITIVE_INFINITY }
  const draws = drawHouses(model, model.fitted, DRAWS).map((draw) => {
    const drivers = driversWithout(model, draw, NONE)
    const stretches = draw.house.stretches(draw.theta)
    const asIs = runFully(draw, drivers, stretches, hours, null, flows)
    const asIsSums = spans.map((span) => sumsOf(asIs, span))
    const held = stretches.map((s) => ({ ...s, machine: ideal }))
    const toHold = runFully(draw, { ...drivers, machineIdle: null }, held, hours, null, flows)
    return { asIs: asIsSums, toHold: spans.map((span) => sumsOf(toHold, span)) }
  })
  const data = dataShares(model)
  return spans.flatMap((span, i) => {
    const caution = alwaysHeld(model, span.fromHour, span.toHour) ? HELD_CAUTION : null
    const asIs = draws.map((d) => d.asIs[i]!)
    const toHold = draws.map((d) => d.toHold[i]!)
    return [
      { ...span, basis: 'as it is' as const, ...amounts(asIs, data), caution },
      { ...span, basis: 'to hold the target' as const, ...amounts(toHold, data), caution },
    ]
  })
}

const NONE: ReadonlySet<string> = new Set()

/** Liters a day of one possible house over one period. */
function sumsOf(run: FullRun, { fromHour, toHour }: { fromHour: number; toHour: number }) {
  const days = Math.max(1, toHour - fromHour) / DAY_HOURS
  const of = (key: Path | 'machine' | 'condensed') => signedSums(run[key], fromHour, toHour, days)
  const paths = SOURCE_PATHS.map(of)
  const total = paths.reduce((sum, p) => sum + p.enters, 0)
  return { paths, total, wood: of('wood'), machine: of('machine'), condensed: of('condensed') }
}

function amounts(
  sums: readonly ReturnType<typeof sumsOf>[],
  data: Record<SourcePath, number>,
): Pick<PeriodSources, 'paths' | 'woodGivesLPerDay' | 'woodTakesLPerDay' | 'machineLPerDay' | 'condensesLPerDay'> {
  const paths = SOURCE_PATHS.map((path, i) => ({
    path,
    entersLPerDay: fromDraws(sums.map((s) => s.paths[i]!.enters)),
    sharePct: fromDraws(sums.map((s) => (s.total > 0 ? (100 * s.paths[i]!.enters) / s.total : 0))),
    leavesLPerDay: fromDraws(sums.map((s) => s.paths[i]!.leaves)),
    dataShare: data[path],
  }))
  return {
    paths,
    woodGivesLPerDay: fromDraws(sums.map((s) => s.wood.enters)),
    woodTakesLPerDay: fromDraws(sums.map((s) => s.wood.leaves)),
    machineLPerDay: fromDraws(sums.map((s) => s.machine.enters)),
    condensesLPerDay: fromDraws(sums.map((s) => s.condensed.enters)),
  }
}

/** A kilogram of water is a liter within half a percent. */
function signedSums(kgPerH: Float64Array, fromHour: number, toHour: number, days: number) {
  let [enters, leaves] = [0, 0]
  for (let h = fromHour; h < toHour; h++) {
    if (kgPerH[h]! > 0) enters += kgPerH[h]!
    else leaves -= kgPerH[h]!
  }
  return { enters: enters / days, leaves: leaves / days }
}

function dataShares(model: HouseModel): Record<SourcePath, number> {
  const reports = new Map(reportParameters(model.fitted).map((p) => [p.key, p.dataShare]))
  return {
    outdoorAir: reports.get('changes') ?? 0,
    ground: reports.get('ground') ?? 0,
    rain: reports.get('wetGround') ?? 0,
    leak: reports.get('leak') ?? 1,
    house: model.prepared.houseMeasured ? 1 : (reports.get('houseChanges') ?? 0),
  }
}

function alwaysHeld(model: HouseModel, fromHour: number, toHour: number): boolean {
  const { held, idleHours } = model.held
  const days = held.subarray(Math.ceil(fromHour / DAY_HOURS), Math.floor(toHour / DAY_HOURS))
  if (days.length === 0 || model.record.condensateL !== null) return false
  const share = days.reduce((a, b) => a + b, 0) / days.length
  return share > 0.9 && !(idleHours?.subarray(fromHour, toHour).includes(1) ?? false)
}
