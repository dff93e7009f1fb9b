/** Stations as their page handles them: what each is and how it goes, its table looked at, fetched, its past filled in. */
import { readFile } from 'node:fs/promises'
import { Readable } from 'node:stream'
import { thresholds } from '../../advice/thresholds.ts'
import { type HeadLine, headLines, type KeptFile, type KeptFiles } from '../../files/keptFiles.ts'
import { dewPointOf } from '../../series/dewPoint.ts'
import { instantOfLocalText } from '../../series/localTime.ts'
import type { Database } from '../../store/open.ts'
import { readFirmSettings } from '../../store/settings.ts'
import { begunBackfill, findLastHeard, type LastHeard, noteBackfill } from '../../store/stationFetches.ts'
import { attachStation, detachStation } from '../../store/stationHouses.ts'
import {
  addStation,
  type Backfill,
  changeStation,
  findStation,
  findStations,
  removeStation,
  type StationKind,
  StationRefused,
  type StationRow,
} from '../../store/stations.ts'
import type { Answers, Look } from '../csv/understanding.ts'
import { isKnownZone } from '../csv/zones.ts'
import { lookAtSource } from '../import.ts'
import type { OutdoorQuantity } from '../stationQuantities.ts'
import { NEEDS_ANSWER, type StationOutcome, sourceOf } from './fetchStation.ts'
import { type FetchedText, MOST_BYTES } from './fetchText.ts'
import { openPoints, probesOfStation, settledAnswers } from './mapping.ts'
import { BACKFILL_WINDOW_MS, dueAt, type StationSchedule } from './schedule.ts'
import { asksForSpan, fillStationUrl, shownUrl, stationUrlProblem } from './stationUrl.ts'

export interface StationView {
  key: string
  name: string
  kind: StationKind
  quantities: string[]
  timeZone: string
  /** Without its secrets. */
  url: string | null
  asksForSpan: boolean
  everyMin: number | null
  holdBackMin: number
  answers: Answers
  fileProbes: string[]
  /** The logger's probe that is this station; null where it has its own. */
  probe: string | null
  houses: StationRow['houses']
  last: (LastHeard & { dewPointC: number | null }) | null
  /** It reports by itself, and its last reading is older than the firm's threshold. */
  stale: boolean
  fetch: {
    triedAt: number | null
    okAt: number | null
    problem: string | null
    needsAnswer: boolean
    failures: number
    stored: number
    nextAt: number | null
  }
  backfill: Pick<Backfill, 'from' | 'nextAt' | 'toAt' | 'stored' | 'state' | 'problem'> | null
}

export interface StationGiven {
  name: string
  kind: StationKind
  quantities?: string[]
  timeZone?: string
  /** As typed, or as it was shown: then the stored one stays. */
  url?: string | null
  everyMin?: number | null
  holdBackMin?: number
  answers?: Answers
  fileProbes?: string[]
  probe?: string
}

export interface StationLook {
  kept: KeptFile
  head: HeadLine[]
  look: Look
  answers: Answers
  /** What is to be stored with the station, so that nothing is guessed from a later table. */
  settled: Answers
  /** What keeps it from being fetched by itself, in sentences. */
  open: string[]
  probes: string[]
  /** What the station will tell. */
  quantities: OutdoorQuantity[]
}

export interface StationDesk {
  staleHours(): Promise<number>
  list(): Promise<StationView[]>
  find(key: string): Promise<StationView | undefined>
  /** The rest throw StationRefused with a sentence. */
  add(key: string, given: StationGiven): Promise<void>
  change(key: string, given: StationGiven): Promise<void>
  remove(key: string): Promise<void>
  attach(key: string, houseKey: string, who: string): Promise<void>
  detach(key: string, houseKey: string, who: string): Promise<void>
  fetchNow(key: string): Promise<StationOutcome>
  backfill(key: string, from: string): Promise<void>
  /** Fetched once; with `file` the table fetched before is looked at again. @throws FetchRefused */
  look(asked: LookAsked): Promise<StationLook>
}

export interface LookAsked {
  url: string
  timeZone: string
  answers: Answers
  fileProbes: string[]
  /** The stored station that the address is of, where it is as it was shown. */
  key?: string
  file?: string
}

export interface StationDeskDeps {
  db: Database
  now: () => number
  kept: KeptFiles
  schedule: StationSchedule
  fetchText: (asked: { url: string }) => Promise<FetchedText>
}

/** Whose the files kept aside for a look are: those of no house. */
const STATION_FILES = 'a station'
const HEAD_LINES = 12
const HOUR_MS = 3_600_000
const DAY_MS = 24 * HOUR_MS

export function createStationDesk({ db, now, kept, schedule, fetchText }: StationDeskDeps): StationDesk {
  const staleHours = async () => thresholds(await readFirmSettings(db)).stationStaleHours

  async function viewOf(station: StationRow, staleH: number): Promise<StationView> {
    const { key, name, kind, quantities, config, probe, houses, fetch } = station
    const last = await findLastHeard(db, station.probeId)
    const fetches = kind === 'https'
    return {
      key,
      name,
      kind,
      quantities,
      timeZone: config.timeZone,
      url: config.url === null ? null : shownUrl(config.url),
      asksForSpan: config.url !== null && asksForSpan(config.url),
      everyMin: config.everyMin,
      holdBackMin: config.holdBackMin,
      answers: config.answers as Answers,
      fileProbes: config.fileProbes,
      probe: kind === 'mqtt' ? probe : null,
      houses,
      last: last && { ...last, dewPointC: dewPointOf(last) },
      stale: kind !== 'file' && (last === null || now() - last.at > staleH * HOUR_MS),
      fetch: {
        triedAt: fetch?.triedAt || null,
        okAt: fetch?.okAt ?? null,
        problem: fetch?.problem ?? null,
        needsAnswer: fetch?.problem?.startsWith(NEEDS_ANSWER) ?? false,
        failures: fetch?.failures ?? 0,
        stored: fetch?.stored ?? 0,
        nextAt: fetches ? nextOf(dueAt(station), now()) : null,
      },
      backfill: config.backfill,
    }
  }

  const stationOf = async (key: string) => {
    const station = await findStation(db, key)
    if (!station) throw new StationRefused('unknown station', `There is no station "${key}".`)
    return station
  }

  return {
    staleHours,
    async list() {
      const staleH = await staleHours()
      return Promise.all((await findStations(db)).map((station) => viewOf(station, staleH)))
    },
    async find(key) {
      const station = await findStation(db, key)
      return station && viewOf(station, await staleHours())
    },
    async add(key, given) {
      const { quantities = [], ...rest } = soundOf(given, null)
      await addStation(db, { key, quantities, ...rest })
      schedule.wake()
    },
    async change(key, given) {
      const before = await stationOf(key)
      const { quantities = before.quantities, ...rest } = soundOf(given, before)
      await changeStation(db, key, { quantities, ...rest })
      schedule.wake()
    },
    remove: (key) => removeStation(db, key),
    attach: (key, houseKey, who) => attachStation(db, key, houseKey, { now: now(), who }),
    detach: (key, houseKey, who) => detachStation(db, key, houseKey, { now: now(), who }),
    async fetchNow(key) {
      const { kind } = await stationOf(key)
      if (kind !== 'https') throw new StationRefused('bad', 'This station has no address to fetch from.')
      const outcome = await schedule.fetchNow(key)
      if (outcome === undefined) throw new StationRefused('unknown station', `There is no station "${key}".`)
      return outcome
    },
    async backfill(key, from) {
      const { id, kind, config } = await stationOf(key)
      if (kind !== 'https' || config.url === null || !asksForSpan(config.url)) {
        throw new StationRefused(
          'bad',
          'The past can only be fetched where the address asks for a span: put {from} and {to} into it. Otherwise bring the past in as a file.',
        )
      }
      const [nextAt, toAt] = [beginningOf(from, config.timeZone), now()]
      if (!(nextAt < toAt)) throw new StationRefused('bad', `${from} is not in the past.`)
      await noteBackfill(db, id, begunBackfill({ from, nextAt, toAt }), 'any')
      schedule.wake()
    },
    async look({ url, timeZone, answers, fileProbes, key, file }) {
      if (!isKnownZone(timeZone)) throw badZone(timeZone)
      const earlier = file === undefined ? null : await kept.find(STATION_FILES, file)
      const before = key === undefined ? undefined : await findStation(db, key)
      const found = earlier ?? (await fetched(urlMeant(url, before ?? null), timeZone))
      const source = sourceOf(found.name, await readFile(found.path))
      const looked = await lookAtSource({ db, now }, source, { timeZone, answers, maxUnzippedBytes: MOST_BYTES })
      const head = await headLines(found.path, HEAD_LINES).catch(() => [])
      const { look } = looked
      if (!look.ok) return { kept: found, head, ...looked, settled: answers, open: [], probes: [], quantities: [] }
      // What a look assumes counts as answered here: the person sees it, and stores it with the station.
      const settled = settledAnswers(look, looked.answers)
      const { probes, quantities } = probesOfStation(look.understanding, fileProbes)
      const open = openPoints(look, settled, { fileProbes, quantities: [] })
      return { kept: found, head, ...looked, settled, open, probes, quantities }
    },
  }

  async function fetched(template: string, timeZone: string): Promise<KeptFile> {
    const span = { from: now() - BACKFILL_WINDOW_MS, to: now() }
    const answer = await fetchText({ url: fillStationUrl(template, span, timeZone) })
    if (answer.state === 'unchanged')
      throw new StationRefused('bad', 'The address says that nothing changed, though nothing was fetched before.')
    await kept.dropOlderThan(now() - DAY_MS)
    return kept.keep(STATION_FILES, answer.name, Readable.from([answer.bytes]))
  }
}

const nextOf = (due: number | null, now: number): number | null => (due === null ? null : Math.max(due, now))

const badZone = (zone: string) =>
  new StationRefused('bad', `There is no time zone "${zone}". Use UTC or a name such as America/New_York.`)

/** The address as typed; one that comes back as it was shown, its secrets hidden, is the stored one. */
function urlMeant(text: string, before: StationRow | null): string {
  const stored = before?.config.url ?? null
  if (stored !== null && text.trim() === shownUrl(stored)) return stored
  const problem = stationUrlProblem(text.trim())
  if (problem !== null) throw new StationRefused('bad', problem)
  if (text.includes('…')) {
    throw new StationRefused(
      'bad',
      'A part of the address is hidden (…) and the rest was changed. Enter the whole address anew.',
    )
  }
  return text.trim()
}

/** What is stored of what was typed. */
function soundOf(given: StationGiven, before: StationRow | null) {
  const { name, kind, quantities, probe, timeZone, url, everyMin, holdBackMin, answers, fileProbes } = given
  if (timeZone !== undefined && !isKnownZone(timeZone)) throw badZone(timeZone)
  if (kind === 'mqtt' && probe === undefined && before === null) {
    throw new StationRefused(
      'bad',
      'Name the probe of the logger that is this station, such as gate-7/air. It is enrolled like any other.',
    )
  }
  if (kind !== 'mqtt' && probe !== undefined) {
    throw new StationRefused('bad', 'Only a station that reports by MQTT is a logger of its own; leave the probe out.')
  }
  const meant = url == null ? url : urlMeant(url, before)
  if (kind === 'https' && (meant ?? before?.config.url ?? null) === null) {
    throw new StationRefused('bad', 'Enter the address that the readings are fetched from.')
  }
  const config = {
    timeZone,
    url: meant,
    everyMin,
    holdBackMin,
    answers: answers as Record<string, unknown>,
    fileProbes,
  }
  return {
    name,
    kind,
    quantities,
    ...(probe !== undefined && { probe }),
    config: Object.fromEntries(Object.entries(config).filter(([, value]) => value !== undefined)),
  }
}

/** @throws StationRefused for a day that no calendar has */
function beginningOf(day: string, timeZone: string): number {
  try {
    return instantOfLocalText(day, timeZone)
  } catch (error) {
    if (!(error instanceof RangeError)) throw error
    throw new StationRefused('bad', error.message)
  }
}
