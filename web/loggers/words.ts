/** What the service tells of loggers, in words for people. */
import type { IntakeAnswer, Logger, RefusedMessagesAnswer } from '../../server/http/contract/loggers.ts'
import type { Units } from '../../server/http/contract/words.ts'
import { momentText } from '../base/time.ts'
import { plain, shownAs, withUnit } from '../base/units.ts'

/** Instants that belong to no house are told by the clock of whoever looks. */
export const OWN_ZONE = Intl.DateTimeFormat().resolvedOptions().timeZone
export const zoneOf = ({ house }: Pick<Logger, 'house'>): string => house?.timeZone ?? OWN_ZONE

export const nameOf = ({ name, key }: Pick<Logger, 'name' | 'key'>): string => name ?? key

/** The name alone does not tell two of a delivery apart; the code on the label does. */
export const fullName = (logger: Pick<Logger, 'name' | 'key' | 'code'>): string =>
  logger.name !== null && logger.code !== null ? `${logger.name} (${logger.code})` : nameOf(logger)

export const STANDING_WORDS: Record<Logger['standing'], string> = {
  late: 'Late',
  waiting: 'Never heard yet',
  heard: 'Heard',
  'read out': 'Read out at pick-up',
  retired: 'Retired',
}

type Last = NonNullable<Logger['probes'][number]['last']>

/** "68.2 °F, 81 % RH, wood 14.2 %": what the last reading holds, and nothing else. */
export function valuesText(last: Last, units: Units, { dewPoint = false }: { dewPoint?: boolean } = {}): string {
  const parts: string[] = []
  if (last.tempC !== null) parts.push(withUnit(last.tempC, 'tempC', units))
  if (last.rhPct !== null) parts.push(withUnit(last.rhPct, 'rhPct', units))
  if (dewPoint && last.dewPointC !== null) parts.push(`dew point ${withUnit(last.dewPointC, 'tempC', units)}`)
  if (last.woodMcPct !== null) parts.push(`wood ${plain(last.woodMcPct, shownAs('woodMcPct', units))} %`)
  if (last.waterPresent !== null) parts.push(last.waterPresent ? 'water present' : 'no water')
  return parts.length === 0 ? 'no values' : parts.join(', ')
}

/** Reading by reading, each probe named where there are several. */
export function readingsText({ probes }: Pick<Logger, 'probes'>, units: Units): string {
  return probes
    .flatMap(({ probe, last }) => {
      if (last === null) return []
      return [probes.length === 1 ? valuesText(last, units) : `${probe}: ${valuesText(last, units)}`]
    })
    .join('; ')
}

/** When the latest reading of any of its probes was; null before the first. */
export function lastAt({ probes }: Pick<Logger, 'probes'>): number | null {
  const at = probes.flatMap(({ last }) => (last === null ? [] : [last.at]))
  return at.length === 0 ? null : Math.max(...at)
}

/** Numbered messages: what is on its way still, and what never comes. Null when nothing is known to be missing. */
export function gapsText({ missed, missing }: Pick<Logger, 'missed' | 'missing'>): string | null {
  const told: string[] = []
  if (missing > 0) told.push(`${messages(missing)} asked for again`)
  if (missed > 0) told.push(`${messages(missed)} lost for good`)
  return told.length === 0 ? null : told.join(', ')
}
const messages = (count: number): string => (count === 1 ? '1 message' : `${count.toLocaleString('en-US')} messages`)

export const batteryText = (batteryV: number | null): string =>
  batteryV === null ? 'not told' : `${batteryV.toFixed(2)} V`

/** Common practice, no source: below about −110 dBm most radios of this kind lose messages. */
const WEAK_DBM = -110
export function signalText(signalDbm: number | null): string {
  if (signalDbm === null) return 'not told'
  const number = `${plain(signalDbm, { of: (dbm) => dbm, digits: 0 })} dBm`
  return signalDbm < WEAK_DBM ? `${number}, weak: move it, or raise its antenna` : number
}

/** Clocks this near are the same for hourly means. */
const CLOCK_FINE_S = 60
export function clockText(clockOffS: number | null): string {
  if (clockOffS === null) return 'not told'
  const off = Math.abs(clockOffS)
  if (off < 1.5) return 'right to the second'
  const amount = off < 120 ? `${Math.round(off)} s` : `${Math.round(off / 60)} min`
  const told = `${amount} ${clockOffS > 0 ? 'fast' : 'slow'}`
  return off <= CLOCK_FINE_S ? told : `${told}; measured day by day, and put right by dated corrections`
}

/** "every 15 min" */
export function intervalText(intervalS: number | null): string {
  if (intervalS === null) return 'not told'
  if (intervalS % 3600 === 0) return intervalS === 3600 ? 'every hour' : `every ${intervalS / 3600} h`
  return intervalS % 60 === 0 ? `every ${intervalS / 60} min` : `every ${intervalS} s`
}

export interface Sentence {
  /** Somebody has to do something. */
  trouble: boolean
  text: string
}

/** The state of what takes readings in, trouble first; one sentence each. */
export function intakeSentences({ broker, paused, waitingMessages, notes }: IntakeAnswer): Sentence[] {
  const said: Sentence[] = []
  if (paused !== null) {
    const waiting = waitingMessages > 0 ? ` ${messages(waitingMessages)} wait for it.` : ''
    said.push({ trouble: true, text: `Readings are not stored for now: ${paused}${waiting}` })
  }
  if (broker.problem !== null) {
    const next = broker.nextTryAt === null ? '' : ` Tried again at ${clockTime(broker.nextTryAt)}.`
    said.push({ trouble: true, text: `${broker.problem}${next}` })
  } else if (broker.kind !== 'none') {
    said.push({ trouble: false, text: brokerText(broker) })
  }
  for (const note of notes) said.push({ trouble: true, text: note })
  return said
}

function brokerText({ kind, address, state, connections, since }: IntakeAnswer['broker']): string {
  if (kind === 'own') {
    const count =
      connections === 0
        ? 'no logger is connected'
        : connections === 1
          ? '1 is connected'
          : `${connections} are connected`
    const where = isThisMachine(address) ? `${address}, on this machine only` : address
    return `Loggers are listened to at ${where}; ${count} now.`
  }
  return state === 'connected'
    ? `Connected to the broker at ${address} since ${momentText(since, OWN_ZONE)}.`
    : `Connecting to the broker at ${address}.`
}

const clockTime = (at: number): string =>
  new Intl.DateTimeFormat('en-US', { hour: 'numeric', minute: '2-digit', second: '2-digit' }).format(at)

/** Whether an address is one that only programs on the same machine reach. */
export function isThisMachine(address: string): boolean {
  try {
    const host = new URL(address.replace(/^mqtts?:/, 'http:')).hostname
    return host === 'localhost' || host === '[::1]' || host.startsWith('127.')
  } catch {
    return false
  }
}

/** What is told aloud when a logger changes: its standing, or its first values; null when it is not worth the ear. */
export function announcement(before: Logger | null, after: Logger, units: Units): string | null {
  if (before === null || before.standing === after.standing) return null
  const values = readingsText(after, units)
  switch (after.standing) {
    case 'heard':
      return `${nameOf(after)} is heard${values === '' ? '' : `: ${values}`}.`
    case 'late':
      return `${nameOf(after)} is late.`
    case 'retired':
      return `${nameOf(after)} is retired.`
    case 'waiting':
    case 'read out':
      return null
  }
}

type Refused = RefusedMessagesAnswer['refused'][number]

/** Those that came most first. */
export function refusedByReason(refused: readonly Refused[]): { reason: string; count: number; of: Refused[] }[] {
  const reasons = [...new Set(refused.map(({ reason }) => reason))]
  return reasons
    .map((reason) => {
      const of = refused.filter((one) => one.reason === reason).sort((a, b) => b.lastAt - a.lastAt)
      return { reason, count: of.reduce((sum, one) => sum + one.count, 0), of }
    })
    .sort((a, b) => b.count - a.count || a.reason.localeCompare(b.reason))
}
