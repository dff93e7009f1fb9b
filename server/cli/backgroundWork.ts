/** What the service does by itself beside answering: it fetches weather, sets clocks right, watches, writes and sends letters, backs up. */
import type { FastifyBaseLogger } from 'fastify'
import type { BackupSchedule } from '../files/backupSchedule.ts'
import type { Intake } from '../ingest/intake.ts'
import { fetchText } from '../ingest/station/fetchText.ts'
import { createStationSchedule, type StationSchedule } from '../ingest/station/schedule.ts'
import { createRepeated, type Repeated } from '../jobs/repeated.ts'
import type { Database } from '../store/open.ts'
import { correctClocks } from '../study/clockCorrections.ts'
import type { OwnerViewDeps } from '../study/view/ownerPage.ts'
import { createWatcher } from '../watch/watcher.ts'
import { type BackupSettings, createBackups } from './backups.ts'
import { createLetters, type Letters } from './letters.ts'
import { ownerLevels } from './ownerPages.ts'
import type { LetterSettings } from './settings.ts'

export interface BackgroundOptions {
  now: () => number
  intake: Intake
  publicUrl: string
  /** Left out, letters wait in the outbox. */
  letters: LetterSettings | undefined
  /** Left out, nothing is backed up. */
  backup: BackupSettings | undefined
  ownerView: OwnerViewDeps
  /** Has a house's findings and balance made anew. */
  study(houseKey: string): void
  /** Asked each time: the log is there only once the service is built. */
  log: () => Pick<FastifyBaseLogger, 'info' | 'warn' | 'error'>
}

/** Of all of it nothing is done before it is started. */
export interface BackgroundWork {
  stationSchedule: StationSchedule
  backups: BackupSchedule | undefined
  letters: Letters
  start(): void
  /** What is under way is finished, or given up where it would take long. */
  stop(): Promise<void>
}

/** A clock drifts by seconds a day: a few looks a day are plenty. */
const CLOCKS_EVERY_MS = 6 * 3_600_000
const CLOCKS_FIRST_MS = 60_000

export async function createBackgroundWork(
  db: Database,
  { now, intake, publicUrl, letters: letterSettings, backup, ownerView, study, log }: BackgroundOptions,
): Promise<BackgroundWork> {
  const onUnexpected = (what: string) => (error: unknown) => log().error({ error }, what)
  const plainLog = {
    info: (sentence: string) => log().info(sentence),
    warn: (sentence: string) => log().warn(sentence),
  }
  const stationSchedule = createStationSchedule({
    db,
    intake,
    now,
    fetchText,
    onUnexpected: onUnexpected('fetching stations'),
  })
  const clocks = createRepeated(
    async () => {
      for (const { logger, house, sentence } of await correctClocks(db, { now: now(), who: 'the service' })) {
        log().info({ logger, house }, sentence)
      }
    },
    { everyMs: CLOCKS_EVERY_MS, firstMs: CLOCKS_FIRST_MS, onUnexpected: onUnexpected('clocks') },
  )
  const watcher = createWatcher({
    db,
    now,
    study,
    onTransitions: (house, transitions) =>
      log().info({ house, changes: transitions.map(({ watch, change }) => `${watch}: ${change}`) }, 'notices'),
    onTrouble: (house, error) => log().error({ house, error }, 'watching'),
  })
  const letters = await createLetters(db, letterSettings, {
    publicUrl,
    now,
    levelOf: ownerLevels(db, ownerView),
    log: plainLog,
    onUnexpected: onUnexpected('letters'),
  })
  const backups =
    backup && createBackups(db, backup, { now, log: { ...plainLog, info: (facts, what) => log().info(facts, what) } })

  const all: Repeated[] = [stationSchedule, ...(backups ? [backups] : []), clocks, letters, watcher]
  return {
    stationSchedule,
    backups,
    letters,
    start() {
      for (const work of all) work.start()
    },
    async stop() {
      await Promise.all(all.map((work) => work.stop()))
    },
  }
}
