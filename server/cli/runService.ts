/** Wires the service together and keeps it running until it is told to stop. */
import { existsSync, statSync } from 'node:fs'
import { join } from 'node:path'
import type { FastifyInstance } from 'fastify'
import type { Door } from '../http/access.ts'
import { buildApp } from '../http/app.ts'
import { createLiveStreams } from '../http/liveStreams.ts'
import { listen, refuseOpenBroker } from '../http/loopback.ts'
import { createMetrics } from '../http/metrics.ts'
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
import { createQueue, type Queue } from '../jobs/queue.ts'
import { createPeopleDesk } from '../people/createPeopleDesk.ts'
import type { PeopleDesk } from '../people/types.ts'
import { findTroubles } from '../store/check.ts'
import { listHouses } from '../store/houses.ts'
import { findImport, findImportLines } from '../store/imports.ts'
import { countOpenJobs } from '../store/jobs.ts'
import { type Database, openDatabase } from '../store/open.ts'
import { packageFolder } from '../store/packageFolder.ts'
import { createReach } from '../store/reach.ts'
import { BALANCE_KIND, balanceHandler, createBalances } from '../study/balance/balanceJob.ts'
import { createWhatIfDesk } from '../study/balance/whatIfDesk.ts'
import { createFindingsLine } from '../study/findingsLine.ts'
import { createHouseFindings } from '../study/houseFindings.ts'
import { createLoggerDesk } from '../study/loggerDesk.ts'
import { createNoticeDesk } from '../watch/noticeDesk.ts'
import { type BackgroundWork, createBackgroundWork } from './backgroundWork.ts'
import type { BackupSettings } from './backups.ts'
import { accountLetters } from './letters.ts'
import { pageDeps } from './pageDeps.ts'
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
  /** Not begun before it is started. */
  background: BackgroundWork
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
    const ownerView = {
      now,
      onStale: line.ask,
      onTrouble: (key: string, error: unknown) => app.log.error({ error }, `wood of ${key}`),
    }
    const background = await createBackgroundWork(db, {
      now,
      intake,
      publicUrl,
      letters: letterSettings,
      backup,
      ownerView,
      study(houseKey) {
        line.ask(houseKey)
        balances.ask(houseKey).catch((error) => app.log.error({ error }, `balance of ${houseKey}`))
      },
      log: () => app.log,
    })
    const { stationSchedule, backups, letters } = background
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
      pages: pageDeps(db, {
        now,
        intake,
        queue,
        findings,
        stationSchedule,
        letters: letters.desk,
        ownerView,
        dropped: `${databasePath}.dropped`,
      }),
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
      background,
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
        await Promise.all([app.close(), desk.stop(), live?.stop(), background.stop()])
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
  const { app, people, queue, background, startBroker, intake, stop } = await buildService({
    publicUrl: `http://127.0.0.1${port === 0 ? '' : `:${port}`}`,
    ...options,
  })
  try {
    const signsIn = options.door === 'sign-in'
    const publicUrl = options.publicUrl ?? ''
    const open = signsIn ? { begun: await people.begun(), publicUrl } : null
    if (broker?.kind === 'own') refuseOpenBroker(broker.host, open)
    const address = await listen(app, { host, port }, open)
    if (broker !== undefined) await startBroker(broker)
    queue.start()
    background.start()
    const code = signsIn ? await people.firstCode() : null
    const firstRun =
      code === null ? null : `No account yet: open ${options.publicUrl ?? address}/first and enter the code ${code}.`
    return { address, firstRun, intake, stop }
  } catch (error) {
    await stop()
    throw error
  }
}

const NO_INTAKE: IntakeState = { broker: NO_BROKER, paused: null, waitingMessages: 0 }

/** What keeps live readings from coming in, in sentences. */
function intakeTroubles({ broker, paused }: IntakeState): string[] {
  const connecting = broker.state === 'connecting' ? 'The broker is not connected yet.' : null
  return [paused, broker.problem ?? connecting].filter((sentence) => sentence !== null)
}

const bytesOf = (path: string): number => (existsSync(path) ? statSync(path).size : 0)
