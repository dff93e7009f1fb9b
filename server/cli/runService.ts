/** Wires the service together and keeps it running until it is told to stop. */
import { buildApp } from '../http/app.ts'
import { listen } from '../http/loopback.ts'
import { IMPORT_KIND, importHandler } from '../ingest/importJob.ts'
import { createIntake } from '../ingest/intake.ts'
import { receiptCsv } from '../ingest/receiptCsv.ts'
import { createQueue } from '../jobs/queue.ts'
import { findTroubles } from '../store/check.ts'
import { findImport } from '../store/imports.ts'
import { openDatabase } from '../store/open.ts'
import { BALANCE_KIND, balanceHandler, createBalances } from '../study/balance/balanceJob.ts'
import { createHouseFindings } from '../study/houseFindings.ts'

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

/** @throws DatabaseRefused, AddressRefused with a sentence; nothing stays open then */
export async function startService({ databasePath, host, port, now, log }: ServiceOptions): Promise<Service> {
  const db = openDatabase(databasePath)
  try {
    const intake = createIntake(db, { now })
    const kinds = { [IMPORT_KIND]: importHandler({ db, intake, now }), [BALANCE_KIND]: balanceHandler({ db, now }) }
    const queue = createQueue(db, { kinds, now })
    const app = await buildApp({
      intake,
      imports: { find: (id) => findImport(db, id), receiptCsv: (id) => receiptCsv(db, id) },
      balances: createBalances(db, queue),
      findings: createHouseFindings(db, now),
      health: () => findTroubles(db),
      logger: log,
    })
    const address = await listen(app, { host, port })
    queue.start()
    return {
      address,
      async stop() {
        await app.close()
        await queue.stop()
        db.close()
      },
    }
  } catch (error) {
    db.close()
    throw error
  }
}
