/** Which logger stands where in a list: those that need somebody first, house by house. */
import type { IntakeAnswer, Logger } from '../../server/http/contract/loggers.ts'
import { fullName } from './words.ts'

type SilentHouse = IntakeAnswer['silentHouses'][number]

export interface Group {
  /** Null for those that belong to no house yet. */
  house: Logger['house']
  loggers: Logger[]
  /** Nothing at all is heard of it: one cause, told once. */
  silent: SilentHouse | null
}

const ORDER: readonly Logger['standing'][] = ['late', 'waiting', 'heard', 'read out', 'retired']
const rank = ({ standing }: Logger): number => ORDER.indexOf(standing)

export const needsSomebody = ({ standing }: Logger): boolean => standing === 'late' || standing === 'waiting'

/** By urgency, then by name as people count: Box 2 before Box 10. */
const collator = new Intl.Collator('en-US', { numeric: true })
export const inOrder = (loggers: readonly Logger[]): Logger[] =>
  [...loggers].sort((a, b) => rank(a) - rank(b) || collator.compare(fullName(a), fullName(b)))

/** Silent houses, then those with most urgent loggers, then by name; those of no house end their kind. */
export function grouped(loggers: readonly Logger[], silentHouses: readonly SilentHouse[]): Group[] {
  const keys = [...new Set(loggers.map(({ house }) => house?.key ?? null))]
  const groups = keys.map((key): Group => {
    const own = loggers.filter(({ house }) => (house?.key ?? null) === key)
    const house = own[0]!.house
    const silent = silentHouses.find((one) => one.house === house?.key) ?? null
    return { house, loggers: inOrder(own), silent }
  })
  const urgency = ({ silent, loggers: own }: Group) => (silent === null ? rank(own[0]!) : -1)
  return groups.sort(
    (a, b) =>
      urgency(a) - urgency(b) ||
      Number(a.house === null) - Number(b.house === null) ||
      collator.compare(a.house?.name ?? '', b.house?.name ?? ''),
  )
}

/** How many need somebody; a house that is silent as one counts once. */
export function countNeeds(groups: readonly Group[]): number {
  return groups.reduce(
    (sum, { silent, loggers }) =>
      sum +
      (silent === null
        ? loggers.filter(needsSomebody).length
        : 1 + loggers.filter(({ standing }) => standing === 'waiting').length),
    0,
  )
}

/** By name, key, code, house or spot. */
export function matching(loggers: readonly Logger[], wanted: string): Logger[] {
  const text = wanted.trim().toLowerCase()
  return loggers.filter(({ name, key, code, house, probes }) =>
    [name, key, code, house?.name, ...probes.map(({ placed }) => placed?.spotName)].some(
      (one) => one?.toLowerCase().includes(text) ?? false,
    ),
  )
}

/** What somebody types or scans from a label: the code, the key, or the whole address of the logger's page. */
export function labelText(typed: string): string {
  const last = /\/loggers\/([^/?#]+)/.exec(typed)?.[1]
  return (last === undefined ? typed : decodeURIComponent(last)).trim().replace(/\s+/g, '')
}
