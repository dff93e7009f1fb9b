/** What the studies of a house found and a watch passes on: departures from the fitted balance, answers to rain, faults. */
import type { Thresholds } from '../advice/defaults.ts'
import type { Condition } from './condition.ts'
import type { Audience, NoticeNumbers, NoticePlace, Watch } from './types.ts'

export interface FoundDeparture {
  kind: string
  at: number
  support: number
}

export interface FoundStorm {
  from: number
  to: number
  rainMm: number
  responses: { spot: string; liquid: string; changePa: number | null; clear: boolean }[]
}

export interface FoundFault {
  spot: string
  kind: string
  from: number
  to: number
}

export interface Found {
  departures: readonly FoundDeparture[]
  departuresMadeAt: number | null
  storms: readonly FoundStorm[]
  faults: readonly FoundFault[]
  studiedAt: number | null
  /** End of the record that was studied. */
  recordEnd: number | null
}

export interface FoundIn {
  spots: readonly { path: string; name: string; spaceName: string }[]
  /** Begin of the latest work, and of the latest one that leads water away; null without one. */
  lastWorkAt: number | null
  drainedAt: number | null
}

const DAY_MS = 86_400_000
const EVERYBODY: Audience[] = ['owner', 'contractor']
const NOWHERE: NoticePlace = { spot: null, spotName: null, spaceName: null }

const WATCH_OF_DEPARTURE: Readonly<Record<string, Watch>> = {
  'leak began': 'wetter than explained',
  'vents opened': 'wetter than explained',
  'drains blocked': 'wetter than explained',
  'work made it wetter': 'wetter than explained',
  'dehumidifier stopped': 'dehumidifier stopped',
  'dehumidifier too small': 'dehumidifier too small',
  'dehumidifier short cycling': 'dehumidifier short cycling',
}

export function foundConditions(found: Found, house: FoundIn, now: number, held: Thresholds): Condition[] {
  return [...departures(found, house, now), ...rainBack(found, house, now, held), ...faults(found, house, now)]
}

const of = (
  watch: Watch,
  more: Pick<Condition, 'since' | 'sureAt' | 'seenAt'> & {
    cause?: string
    audience?: Audience[]
    place?: NoticePlace
    about?: string
    circumstances?: Condition['circumstances']
    numbers?: NoticeNumbers
  },
): Condition => ({
  watch,
  cause: '',
  urgency: 'soon',
  audience: EVERYBODY,
  place: NOWHERE,
  alsoAt: [],
  about: null,
  circumstances: [],
  numbers: {},
  ...more,
})

/** A departure counts until a later work; of several explanations of one, the best speaks. */
function departures({ departures: all, departuresMadeAt }: Found, { lastWorkAt }: FoundIn, now: number): Condition[] {
  const byWatch = new Map<Watch, FoundDeparture[]>()
  for (const departure of all) {
    const watch = WATCH_OF_DEPARTURE[departure.kind]
    const current = departure.kind === 'work made it wetter' || lastWorkAt === null || departure.at >= lastWorkAt
    if (watch === undefined || !current) continue
    byWatch.set(watch, [...(byWatch.get(watch) ?? []), departure])
  }
  return [...byWatch].map(([watch, group]) => {
    const best = group.reduce((one, other) => (other.support > one.support ? other : one))
    const seenAt = departuresMadeAt ?? now
    return of(watch, { since: best.at, sureAt: seenAt, seenAt, about: best.kind, numbers: { support: best.support } })
  })
}

/**
 * Rain is answered again: after drain work at least one storm passed without an answer, and then the latest one brought
 * liquid, or most of the latest had a clear one.
 */
function rainBack(
  { storms, recordEnd }: Found,
  { spots, drainedAt }: FoundIn,
  now: number,
  held: Thresholds,
): Condition[] {
  if (drainedAt === null) return []
  return spots.flatMap(({ path, name, spaceName }): Condition[] => {
    const after = storms
      .filter(({ from }) => from >= drainedAt)
      .flatMap(({ from, to, rainMm, responses }) => {
        const own = responses.find(({ spot }) => spot === path)
        if (own === undefined || (own.changePa === null && own.liquid !== 'seen')) return []
        return [
          {
            from,
            to,
            rainMm,
            liquid: own.liquid === 'seen',
            answered: own.clear || own.liquid === 'seen',
            changePa: own.changePa,
          },
        ]
      })
    const firstQuiet = after.findIndex(({ answered }) => !answered)
    if (firstQuiet < 0) return []
    const since = after.slice(firstQuiet)
    const back = since.find(({ answered }) => answered)
    const latest = since.at(-1)!
    const recent = since.slice(-3).filter(({ answered }) => answered).length
    if (back === undefined || !latest.answered || !(latest.liquid || recent >= held.stormsClearNeeded)) return []
    const seenAt = recordEnd ?? now
    return [
      of('rain response back', {
        cause: path,
        since: back.from,
        sureAt: latest.to,
        seenAt,
        place: { spot: path, spotName: name, spaceName },
        circumstances: ['after drain work'],
        numbers: { rainMm: latest.rainMm, ...(latest.changePa !== null && { vaporExcessPa: latest.changePa }) },
      }),
    ]
  })
}

/** Faults that show beside other probes only; what a probe shows by itself is a rule of its hours. */
const FAULTS: ReadonlySet<string> = new Set(['unit swap', 'clock jump', 'clock shift', 'moved', 'sun-struck'])
const FAULT_LASTS_MS = 7 * DAY_MS

function faults({ faults: all, recordEnd }: Found, { spots }: FoundIn, now: number): Condition[] {
  return spots.flatMap(({ path, name, spaceName }): Condition[] => {
    const own = all.filter(
      ({ spot, kind, to }) => spot === path && FAULTS.has(kind) && (recordEnd ?? now) - to < FAULT_LASTS_MS,
    )
    const first = own[0]
    if (first === undefined) return []
    const seenAt = recordEnd ?? now
    return [
      of('probe gone bad', {
        cause: `${path} beside others`,
        since: first.from,
        sureAt: seenAt,
        seenAt,
        audience: ['contractor'],
        place: { spot: path, spotName: name, spaceName },
        about: first.kind,
        numbers: { badHours: (first.to - first.from) / 3_600_000 },
      }),
    ]
  })
}
