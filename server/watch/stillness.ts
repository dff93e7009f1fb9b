/** What nobody hears of any more: loggers, a whole house at once, the power of a meter, weather stations. */
import type { Thresholds } from '../advice/defaults.ts'
import type { Condition } from './condition.ts'

export interface HeardLogger {
  logger: string
  loggerName: string
  /** Where it hangs: space key / spot key. */
  path: string
  spotName: string
  spaceName: string
  /** Its latest reading; null: none yet. */
  heardAt: number | null
  intervalS: number | null
  /** It measures the power of a machine. */
  meters: boolean
}

export interface HeardStation {
  key: string
  name: string
  heardAt: number | null
}

/** Only what reports by itself: nobody misses a logger that is read out at pick-up. */
export interface Heard {
  loggers: readonly HeardLogger[]
  stations: readonly HeardStation[]
}

const MINUTE_MS = 60_000
const HOUR_MS = 60 * MINUTE_MS
const NOWHERE = { spot: null, spotName: null, spaceName: null } as const

type Limits = Pick<
  Thresholds,
  | 'silentHours'
  | 'silentOwnerHours'
  | 'lateIntervals'
  | 'silentTogetherMinutes'
  | 'powerLostHours'
  | 'stationStaleHours'
>

export function stillConditions({ loggers, stations }: Heard, now: number, held: Limits): Condition[] {
  const heard = loggers.filter((logger): logger is Known => logger.heardAt !== null)
  return [...silences(heard, now, held), ...powerLost(heard, now, held), ...staleStations(stations, now, held)]
}

type Known = HeardLogger & { heardAt: number }

function silences(loggers: readonly Known[], now: number, held: Limits): Condition[] {
  const silent = loggers.filter(({ heardAt }) => now - heardAt >= held.silentHours * HOUR_MS)
  const whole = silent.length > 1 && silent.length === loggers.length && atOnce(silent, held)
  const groups = whole ? [silent] : silent.map((logger) => [logger])
  return groups.map((group): Condition => {
    const since = Math.max(...group.map(({ heardAt }) => heardAt))
    const long = now - since >= held.silentOwnerHours * HOUR_MS
    const [first] = group as [Known]
    return {
      watch: 'silent',
      cause: whole ? '' : first.logger,
      since,
      sureAt: since + held.silentHours * HOUR_MS,
      seenAt: now,
      urgency: 'soon',
      audience: long ? ['owner', 'contractor'] : ['contractor'],
      place: whole ? NOWHERE : { spot: first.path, spotName: first.spotName, spaceName: first.spaceName },
      alsoAt: [],
      about: group.map(({ loggerName }) => loggerName).join(', '),
      circumstances: whole ? ['whole house'] : [],
      numbers: { silentHours: (now - since) / HOUR_MS, silentLoggers: group.length },
    }
  })
}

/** Last words this close are one event; loggers that report seldom cannot be closer than their interval. */
function atOnce(loggers: readonly Known[], held: Limits): boolean {
  const withinMs = Math.max(
    held.silentTogetherMinutes * MINUTE_MS,
    ...loggers.map(({ intervalS }) => 1000 * (intervalS ?? 0)),
  )
  const at = loggers.map(({ heardAt }) => heardAt)
  return Math.max(...at) - Math.min(...at) <= withinMs
}

/** A meter hangs on the outlet of its machine: when others are heard and it is not, the outlet is dead. */
function powerLost(loggers: readonly Known[], now: number, held: Limits): Condition[] {
  const isLate = ({ heardAt, intervalS }: Known) =>
    now - heardAt >= Math.max(held.powerLostHours * HOUR_MS, held.lateIntervals * 1000 * (intervalS ?? 0))
  return loggers.flatMap((meter): Condition[] => {
    if (!meter.meters || !isLate(meter)) return []
    if (!loggers.some((other) => !other.meters && !isLate(other) && other.heardAt > meter.heardAt)) return []
    return [
      {
        watch: 'power lost',
        cause: meter.logger,
        since: meter.heardAt,
        sureAt: meter.heardAt + held.powerLostHours * HOUR_MS,
        seenAt: now,
        urgency: 'urgent',
        audience: ['owner', 'contractor'],
        place: { spot: meter.path, spotName: meter.spotName, spaceName: meter.spaceName },
        alsoAt: [],
        about: meter.loggerName,
        circumstances: [],
        numbers: { silentHours: (now - meter.heardAt) / HOUR_MS },
      },
    ]
  })
}

function staleStations(stations: readonly HeardStation[], now: number, held: Limits): Condition[] {
  return stations.flatMap(({ key, name, heardAt }): Condition[] => {
    if (heardAt === null || now - heardAt < held.stationStaleHours * HOUR_MS) return []
    return [
      {
        watch: 'station stale',
        cause: key,
        since: heardAt,
        sureAt: heardAt + held.stationStaleHours * HOUR_MS,
        seenAt: now,
        urgency: 'note',
        audience: ['contractor'],
        place: NOWHERE,
        alsoAt: [],
        about: name,
        circumstances: [],
        numbers: { silentHours: (now - heardAt) / HOUR_MS },
      },
    ]
  })
}

/** When time alone would change something; Infinity when nothing waits. */
export function nextStillness({ loggers, stations }: Heard, now: number, held: Limits): number {
  const spans = [held.silentHours, held.silentOwnerHours, held.powerLostHours].map((hours) => hours * HOUR_MS)
  const due = [
    ...loggers.flatMap(({ heardAt, intervalS }) =>
      heardAt === null ? [] : [...spans, held.lateIntervals * 1000 * (intervalS ?? 0)].map((span) => heardAt + span),
    ),
    ...stations.flatMap(({ heardAt }) => (heardAt === null ? [] : [heardAt + held.stationStaleHours * HOUR_MS])),
  ]
  return Math.min(Number.POSITIVE_INFINITY, ...due.filter((at) => at > now))
}
