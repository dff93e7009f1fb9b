/** What a period has in common for all ways water comes in: clues, works, vents, a leak found, and days a machine hides. */
import type { HouseFindings, Source } from '../../advice/clues.ts'
import type { Thresholds } from '../../advice/defaults.ts'
import type { Suspicion } from '../../advice/reasoning.ts'
import type { HouseModel } from '../../moisture/house.ts'
import { DAY_HOURS, HOUR_MS, type WorkKind } from '../../moisture/input.ts'
import type { SourcePath } from '../../moisture/sources.ts'
import { partsOf as partsInModel } from '../../moisture/works.ts'
import { localDateText } from '../../series/localTime.ts'
import { observedSpaces } from '../observedHouse.ts'
import { reasonAbout } from '../reasoning.ts'
import type { StudiedHouse, StudiedWork } from '../studiedHouse.ts'
import { workWords } from '../workWords.ts'
import type { BalanceEffect } from './balanceAnswer.ts'

/** An encapsulation whose parts were not written down has the usual ones. */
const partsOf = ({ key, kind, from, details }: StudiedWork): readonly WorkKind[] =>
  partsInModel({ key, kind, from, to: null, ...(details?.parts && { parts: details.parts }) })

/** Works that take water away from one path alone. */
const CURES: Partial<Record<WorkKind, SourcePath>> = {
  'downspout drain': 'rain',
  'yard drain': 'rain',
  'footing drain': 'rain',
  'vents sealed': 'outdoorAir',
  'ground cover': 'ground',
  repair: 'leak',
}

/** What a whole period has in common; made once for its paths and both bases. */
export interface PeriodGrounds {
  found: HouseFindings
  suspicions: ReadonlyMap<Source, Suspicion>
  /** Works that take water from one path alone; `later`: begun after the period, so that it shows what they took. */
  cures: { path: SourcePath; words: string; verdict: BalanceEffect['verdict']; later: boolean }[]
  vents: string | null
  ventsShut: boolean
  wellCovered: boolean
  leak: { date: string; support: number } | null
  houseMeasured: boolean
  /** Days a machine whose water is not metered held the air, and all days of the period. */
  heldDays: number
  days: number
}

export interface GroundsAsked {
  house: StudiedHouse
  /** Key of the space. */
  space: string
  model: HouseModel
  effects: readonly BalanceEffect[]
  held: Thresholds
}

/** @param span instants from which the period's own works stand and to where the next begin, so that no work counts twice */
export function periodGrounds(
  { house, space, model, effects, held }: GroundsAsked,
  span: { from: number; to: number },
): PeriodGrounds {
  const one = observedSpaces(house).find((observed) => observed.space.key === space)!
  const { facts, answer } = reasonAbout(house, one, { ...house.periods[0]!, ...span }, held)
  const { coverShare } = facts.found
  return {
    found: facts.found,
    suspicions: new Map(answer.suspicions.map((suspicion) => [suspicion.source, suspicion])),
    cures: curesOf(house, effects, span.to),
    ...ventsIn(house, one.space.ventState, span.from),
    wellCovered: coverShare !== null && coverShare >= held.coverGoodShare,
    leak: leakIn(house, model, span),
    houseMeasured: model.prepared.houseMeasured,
    ...heldIn(model, span),
  }
}

function curesOf(house: StudiedHouse, effects: readonly BalanceEffect[], to: number): PeriodGrounds['cures'] {
  return effects.flatMap(({ works, kinds, at, verdict }) => {
    const path = CURES[kinds[0]!]
    const alone = path !== undefined && kinds.every((kind) => CURES[kind] === path)
    return alone ? [{ path, words: workWords(house, works), verdict, later: at >= to }] : []
  })
}

/**
 * As the last work on them left them, else as recorded for the start of the record.
 */
export function ventsIn(
  { works, tree }: { works: StudiedHouse['works']; tree: Pick<StudiedHouse['tree'], 'timeZone'> },
  recorded: 'open' | 'partly' | 'closed' | undefined,
  from: number,
): Pick<PeriodGrounds, 'vents' | 'ventsShut'> {
  const onVents = works.filter((work) => partsOf(work).some((one) => one === 'vents sealed' || one === 'vents opened'))
  const last = onVents.findLast((work) => work.from <= from && (work.to === null || work.to > from))
  if (last !== undefined) {
    const opened = partsOf(last).includes('vents opened')
    const vents = `The vents have been ${opened ? 'open' : 'sealed'} since ${localDateText(last.from, tree.timeZone)}.`
    return { vents, ventsShut: !opened }
  }
  if (recorded === undefined) return { vents: null, ventsShut: false }
  return {
    vents: `The vents were recorded as ${recorded === 'partly' ? 'partly open' : recorded}.`,
    ventsShut: recorded === 'closed',
  }
}

function leakIn({ tree }: StudiedHouse, { leak, findings, record }: HouseModel, span: { from: number; to: number }) {
  if (leak === null) return null
  const at = record.startAt + leak.fromHour * HOUR_MS
  const to = findings.leakToHour === null ? Number.POSITIVE_INFINITY : record.startAt + findings.leakToHour * HOUR_MS
  if (at >= span.to || to <= span.from) return null
  return { date: localDateText(at, tree.timeZone), support: leak.gain }
}

function heldIn({ held, record }: HouseModel, { from, to }: { from: number; to: number }) {
  const day = (at: number) => Math.round((at - record.startAt) / (DAY_HOURS * HOUR_MS))
  const days = held.held.subarray(Math.max(0, day(from)), Math.max(0, day(to)))
  const heldDays = record.condensateL === null ? days.reduce((sum, one) => sum + one, 0) : 0
  return { heldDays, days: days.length }
}
