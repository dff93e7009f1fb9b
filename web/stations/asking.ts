/** What is typed about a station, and what is sent of it. Pure. */
import type { NewStation, Station, StationChange, StationLook } from '../../server/http/contract/stations.ts'

export interface Draft {
  name: string
  kind: Station['kind']
  url: string
  timeZone: string
  everyMin: number | null
  holdBackMin: number
  probe: string
  fileProbes: string[]
  /** What it tells, where no look at a table says it. */
  tells: { air: boolean; rain: boolean }
}

export const EVERY = [
  { everyMin: 15, words: 'every 15 minutes' },
  { everyMin: 30, words: 'every 30 minutes' },
  { everyMin: 60, words: 'every hour' },
  { everyMin: 180, words: 'every 3 hours' },
  { everyMin: 360, words: 'every 6 hours' },
  { everyMin: 1440, words: 'once a day' },
  { everyMin: null, words: 'only when somebody asks' },
] as const

export const KIND_WORDS: Record<Station['kind'], string> = {
  https: 'Fetched from an address',
  mqtt: 'A logger of ours that reports by MQTT',
  file: 'Files brought in by hand',
}

export const newDraft = (timeZone: string): Draft => ({
  name: '',
  kind: 'https',
  url: '',
  timeZone,
  everyMin: 60,
  holdBackMin: 0,
  probe: '',
  fileProbes: [],
  tells: { air: true, rain: false },
})

export const draftOf = (station: Station): Draft => ({
  name: station.name,
  kind: station.kind,
  url: station.url ?? '',
  timeZone: station.timeZone,
  everyMin: station.everyMin,
  holdBackMin: station.holdBackMin,
  probe: station.probe ?? '',
  fileProbes: station.fileProbes,
  tells: { air: station.quantities.includes('rhPct'), rain: station.quantities.includes('rainMm') },
})

/** What is sent; the answers of a look go with it, for they belong to the address and the zone that were looked at. */
export function bodyOf(draft: Draft, look: StationLook | null): StationChange {
  const { name, kind, url, timeZone, everyMin, holdBackMin, probe, fileProbes, tells } = draft
  const plain = { name: name.trim(), kind }
  if (kind !== 'https') {
    const quantities = [
      ...(tells.air ? (['tempC', 'rhPct'] as const) : []),
      ...(tells.rain ? (['rainMm'] as const) : []),
    ]
    return kind === 'mqtt' ? { ...plain, quantities, probe: probe.trim() } : { ...plain, quantities }
  }
  return {
    ...plain,
    url: url.trim(),
    timeZone: timeZone.trim(),
    everyMin,
    holdBackMin,
    fileProbes,
    ...(look !== null && { answers: look.settled, quantities: look.quantities }),
  }
}

export const newStationOf = (key: string, body: StationChange): NewStation => ({ key, ...body })

/** Whether the table of what is typed was looked at: now, or when it was stored as it stands. */
export const isMapped = (draft: Draft, look: StationLook | null, stored: Station | null): boolean =>
  look !== null ||
  (stored !== null &&
    !stored.fetch.needsAnswer &&
    stored.kind === 'https' &&
    draft.url.trim() === stored.url &&
    draft.timeZone === stored.timeZone)

/** Why it cannot be stored yet, in a sentence; empty when it can. */
export function missingFor(draft: Draft, look: StationLook | null, stored: Station | null): string {
  if (draft.name.trim() === '') return 'Give the station a name.'
  if (draft.kind === 'mqtt') return draft.probe.includes('/') ? '' : 'Name the probe of the logger, such as gate-7/air.'
  if (draft.kind === 'file') return ''
  if (draft.url.trim() === '') return 'Enter the address.'
  if (!isMapped(draft, look, stored)) return 'Look at its table first: what each column is must be settled once.'
  if (look !== null && !look.look.ok) return 'This table cannot be read.'
  return look !== null && look.open.length > 0 ? 'What is open above must be answered first.' : ''
}

const MINUTE = 60_000

/** "in 12 min", "in 3 h"; "now" when it is due. */
export function inText(ms: number): string {
  if (ms < MINUTE) return 'now'
  if (ms < 90 * MINUTE) return `in ${Math.round(ms / MINUTE)} min`
  return `in ${Math.round(ms / (60 * MINUTE))} h`
}

/** How far the past is fetched, 0 to 1. */
export function backfillShare({ from, nextAt, toAt, state }: NonNullable<Station['backfill']>): number {
  const start = Date.parse(`${from}T00:00Z`)
  return state === 'done' || toAt <= start ? 1 : Math.min(1, Math.max(0, (nextAt - start) / (toAt - start)))
}
