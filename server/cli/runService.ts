/** Wires the service together and keeps it running until it is told to stop. */
import { existsSync, statSync } from 'node:fs'
import { join } from 'node:path'
import type { FastifyInstance } from 'fastify'
import type { BackupSchedule } from '../files/backupSchedule.ts'
import { createKeptFiles } from '../files/keptFiles.ts'
import { buildApp } from '../http/app.ts'
import type { HousesDeps } from '../http/houses.ts'
import { createLiveStreams } from '../http/liveStreams.ts'
import { listen } from '../http/loopback.ts'
import { createMetrics } from '../http/metrics.ts'
import { createFileDesk } from '../ingest/fileDesk.ts'
import { createDemoHouse } from '../ingest/folder/demoHouse.ts'
import { IMPORT_KIND, importHandler } from '../ingest/importJob.ts'
import { createIntake } from '../ingest/intake.ts'
import {
  type BrokerChoice,
  type IntakeState,
  type LiveIntake,
  NO_BROKER,
  startLiveIntake,
} from '../ingest/mqtt/liveIntake.ts'
import { receiptCsv } from '../ingest/receiptCsv.ts'
import { createStationDesk } from '../ingest/station/desk.ts'
import { fetchText } from '../ingest/station/fetchText.ts'
import { createStationSchedule, type StationSchedule } from '../ingest/station/schedule.ts'
import { createQueue, type Queue } from '../jobs/queue.ts'
import { createRepeated, type Repeated } from '../jobs/repeated.ts'
import { findTroubles } from '../store/check.ts'
import { readHistory, treeProblemsIn, undoEntry } from '../store/history.ts'
import { findImport, findImportLines } from '../store/imports.ts'
import { countOpenJobs } from '../store/jobs.ts'
import { type Database, openDatabase } from '../store/open.ts'
import { packageFolder } from '../store/packageFolder.ts'
import { readHouse } from '../store/readHouse.ts'
import { storeHouse } from '../store/storeHouse.ts'
import { BALANCE_KIND, balanceHandler, createBalances } from '../study/balance/balanceJob.ts'
import { createWhatIfDesk } from '../study/balance/whatIfDesk.ts'
import { correctClocks } from '../study/clockCorrections.ts'
import { createFindingsLine } from '../study/findingsLine.ts'
import { createGuidedChecks } from '../study/guidedChecks.ts'
import { createHouseFindings } from '../study/houseFindings.ts'
import { createLoggerDesk } from '../study/loggerDesk.ts'
import { placingOf } from '../study/placing.ts'
import { round } from '../study/round.ts'
import { createHouseViews } from '../study/view/houseViews.ts'
import type { BackupSettings } from './backupSettings.ts'
import { createBackups } from './backups.ts'

export interface ServiceOptions {
  databasePath: string
  host: string
  port: number
  /** Where loggers send to; none when left out. */
  broker?: BrokerChoice
  /** Where and how often the database is backed up; not at all when left out. */
  backup?: BackupSettings
  now: () => number
  /** Log lines as JSON to standard output. */
  log: boolean
  /** Milliseconds that only grow, for counting costly requests; the machine's own when left out. */
  steadyMs?: () => number
}

export interface Service {
  /** Such as http://127.0.0.1:8484 */
  address: string
  /** How live readings come in. */
  intake(): IntakeState
  /** Batches at hand are finished, the queue is parked, the file is closed. */
  stop(): Promise<void>
}

/** Where `npm run build` puts the pages. */
export const PAGES_FOLDER = join(packageFolder(), 'dist/web')

/** The service wired together and not yet listening. */
export interface ServiceParts {
  app: FastifyInstance
  db: Database
  queue: Queue
  /** Fetches of weather stations; nothing is due before it is started. */
  stationSchedule: StationSchedule
  /** Backups; none is made before it is started. */
  backups: BackupSchedule | undefined
  /** Corrects the clocks of loggers by what their messages told; not before it is started. */
  clocks: Repeated
  /**
   * Opens the door for loggers.
   * @throws BrokerRefused when our own broker cannot listen there
   */
  startBroker(choice: BrokerChoice): Promise<void>
  intake(): IntakeState
  /** Batches at hand are finished, the queue is parked, the file is closed. */
  stop(): Promise<void>
}

/** @throws DatabaseRefused with a sentence; nothing stays open then */
export async function buildService({
  databasePath,
  backup,
  now,
  log,
  steadyMs,
}: Omit<ServiceOptions, 'host' | 'port' | 'broker'>): Promise<ServiceParts> {
  const db = openDatabase(databasePath)
  try {
    const intake = createIntake(db, { now })
    const kinds = { [IMPORT_KIND]: importHandler({ db, intake, now }), [BALANCE_KIND]: balanceHandler({ db, now }) }
    const queue = createQueue(db, { kinds, now })
    const findings = createHouseFindings(db, now)
    const line = createFindingsLine(findings, (key, error) => app.log.error({ error }, `findings of ${key}`))
    const desk = createWhatIfDesk(db)
    const kept = createKeptFiles(`${databasePath}.dropped`)
    const stationSchedule = createStationSchedule({
      db,
      intake,
      now,
      fetchText,
      onUnexpected: (error) => app.log.error({ error }, 'fetching stations'),
    })
    const clocks = createRepeated(
      async () => {
        for (const { logger, house, sentence } of await correctClocks(db, { now: now(), who: 'the service' })) {
          app.log.info({ logger, house }, sentence)
        }
      },
      {
        everyMs: CLOCKS_EVERY_MS,
        firstMs: CLOCKS_FIRST_MS,
        onUnexpected: (error) => app.log.error({ error }, 'clocks'),
      },
    )
    let live: LiveIntake | undefined
    const intakeState = () => live?.state() ?? NO_INTAKE
    const loggers = createLoggerDesk({
      db,
      now,
      intake: intakeState,
      disconnect: (loggerKey) => live?.disconnect(loggerKey),
      changed: (loggerKeys) => liveStreams.heard(loggerKeys),
    })
    const liveStreams = createLiveStreams({
      loggers: (keys) => loggers.list(keys && { keys }),
      intake: loggers.intake,
      onTrouble: (error) => app.log.error({ error }, 'telling live'),
    })
    const backups =
      backup &&
      createBackups(db, backup, {
        now,
        log: { info: (facts, what) => app.log.info(facts, what), warn: (sentence) => app.log.warn(sentence) },
      })
    const metrics = createMetrics({
      now,
      ...(backups && { backup: backups.state }),
      intake: intakeState,
      databaseBytes: () => bytesOf(databasePath) + bytesOf(`${databasePath}-wal`),
      jobs: () => countOpenJobs(db),
    })
    const app = await buildApp({
      intake,
      imports: {
        find: (id) => findImport(db, id),
        lines: (id, most) => findImportLines(db, id, { line: 0, part: 0 }, most),
        receiptCsv: (id) => receiptCsv(db, id),
      },
      balances: createBalances(db, queue, desk),
      findings,
      pages: {
        houses: housesOf(db, now),
        checks: createGuidedChecks(db, now),
        placing: (key, units) => placingOf(db, key, { now: now(), units }),
        round: async (units) => ({ asOf: now(), houses: await round(db, { now: now(), units, onStale: line.ask }) }),
        views: createHouseViews(db, { now, findings }),
        files: createFileDesk({ db, now, kept, queue }),
        now,
        stations: createStationDesk({ db, now, kept, schedule: stationSchedule, fetchText }),
        demoHouse: createDemoHouse({ db, intake, now }, 'the pages'),
      },
      loggers: { loggers, live: liveStreams },
      pagesFolder: PAGES_FOLDER,
      health: () => findTroubles(db),
      readiness: async () => [...(await findTroubles(db)), ...intakeTroubles(intakeState())],
      metrics,
      logger: log,
      ...(steadyMs && { steadyMs }),
    })
    return {
      app,
      db,
      queue,
      stationSchedule,
      clocks,
      backups,
      intake: intakeState,
      async startBroker(choice) {
        live = await startLiveIntake(db, choice, {
          now,
          onTaken(taken) {
            metrics.taken(taken)
            if (taken.logger !== null) liveStreams.heard([taken.logger])
          },
          onConnection: (logger) => liveStreams.heard([logger]),
          onChange: liveStreams.intakeChanged,
          onTrouble: (sentence) => app.log.warn(sentence),
        })
        app.log.info({ broker: live.state().broker }, 'live readings')
      },
      async stop() {
        // Together: the desk refuses what is under way, or closing would wait for a fit.
        await Promise.all([
          app.close(),
          desk.stop(),
          live?.stop(),
          stationSchedule.stop(),
          clocks.stop(),
          backups?.stop(),
        ])
        await queue.stop()
        await line.end()
        db.close()
      },
    }
  } catch (error) {
    db.close()
    throw error
  }
}

/** @throws DatabaseRefused, AddressRefused with a sentence; nothing stays open then */
export async function startService({ host, port, broker, ...options }: ServiceOptions): Promise<Service> {
  const { app, queue, stationSchedule, clocks, backups, startBroker, intake, stop } = await buildService(options)
  try {
    const address = await listen(app, { host, port })
    if (broker !== undefined) await startBroker(broker)
    queue.start()
    stationSchedule.start()
    backups?.start()
    clocks.start()
    return { address, intake, stop }
  } catch (error) {
    await stop()
    throw error
  }
}

/** A clock drifts by seconds a day: a few looks a day are plenty. */
const CLOCKS_EVERY_MS = 6 * 3_600_000
const CLOCKS_FIRST_MS = 60_000

const NO_INTAKE: IntakeState = { broker: NO_BROKER, paused: null, waitingMessages: 0 }

/** What keeps live readings from coming in, in sentences. */
function intakeTroubles({ broker, paused }: IntakeState): string[] {
  const connecting = broker.state === 'connecting' ? 'The broker is not connected yet.' : null
  return [paused, broker.problem ?? connecting].filter((sentence) => sentence !== null)
}

const bytesOf = (path: string): number => (existsSync(path) ? statSync(path).size : 0)

const housesOf = (db: Database, now: () => number): HousesDeps['houses'] => ({
  read: (key) => readHouse(db, key),
  problems: (tree) => treeProblemsIn(db, tree, now()),
  async store(tree, change) {
    await storeHouse(db, tree, { ...change, now: now() })
  },
  history: (key) => readHistory(db, key),
  undo: (key, entry, who) => undoEntry(db, key, entry, { now: now(), who }),
})
