/** Loggers that report by themselves, as of now: who is heard, who is late, and which houses are silent as a whole. */
import { NUMBER_DEFAULTS } from '../advice/defaults.ts'
import { dewPointOf } from '../series/dewPoint.ts'
import {
  type LastReading,
  type LoggersAsked,
  listLoggers,
  type StoredLogger,
  type StoredProbe,
} from '../store/loggers.ts'
import type { Database } from '../store/open.ts'
import { fellSilentTogether, silentTogetherSentence, TOGETHER_MS } from './silentTogether.ts'

export type LoggerStanding = 'late' | 'waiting' | 'heard' | 'read out' | 'retired'

export interface LiveLogger extends Omit<StoredLogger, 'probes'> {
  standing: LoggerStanding
  probes: (Omit<StoredProbe, 'last'> & { last: (LastReading & { dewPointC: number | null }) | null })[]
}

export interface SilentHouse {
  house: string
  name: string
  loggers: number
  /** When the last of them was heard. */
  since: number
  sentence: string
}

/** Short intervals are missed by one lost message; nobody crawls for that. */
const LATE_AT_LEAST_MS = 15 * 60_000

/** @param most intervals after which it is late */
export function standingOf(
  { retiredAt, hasRadio, heardAt, intervalS }: Pick<StoredLogger, 'retiredAt' | 'hasRadio' | 'heardAt' | 'intervalS'>,
  now: number,
  most: number = NUMBER_DEFAULTS.lateIntervals.value,
): LoggerStanding {
  if (retiredAt !== null) return 'retired'
  if (!hasRadio) return 'read out'
  if (heardAt === null) return 'waiting'
  return now - heardAt <= Math.max(LATE_AT_LEAST_MS, most * 1000 * (intervalS ?? 0)) ? 'heard' : 'late'
}

export async function liveLoggers(db: Database, asked: LoggersAsked): Promise<LiveLogger[]> {
  return (await listLoggers(db, asked)).map((logger) => live(logger, asked.now))
}

export const live = (logger: StoredLogger, now: number): LiveLogger => ({
  ...logger,
  standing: standingOf(logger, now),
  probes: logger.probes.map((probe) => ({
    ...probe,
    last: probe.last && { ...probe.last, dewPointC: dewPointOf(probe.last) },
  })),
})

/**
 * Houses where every radio logger that hangs there and was ever heard is late, at least two, and all fell silent within
 * half an hour (or within their interval, where that is longer: they are heard only so often).
 */
export function silentHouses(loggers: readonly LiveLogger[]): SilentHouse[] {
  const ofHouse = new Map<string, LiveLogger[]>()
  for (const logger of loggers) {
    if (logger.house === null || !logger.probes.some(({ placed }) => placed !== null)) continue
    if (logger.standing !== 'heard' && logger.standing !== 'late') continue
    ofHouse.set(logger.house.key, [...(ofHouse.get(logger.house.key) ?? []), logger])
  }
  return [...ofHouse.values()].flatMap((hanging): SilentHouse[] => {
    const heardAt = hanging.map((logger) => logger.heardAt!)
    const withinMs = Math.max(TOGETHER_MS, ...hanging.map(({ intervalS }) => 1000 * (intervalS ?? 0)))
    if (hanging.some(({ standing }) => standing !== 'late') || !fellSilentTogether(heardAt, withinMs)) return []
    const { key, name, timeZone } = hanging[0]!.house!
    const sentence = silentTogetherSentence({ name, timeZone }, heardAt)
    return [{ house: key, name, loggers: hanging.length, since: Math.max(...heardAt), sentence }]
  })
}

/** Several houses at once have no gateway and no power in common. */
export function silentHousesNote(silent: readonly SilentHouse[]): string | null {
  const since = silent.map((one) => one.since)
  return fellSilentTogether(since, TOGETHER_MS)
    ? `${silent.length} houses fell silent within half an hour: look at the broker and at the network of this machine before anybody drives out.`
    : null
}
