/** Fetches stations when they are due, one at a time, and fills in their past window by window between. */

import { noteBackfill, noteFetch } from '../../store/stationFetches.ts'
import { type Backfill, findStation, findStations, type StationRow } from '../../store/stations.ts'
import { fetchStation, type StationFetchDeps, type StationOutcome } from './fetchStation.ts'
import type { Span } from './stationUrl.ts'

export interface StationSchedule {
  start(): void
  /** What runs is broken off; it is safe to repeat. */
  stop(): Promise<void>
  /** Fetches one now, after what runs; undefined: no such station. */
  fetchNow(key: string): Promise<StationOutcome | undefined>
  /** Something changed: look anew who is due. */
  wake(): void
}

export interface StationScheduleDeps extends StationFetchDeps {
  /** Runs once after so many ms; gives what takes it back. Tests give their own. */
  later?: (ms: number, run: () => void) => () => void
  /** Failures that nobody foresaw. */
  onUnexpected: (error: unknown) => void
}

const MINUTE_MS = 60_000
const DAY_MS = 24 * 60 * MINUTE_MS
const FIRST_DELAY_MS = 5 * MINUTE_MS
const LONGEST_DELAY_MS = 6 * 60 * MINUTE_MS
/** A service that is asked for years is not asked all at once. */
const BACKFILL_PAUSE_MS = 2000
export const BACKFILL_WINDOW_MS = 31 * DAY_MS
const BACKFILL_TRIES = 4
/** Rows come late, and sums of a day at its end: each fetch begins before the newest one stored. */
const OVERLAP_MS = DAY_MS
const LONGEST_SLEEP_MS = 60 * MINUTE_MS

/** After so many failures in a row. */
export const delayAfter = (failures: number): number =>
  Math.min(LONGEST_DELAY_MS, FIRST_DELAY_MS * 2 ** Math.min(20, Math.max(0, failures - 1)))

/** When it is fetched next; null when nobody but a person does. */
export function dueAt({ kind, config, fetch }: StationRow): number | null {
  if (kind !== 'https' || config.url === null || config.everyMin === null) return null
  if (fetch === null || fetch.triedAt === 0) return 0
  return fetch.triedAt + (fetch.failures > 0 ? delayAfter(fetch.failures) : config.everyMin * MINUTE_MS)
}

function backfillDueAt({ kind, config: { backfill } }: StationRow): number | null {
  if (kind !== 'https' || backfill?.state !== 'running') return null
  return backfill.triedAt + (backfill.failures > 0 ? delayAfter(backfill.failures) : BACKFILL_PAUSE_MS)
}

/** From before the newest reading it brought, at most a month back. */
export function spanOfFetch({ fetch }: StationRow, now: number): Span {
  const oldest = now - BACKFILL_WINDOW_MS
  return { from: Math.max(oldest, fetch?.newestAt == null ? oldest : fetch.newestAt - OVERLAP_MS), to: now }
}

export function createStationSchedule(deps: StationScheduleDeps): StationSchedule {
  const { db, now, later = laterByTimer, onUnexpected } = deps
  const stopped = new AbortController()
  let line: Promise<unknown> = Promise.resolve()
  let started = false
  let takeBack = () => {}

  /** One after another: a station must not be fetched twice at once, and a slow line not be crowded. */
  function inLine<T>(work: () => Promise<T>): Promise<T> {
    const run = line.then(work)
    line = run.catch(() => {})
    return run
  }

  async function fetchAndNote(station: StationRow): Promise<StationOutcome> {
    const at = now()
    const outcome = await fetchStation(deps, station, spanOfFetch(station, at), { again: true, signal: stopped.signal })
    if (outcome.state === 'stored') await noteFetch(db, station.id, { at, ok: true, ...outcome })
    else if (outcome.state === 'unchanged') await noteFetch(db, station.id, { at, ok: true, unchanged: true })
    else await noteFetch(db, station.id, { at, ok: false, problem: outcome.problem })
    return outcome
  }

  async function fillNext(station: StationRow): Promise<void> {
    const backfill = station.config.backfill!
    const to = Math.min(backfill.nextAt + BACKFILL_WINDOW_MS, backfill.toAt)
    const outcome = await fetchStation(
      deps,
      station,
      { from: backfill.nextAt, to },
      { again: false, signal: stopped.signal },
    )
    await noteBackfill(db, station.id, after(backfill, outcome, to, now()), backfill)
  }

  /** The longest due first; @returns ms until somebody is due. */
  async function turn(): Promise<number> {
    const stations = await findStations(db)
    const byDue = (dueOf: (station: StationRow) => number | null) =>
      stations
        .flatMap((station) => {
          const at = dueOf(station)
          return at === null ? [] : [{ station, at }]
        })
        .sort((a, b) => a.at - b.at)
    const [fetches, backfills] = [byDue(dueAt), byDue(backfillDueAt)]
    const [due, filling] = [fetches[0], backfills[0]]
    if (due && due.at <= now()) {
      await fetchAndNote(due.station)
      return 0
    }
    if (filling && filling.at <= now()) {
      await fillNext(filling.station)
      return 0
    }
    const next = Math.min(due?.at ?? Number.POSITIVE_INFINITY, filling?.at ?? Number.POSITIVE_INFINITY)
    return Math.min(LONGEST_SLEEP_MS, Math.max(0, next - now()))
  }

  function sleep(ms: number): void {
    takeBack()
    if (started) takeBack = later(ms, look)
  }

  function look(): void {
    void inLine(turn).then(sleep, (error: unknown) => {
      if (stopped.signal.aborted) return
      onUnexpected(error)
      sleep(FIRST_DELAY_MS)
    })
  }

  return {
    start() {
      started = true
      sleep(0)
    },
    async stop() {
      started = false
      takeBack()
      stopped.abort()
      await line
    },
    fetchNow: (key) =>
      inLine(async () => {
        const station = await findStation(db, key)
        return station && fetchAndNote(station)
      }),
    wake: () => sleep(0),
  }
}

/** A backfill after one of its windows. */
function after(backfill: Backfill, outcome: StationOutcome, to: number, at: number): Backfill {
  if (outcome.state === 'failed' || outcome.state === 'needs an answer') {
    const failures = backfill.failures + 1
    const stops = outcome.state === 'needs an answer' || failures >= BACKFILL_TRIES
    return { ...backfill, failures, triedAt: at, state: stops ? 'stopped' : 'running', problem: outcome.problem }
  }
  const stored = backfill.stored + (outcome.state === 'stored' ? outcome.stored : 0)
  const done = to >= backfill.toAt
  // A window begins with the last day of the one before: services differ in whether they send the last day whole.
  const nextAt = done ? to : to - OVERLAP_MS
  return { ...backfill, stored, nextAt, failures: 0, triedAt: at, state: done ? 'done' : 'running', problem: null }
}

const laterByTimer = (ms: number, run: () => void): (() => void) => {
  const timer = setTimeout(run, ms)
  timer.unref()
  return () => clearTimeout(timer)
}
