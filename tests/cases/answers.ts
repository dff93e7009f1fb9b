/** What is known of a studied case, in the words of the cases' answers file. */
import { thresholds } from '../../server/advice/thresholds.ts'
import { type DepartureKind, findDepartures } from '../../server/moisture/departure.ts'
import { type Effect, findEffects } from '../../server/moisture/effect.ts'
import { type HouseModel, understandHouse } from '../../server/moisture/house.ts'
import type { Estimate } from '../../server/moisture/input.ts'
import { findNeed } from '../../server/moisture/need.ts'
import { findSources, type PeriodSources } from '../../server/moisture/sources.ts'
import type { Verdict } from '../../server/moisture/verdict.ts'
import { balanceRecord, balanceSpace } from '../../server/study/balance/balanceRecord.ts'
import { type RecordEventKind, recordEvents } from '../../server/study/recordEvents.ts'
import type { StudiedHouse } from '../../server/study/studiedHouse.ts'
import type { CaseFolder } from './caseFolder.ts'
import { encapsulationNeeded } from './encapsulation.ts'

export interface CaseEffect {
  intervention: string
  deltaHumidityRatio_gkg?: Estimate
  deltaRH_pct?: number
  deltaVapourPressure_Pa?: number
  verdict: string
}

export interface CaseEvent {
  type: string
  /** ISO instant in UTC. */
  date: string
  logger?: string
}

type Shares = Record<string, number>

export interface CaseAnswers {
  effects: CaseEffect[]
  sourcesByPeriod?: Record<string, Shares>
  sourcesToHoldByPeriod?: Record<string, Shares>
  dehumidifierNeed_Lday?: Estimate
  events: CaseEvent[]
  encapsulationNeeded?: boolean
}

const RECORD_EVENTS: Record<RecordEventKind, string> = {
  stuck: 'sensor_stuck',
  gap: 'sensor_gap',
  'clock shift': 'sensor_clock_shift',
  'unit swap': 'sensor_unit_mixup',
  freeze: 'freeze',
}

/** Departures that the cases have a word for. */
const DEPARTURES: Partial<Record<DepartureKind, string>> = {
  'leak began': 'leak_start',
  'dehumidifier stopped': 'dehumidifier_failure',
  'dehumidifier too small': 'dehumidifier_undersized',
  'dehumidifier short cycling': 'short_cycling',
  'work made it wetter': 'harmful_intervention',
}

const VERDICTS: Record<Verdict, string> = {
  drier: 'improved',
  'no clear change': 'no clear change',
  wetter: 'worse',
  'cannot tell': 'cannot tell',
}

type Ids = Pick<CaseFolder, 'loggerIds' | 'workIds'>

/** @returns the answers, and in words what could not be answered */
export function answersOf(house: StudiedHouse, ids: Ids): { answers: CaseAnswers; open: string[] } {
  const sensors = recordEvents(house, thresholds()).map(({ kind, from, spot }): CaseEvent => {
    const logger = kind === 'freeze' ? {} : { logger: ids.loggerIds.get(spot)! }
    return { type: RECORD_EVENTS[kind], date: iso(from), ...logger }
  })
  const space = balanceSpace(house)
  if (!space) return { answers: { effects: [], events: sensors }, open: ['No logger under the house was heard.'] }
  const understood = understandHouse(balanceRecord(house, space))
  if ('cannotTell' in understood) {
    return { answers: { effects: [], events: sensors }, open: [understood.cannotTell] }
  }
  const { model } = understood
  const effects = findEffects(model)
  const sources = findSources(model)
  const need = findNeed(model)
  const encapsulation = encapsulationNeeded(house, model, space.key)
  const departures = findDepartures(model, effects).flatMap(({ kind, at }): CaseEvent[] => {
    const type = DEPARTURES[kind]
    return type === undefined ? [] : [{ type, date: iso(at) }]
  })
  return {
    answers: {
      effects: effects.flatMap((effect) => effectsOf(effect, ids)),
      sourcesByPeriod: sharesOf(sources, 'as it is', model),
      sourcesToHoldByPeriod: sharesOf(sources, 'to hold the target', model),
      ...('lPerDay' in need && { dehumidifierNeed_Lday: need.lPerDay }),
      events: [...sensors, ...departures].sort((a, b) => (a.date < b.date ? -1 : 1)),
      ...(encapsulation !== null && { encapsulationNeeded: encapsulation }),
    },
    open: 'cannotTell' in need ? [need.cannotTell] : [],
  }
}

const iso = (at: number): string => new Date(at).toISOString()

/** Works too close to part have one effect together, so none of them has one of its own. */
function effectsOf({ workKeys, verdict, soFar }: Effect, { workIds }: Ids): CaseEffect[] {
  const idOf = (key: string) => workIds.get(key)!
  if (workKeys.length > 1) return workKeys.map((key) => ({ intervention: idOf(key), verdict: 'cannot tell' }))
  return [
    {
      intervention: idOf(workKeys[0]!),
      deltaHumidityRatio_gkg: soFar.humidityRatioGKg,
      deltaRH_pct: soFar.rhPct.mid,
      deltaVapourPressure_Pa: soFar.vaporPressurePa.mid,
      verdict: VERDICTS[verdict],
    },
  ]
}

/** The cases count a period from every dated work, also where two are too close to part. */
function sharesOf(sources: PeriodSources[], basis: PeriodSources['basis'], model: HouseModel): Record<string, Shares> {
  const groups = model.plan.groups
  const worksBefore = (period: PeriodSources) =>
    groups
      .filter(({ fromHour }) => fromHour <= period.fromHour && period.fromHour > 0)
      .reduce((sum, { keys }) => sum + keys.length, 0)
  return Object.fromEntries(
    sources
      .filter((period) => period.basis === basis && period.toHour > period.fromHour)
      .map((period) => [
        `P${worksBefore(period)}`,
        Object.fromEntries(period.paths.map(({ path, sharePct }) => [path, sharePct.mid])),
      ]),
  )
}
