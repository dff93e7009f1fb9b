/**
 * The house after a set of remedies. What a remedy will do is the prior of its kind; where the same was done in this
 * house already, what the readings showed of it is kept: doing it again undoes nothing.
 */
import type { Stretch } from './balance.ts'
import type { HouseModel } from './house.ts'
import { HOUR_MS, type Work, type WorkDetails, type WorkKind } from './input.ts'
import { knownMachine } from './machine.ts'
import { partsOf, priorsOf, type StepPrior } from './works.ts'

export interface Remedy {
  kind: WorkKind
  parts?: readonly WorkKind[]
  details?: WorkDetails & {
    /** Efficiency of a dehumidifier on its label's test, 65 °F / 60 % [L/kWh]. */
    litersPerKwh?: number | null
  }
}

export type State = Omit<Stretch, 'fromHour' | 'toHour'>

/** Each replaces the air exchange that was there, so only the latest of them is in force. */
const AIR_KINDS: readonly WorkKind[] = ['vents sealed', 'vents opened', 'vent fan']
/** Cover of a work that does not say its share; its prior leaves 0.12 of the ground, as this does. */
const USUAL_COVER_SHARE = 0.96
/** A cover that covers this much more than the one there is work of its own. */
const MORE_COVER = 0.02

/** @returns kinds among the remedies that were done already and whose fitted effect is kept */
export function keptKinds(model: HouseModel, remedies: readonly Remedy[]): WorkKind[] {
  const machine = model.fitted.house.propertiesAt(model.fitted.theta, model.prepared.hours - 1).machine
  const kinds = remedies.flatMap((remedy) =>
    partsOf(asWork(remedy, 0)).filter((part) =>
      part === 'dehumidifier' ? machine !== null && !isWholeMachine(remedy) : isDone(model, part, remedy),
    ),
  )
  return [...new Set(kinds)]
}

/** @param z where in each remedy's prior this draw lies, in standard deviations; zeros are the middle */
export function stateAfter(model: HouseModel, state: State, remedies: readonly Remedy[], z: readonly number[]): State {
  let next = { ...state }
  for (const [i, remedy] of remedies.entries()) {
    const work = asWork(remedy, i)
    for (const part of new Set(partsOf(work))) {
      if (part === 'repair') next.leakKgPerH = 0
      if (part === 'dehumidifier') next.machine = machineAfter(next.machine, work.details ?? {})
      if (isDone(model, part, remedy)) continue
      for (const prior of priorsOf(part, work, recordNow(model), model.size.volumeM3)) {
        next = stepped(next, part, prior.target, prior.median * Math.exp(prior.spread * z[i]!))
      }
    }
  }
  return next
}

const asWork = (remedy: Remedy, i: number): Work => ({ key: `remedy ${i}`, ...remedy, from: 0 })

const isWholeMachine = ({ details }: Remedy) =>
  (details?.ratedLPerDay ?? null) !== null && (details?.setRhPct ?? null) !== null

/** What is not said of a machine stays as fitted where one runs. */
function machineAfter(now: State['machine'], details: WorkDetails): State['machine'] {
  const { setRh, ratedKgPerH, setKnown, ratingKnown } = knownMachine(details)
  return {
    setRh: now !== null && !setKnown ? now.setRh : setRh,
    ratedKgPerH: now !== null && !ratingKnown ? now.ratedKgPerH : ratedKgPerH,
  }
}

function stepped(state: State, part: WorkKind, target: StepPrior['target'], value: number): State {
  switch (target) {
    case 'air': {
      // Sealing lets no more air in than came in before, and opening or a fan no less.
      const changesPerH =
        part === 'vents sealed' ? Math.min(state.changesPerH, value) : Math.max(state.changesPerH, value)
      return { ...state, changesPerH }
    }
    case 'airFactor':
      return { ...state, changesPerH: state.changesPerH * value }
    // A cover or a drain may do little, but it brings no water in.
    case 'ground':
      return { ...state, ground: state.ground * Math.min(1, value) }
    case 'wetGround':
      return { ...state, wetGround: state.wetGround * Math.min(1, value) }
    default:
      return { ...state, rainShare: state.rainShare * Math.min(1, value) }
  }
}

/** Whether this kind of work is in force at the end of the record, by its works or its starting state. */
function isDone(model: HouseModel, part: WorkKind, remedy: Remedy): boolean {
  // Two works of an unknown kind need not be the same work, and a repair asked for is of what leaks now.
  if (part === 'other' || part === 'repair') return false
  const works = worksInForce(model)
  if (AIR_KINDS.includes(part)) {
    const latest = works.findLast(({ parts }) => parts.some((kind) => AIR_KINDS.includes(kind)))
    return latest === undefined ? startsWith(model, part) : latest.parts.includes(part)
  }
  if (part === 'ground cover') {
    const wanted = remedy.details?.coverShareAfter ?? USUAL_COVER_SHARE
    return coverNow(model) >= wanted - MORE_COVER
  }
  return works.some(({ parts }) => parts.includes(part))
}

function startsWith({ record }: HouseModel, part: WorkKind): boolean {
  const { ventState } = record.geometry
  return (part === 'vents sealed' && ventState === 'closed') || (part === 'vents opened' && ventState === 'open')
}

function worksInForce({ record }: HouseModel): { parts: WorkKind[]; work: Work }[] {
  const end = record.startAt + record.hours * HOUR_MS
  return record.works
    .filter(({ from, to }) => from < end && (to === undefined || to === null || to >= end))
    .sort((a, b) => a.from - b.from)
    .map((work) => ({ parts: partsOf(work), work }))
}

function coverNow(model: HouseModel): number {
  const covers = worksInForce(model).filter(({ parts }) => parts.includes('ground cover'))
  const shares = covers.map(({ work }) => work.details?.coverShareAfter ?? USUAL_COVER_SHARE)
  return Math.max(model.record.geometry.coverShare ?? 0, ...shares)
}

/** A cover's prior goes by what lies there now. */
function recordNow(model: HouseModel): HouseModel['record'] {
  const { record } = model
  const now = coverNow(model)
  if (now === (record.geometry.coverShare ?? 0)) return record
  return { ...record, geometry: { ...record.geometry, coverShare: now } }
}
