/**
 * The receiving side of the bench, in a process of its own. Argument: a database file and FULL or NORMAL for our own
 * broker with the intake behind it, `nothing` for the same broker that acknowledges at once, or the address of an outside
 * broker. Prints what it listens at, and its memory when it gets a line.
 */
import { createInterface } from 'node:readline'
import { startEmbeddedBroker } from '../../server/ingest/mqtt/embeddedBroker.ts'
import { startExternalBroker } from '../../server/ingest/mqtt/externalBroker.ts'
import { createReceiver, type Receiver } from '../../server/ingest/mqtt/receiver.ts'
import { latestReceipts } from '../../server/store/arrivals.ts'
import { checkSecret } from '../../server/store/loggerSecrets.ts'
import { openDatabase } from '../../server/store/open.ts'

const [path, mode, url] = process.argv.slice(2) as [string, string, string | undefined]
const db = openDatabase(path, { synchronous: mode === 'NORMAL' ? 'NORMAL' : 'FULL' })
const waits: number[] = []
const receiver = createReceiver(db, {
  now: Date.now,
  // From the logger's publish, which is the instant of its reading, to after the commit.
  onTaken: ({ newestAt }) => newestAt !== null && waits.push(Date.now() - newestAt),
  onPause() {},
})
const idle: Pick<Receiver, 'take'> = {
  take: async () => ({
    outcome: 'stored',
    logger: null,
    delivered: { stored: 1, repeated: 0, filled: 0, differing: 0, again: false, receipt: null },
    arrivedAt: 0,
    newestAt: null,
  }),
}

const say = (message: object) => process.stdout.write(`${JSON.stringify(message)}\n`)
if (url === undefined) {
  const broker = await startEmbeddedBroker({
    host: '127.0.0.1',
    port: 0,
    receiver: mode === 'nothing' ? idle : receiver,
    checkSecret: (key, secret) => checkSecret(db, key, secret),
    receipts: [],
    onConnection() {},
    onTrouble: console.error,
  })
  say({ url: `mqtt://127.0.0.1:${broker.port}` })
} else {
  startExternalBroker({
    url,
    user: 'service',
    password: 'invented-pass',
    clientId: 'underjoist-bench',
    receiver,
    receipts: () => latestReceipts(db),
    onChange: ({ state }) => state === 'connected' && say({ url }),
    now: Date.now,
  })
}
createInterface({ input: process.stdin }).on('line', () => {
  global.gc?.()
  const sorted = waits.splice(0).sort((a, b) => a - b)
  const rows = db.raw.prepare('select count(*) from readings').pluck().get()
  say({
    rssMB: process.memoryUsage().rss / 1e6,
    heapMB: process.memoryUsage().heapUsed / 1e6,
    rows,
    waits: [0.5, 0.99, 1].map(
      (share) => sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? null,
    ),
  })
})
