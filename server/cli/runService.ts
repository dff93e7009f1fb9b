/** Wires the service together and keeps it running until it is told to stop. */
import { existsSync, statSync } from 'node:fs'
import { join } from 'node:path'
import type { FastifyInstance } from 'fastify'
import type { BackupSchedule } from '../files/backupSchedule.ts'
import { createKeptFiles } from '../files/keptFiles.ts'
import type { Door } from '../http/access.ts'
import { buildApp } from '../http/app.ts'
import type { HousesDeps } from '../http/houses.ts'
import { createLiveStreams } from '../http/liveStreams.ts'
import { listen, refuseOpenBroker } from '../http/loopback.ts'
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
import { createPeopleDesk } from '../people/createPeopleDesk.ts'
import type { PeopleDesk } from '../people/types.ts'
import { findTroubles } from '../store/check.ts'
import { readHistory, treeProblemsIn, undoEntry } from '../store/history.ts'
import { listHouses } from '../store/houses.ts'
import { findImport, findImportLines } from '../store/imports.ts'
import { countOpenJobs } from '../store/jobs.ts'
import { type Database, openDatabase } from '../store/open.ts'
import { packageFolder } from '../store/packageFolder.ts'
import { createReach } from '../store/reach.ts'
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
import { createNoticeDesk } from '../watch/noticeDesk.ts'
import { roundNotices } from '../watch/roundNotices.ts'
import { createWatcher, type Watcher } from '../watch/watcher.ts'
import { type BackupSettings, createBackups } from './backups.ts'
import { firmDesk } from './firmDesk.ts'
import { accountLetters, createLetters, type Letters } from './letters.ts'
import { ownerLevels, ownerPages } from './ownerPages.ts'
import type { LetterSettings } from './settings.ts'

export interface ServiceOptions {
  databasePath: string
  host: string
  port: number
  /** People sign in, or, for the demo, whoever sits at this machine is taken for the contractor. */
  door: Door['kind']
  /** The address people open, such as https://under.example; of this machine when left out. */
  publicUrl?: string
  /** Addresses of the proxy in front, whose X-Forwarded-For is believed; none when left out. */
  trustProxy?: string
  /** Where loggers send to; none when left out. */
  broker?: BrokerChoice
  /** Where and how often the database is backed up; not at all when left out. */
  backup?: BackupSettings
  /** How letters go out; they wait in the outbox when left out. */
  letters?: LetterSettings
  now: () => number
  /** Log lines as JSON to standard output. */
  log: boolean
  /** Milliseconds that only grow, for counting costly requests; the machine's own when left out. */
  steadyMs?: () => number
}

export interface Service {
  /** Such as http://127.0.0.1:8484 */
  address: string
  /** What the first person has to do, in a sentence with the one-time code; null once there is an account. */
  firstRun: string | null
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
  people: PeopleDesk
  queue: Queue
  /** Fetches of weather stations; nothing is due before it is started. */
  stationSchedule: StationSchedule
  /** Backups; none is made before it is started. */
  backups: BackupSchedule | undefined
  /** Corrects the clocks of loggers by what their messages told; not before it is started. */
  clocks: Repeated
  /** None is written or sent before it is started. */
  letters: Letters
  /** Looks at houses; none is looked at before it is started. */
  watcher: Watcher
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
  door,
  publicUrl = 'http://127.0.0.1',
  trustProxy,
  backup,
  letters: letterSettings,
  now,
  log,
  steadyMs,
}: Omit<ServiceOptions, 'host' | 'port' | 'broker'>): Promise<ServiceParts> {
  const db = openDatabase(databasePath)
  try {
    const people = createPeopleDesk({
      db,
      now,
      publicUrl,
      ...(steadyMs && { steadyMs }),
      ...(letterSettings && { sendLetter: accountLetters(db, now) }),
    })
    const intake = createIntake(db, { now })
    const kinds = { [IMPORT_KIND]: importHandler({ db, intake, now }), [BALANCE_KIND]: balanceHandler({ db, now }) }
    const queue = createQueue(db, { kinds, now })
    const findings = createHouseFindings(db, now)
    const line = createFindingsLine(findings, (key, error) => app.log.error({ error }, `findings of ${key}`))
    const desk = createWhatIfDesk(db)
    const balances = createBalances(db, queue, desk)
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
    const ownerView = {
      now,
      onStale: line.ask,
      onTrouble: (key: string, error: unknown) => app.log.error({ error }, `wood of ${key}`),
    }
    const letters = await createLetters(db, letterSettings, {
      publicUrl,
      now,
      levelOf: ownerLevels(db, ownerView),
      log: { info: (sentence) => app.log.info(sentence), warn: (sentence) => app.log.warn(sentence) },
      onUnexpected: (error) => app.log.error({ error }, 'letters'),
    })
    const watcher = createWatcher({
      db,
      now,
      study(houseKey) {
        line.ask(houseKey)
        balances.ask(houseKey).catch((error) => app.log.error({ error }, `balance of ${houseKey}`))
      },
      onTransitions: (house, transitions) =>
        app.log.info({ house, changes: transitions.map(({ watch, change }) => `${watch}: ${change}`) }, 'notices'),
      onTrouble: (house, error) => app.log.error({ house, error }, 'watching'),
    })
    const metrics = createMetrics({
      now,
      ...(backups && { backup: backups.state }),
      intake: intakeState,
      databaseBytes: () => bytesOf(databasePath) + bytesOf(`${databasePath}-wal`),
      jobs: () => countOpenJobs(db),
    })
    const app = await buildApp({
      door: door === 'sign-in' ? { kind: door, identify: people.identify, publicUrl } : { kind: door },
      ...(door === 'sign-in' && { people: { desk: people, publicUrl, houses: () => listHouses(db) } }),
      reach: createReach(db),
      ...(trustProxy && { trustProxy }),
      intake,
      imports: {
        find: (id) => findImport(db, id),
        lines: (id, most) => findImportLines(db, id, { line: 0, part: 0 }, most),
        receiptCsv: (id) => receiptCsv(db, id),
      },
      balances,
      findings,
      pages: {
        houses: housesOf(db, now),
        checks: createGuidedChecks(db, now),
        placing: (key, units) => placingOf(db, key, { now: now(), units }),
        async round(units, reaches) {
          const notices = await roundNotices(
            db,
            new Map((await listHouses(db)).map(({ id, timeZone }) => [id, timeZone])),
          )
          return { asOf: now(), ...(await round(db, { now: now(), units, notices, reaches, onStale: line.ask })) }
        },
        firm: firmDesk(db),
        ownerPage: ownerPages(db, { ...ownerView, letters: letters.desk }),
        views: createHouseViews(db, { now, findings }),
        files: createFileDesk({ db, now, kept, queue }),
        now,
        stations: createStationDesk({ db, now, kept, schedule: stationSchedule, fetchText }),
        demoHouse: createDemoHouse({ db, intake, now }, 'the pages'),
      },
      loggers: { loggers, live: liveStreams },
      letters: { letters: letters.desk, now },
      notices: { desk: createNoticeDesk(db, now), now },
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
      people,
      queue,
      stationSchedule,
      clocks,
      letters,
      watcher,
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
          letters.stop(),
          watcher.stop(),
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
  const { app, people, queue, stationSchedule, clocks, letters, watcher, backups, startBroker, intake, stop } =
    await buildService({ publicUrl: `http://127.0.0.1${port === 0 ? '' : `:${port}`}`, ...options })
  try {
    const signsIn = options.door === 'sign-in'
    const publicUrl = options.publicUrl ?? ''
    const open = signsIn ? { begun: await people.begun(), publicUrl } : null
    if (broker?.kind === 'own') refuseOpenBroker(broker.host, open)
    const address = await listen(app, { host, port }, open)
    if (broker !== undefined) await startBroker(broker)
    queue.start()
    stationSchedule.start()
    backups?.start()
    clocks.start()
    letters.start()
    watcher.start()
    const code = signsIn ? await people.firstCode() : null
    const firstRun =
      code === null ? null : `No account yet: open ${options.publicUrl ?? address}/first and enter the code ${code}.`
    return { address, firstRun, intake, stop }
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
