/** Wires the service together and keeps it running until it is told to stop. */
import { join } from 'node:path'
import type { FastifyInstance } from 'fastify'
import { createKeptFiles } from '../files/keptFiles.ts'
import { buildApp } from '../http/app.ts'
import type { HousesDeps } from '../http/houses.ts'
import { listen } from '../http/loopback.ts'
import { createFileDesk } from '../ingest/fileDesk.ts'
import { createDemoHouse } from '../ingest/folder/demoHouse.ts'
import { IMPORT_KIND, importHandler } from '../ingest/importJob.ts'
import { createIntake } from '../ingest/intake.ts'
import { receiptCsv } from '../ingest/receiptCsv.ts'
import { createQueue, type Queue } from '../jobs/queue.ts'
import { findTroubles } from '../store/check.ts'
import { readHistory, treeProblemsIn, undoEntry } from '../store/history.ts'
import { findImport, findImportLines } from '../store/imports.ts'
import { type Database, openDatabase } from '../store/open.ts'
import { packageFolder } from '../store/packageFolder.ts'
import { readHouse } from '../store/readHouse.ts'
import { storeHouse } from '../store/storeHouse.ts'
import { BALANCE_KIND, balanceHandler, createBalances } from '../study/balance/balanceJob.ts'
import { createWhatIfDesk } from '../study/balance/whatIfDesk.ts'
import { createFindingsLine } from '../study/findingsLine.ts'
import { createHouseFindings } from '../study/houseFindings.ts'
import { round } from '../study/round.ts'
import { createHouseViews } from '../study/view/houseViews.ts'

export interface ServiceOptions {
  databasePath: string
  host: string
  port: number
  now: () => number
  /** Log lines as JSON to standard output. */
  log: boolean
}

export interface Service {
  /** Such as http://127.0.0.1:8484 */
  address: string
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
  /** Batches at hand are finished, the queue is parked, the file is closed. */
  stop(): Promise<void>
}

/** @throws DatabaseRefused with a sentence; nothing stays open then */
export async function buildService({
  databasePath,
  now,
  log,
}: Omit<ServiceOptions, 'host' | 'port'>): Promise<ServiceParts> {
  const db = openDatabase(databasePath)
  try {
    const intake = createIntake(db, { now })
    const kinds = { [IMPORT_KIND]: importHandler({ db, intake, now }), [BALANCE_KIND]: balanceHandler({ db, now }) }
    const queue = createQueue(db, { kinds, now })
    const findings = createHouseFindings(db, now)
    const line = createFindingsLine(findings, (key, error) => app.log.error({ error }, `findings of ${key}`))
    const desk = createWhatIfDesk(db)
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
        round: async (units) => ({ asOf: now(), houses: await round(db, { now: now(), units, onStale: line.ask }) }),
        views: createHouseViews(db, { now, findings }),
        files: createFileDesk({ db, now, kept: createKeptFiles(`${databasePath}.dropped`), queue }),
        demoHouse: createDemoHouse({ db, intake, now }, 'the pages'),
      },
      pagesFolder: PAGES_FOLDER,
      health: () => findTroubles(db),
      logger: log,
    })
    return {
      app,
      db,
      queue,
      async stop() {
        // Together: the desk refuses what is under way, or closing would wait for a fit.
        await Promise.all([app.close(), desk.stop()])
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
export async function startService({ host, port, ...options }: ServiceOptions): Promise<Service> {
  const { app, queue, stop } = await buildService(options)
  try {
    const address = await listen(app, { host, port })
    queue.start()
    return { address, stop }
  } catch (error) {
    await stop()
    throw error
  }
}

const housesOf = (db: Database, now: () => number): HousesDeps['houses'] => ({
  read: (key) => readHouse(db, key),
  problems: (tree) => treeProblemsIn(db, tree, now()),
  async store(tree, change) {
    await storeHouse(db, tree, { ...change, now: now() })
  },
  history: (key) => readHistory(db, key),
  undo: (key, entry, who) => undoEntry(db, key, entry, { now: now(), who }),
})
