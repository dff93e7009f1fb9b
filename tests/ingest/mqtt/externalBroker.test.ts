/** Our side of a broker that others run, against a small one of another make that speaks MQTT 3.1.1 only. */
import { once } from 'node:events'
import { createServer, type Server, type Socket } from 'node:net'
import { Aedes, type AuthenticateError } from 'aedes'
import { describe, expect, it, onTestFinished } from 'vitest'
import { type ExternalState, startExternalBroker } from '../../../server/ingest/mqtt/externalBroker.ts'
import { createReceiver } from '../../../server/ingest/mqtt/receiver.ts'
import { latestReceipts } from '../../../server/store/arrivals.ts'
import type { Database } from '../../../server/store/open.ts'
import { scratchDatabase } from '../../support/database.ts'
import { enroll } from '../../support/enroll.ts'
import { connectLogger } from '../../support/liveService.ts'

const AT_S = 1_779_000_000
const NOW = AT_S * 1000 + 3_600_000

async function outsideBroker(port = 0) {
  const broker = await Aedes.createBroker({
    authenticate(_, username, password, done) {
      const right = username !== 'service' || String(password) === 'right'
      done(right ? null : (Object.assign(new Error('no'), { returnCode: 4 }) as AuthenticateError), right)
    },
  })
  broker.on('connectionError', () => {})
  broker.on('clientError', () => {})
  const sockets = new Set<Socket>()
  const server: Server = createServer((socket) => {
    sockets.add(socket)
    broker.handle(socket)
  })
  server.listen(port, '127.0.0.1')
  await once(server, 'listening')
  async function stop() {
    const down = new Promise((resolve) => server.close(resolve))
    for (const socket of sockets) socket.destroy()
    await new Promise<void>((resolve) => broker.close(() => resolve()))
    await down
  }
  onTestFinished(stop)
  const address = server.address() as { port: number }
  return { broker, port: address.port, url: `mqtt://127.0.0.1:${address.port}`, stop }
}

function listening(db: Database, url: string, password = 'right') {
  const states: ExternalState[] = []
  const receiver = createReceiver(db, { now: () => NOW, onTaken() {}, onPause() {} })
  const external = startExternalBroker({
    url,
    user: 'service',
    password,
    clientId: 'underjoist-test',
    receiver,
    receipts: () => latestReceipts(db),
    onChange: (state) => states.push(state),
    now: () => NOW,
    delaysMs: [50, 100],
  })
  onTestFinished(() => external.stop())
  return { external, states, receiver }
}

const connected = (external: { state(): ExternalState }) =>
  expect.poll(() => external.state().state, { timeout: 10_000 }).toBe('connected')

const rows = (db: Database) => db.raw.prepare('select count(*) from readings').pluck().get()
const message = (seq: number) => JSON.stringify({ run: 'a', seq, atS: AT_S + seq * 60, tempC: 20 })

describe('a broker that others run', () => {
  it('is spoken to in 3.1.1 where it knows no 5, and what it brings is stored and told by a receipt', async () => {
    const db = scratchDatabase()
    const [one] = enroll(db, 1)
    const outside = await outsideBroker()
    const { external } = listening(db, outside.url)
    await connected(external)
    expect(external.state().version).toBe(4)
    const logger = await connectLogger(outside.url, one!)
    const receipts: string[] = []
    logger.on('message', (_, payload) => receipts.push(payload.toString()))
    await logger.subscribeAsync('underjoist/lg-1/receipt', { qos: 1 })
    for (const seq of [1, 2]) await logger.publishAsync('underjoist/lg-1/readings', message(seq), { qos: 1 })
    await expect.poll(() => receipts.at(-1)).toBe('{"run":"a","through":2,"beyond":[]}')
    expect(rows(db)).toBe(2)
  })

  it('keeps what came while the service was away', async () => {
    const db = scratchDatabase()
    const [one] = enroll(db, 1)
    const outside = await outsideBroker()
    const first = listening(db, outside.url)
    await connected(first.external)
    await first.external.stop()
    const logger = await connectLogger(outside.url, one!)
    for (let seq = 1; seq <= 30; seq++) {
      await logger.publishAsync('underjoist/lg-1/readings', message(seq), { qos: 1 })
    }
    expect(rows(db)).toBe(0)
    listening(db, outside.url)
    await expect.poll(() => rows(db), { timeout: 10_000 }).toBe(30)
  })

  it('is tried again with growing delays, and each trouble is said', async () => {
    const db = scratchDatabase()
    const outside = await outsideBroker()
    const { external, states } = listening(db, outside.url)
    await connected(external)
    await outside.stop()
    await expect.poll(() => external.state().problem).toContain('Nothing answers at')
    const waits = () => states.filter(({ state }) => state === 'waiting').map(({ nextTryAt }) => nextTryAt! - NOW)
    await expect.poll(() => waits().slice(0, 3)).toEqual([50, 100, 100])
    await outsideBroker(outside.port)
    await connected(external)
    expect(external.state().problem).toBeNull()
  })

  it('refuses a wrong password, and the service says so and goes on trying', async () => {
    const db = scratchDatabase()
    const outside = await outsideBroker()
    const { external, states } = listening(db, outside.url, 'wrong')
    await expect.poll(() => external.state().problem).toContain('MQTT_PASSWORD')
    await expect.poll(() => states.filter(({ state }) => state === 'waiting').length).toBeGreaterThan(2)
  })

  it('gets no acknowledgment while the disk is full', async () => {
    const db = scratchDatabase()
    const [one] = enroll(db, 1)
    const outside = await outsideBroker()
    const { external, receiver } = listening(db, outside.url)
    await connected(external)
    const pages = db.raw.pragma('page_count', { simple: true }) as number
    db.raw.pragma(`max_page_count = ${pages}`)
    const logger = await connectLogger(outside.url, one!)
    const many = { run: 'a', seq: 1, readings: Array.from({ length: 500 }, (_, i) => ({ atS: AT_S + i, tempC: 20 })) }
    await logger.publishAsync('underjoist/lg-1/readings', JSON.stringify(many), { qos: 1 })
    await expect.poll(() => receiver.paused()).toContain('full')
    await external.stop()
    receiver.stop()
    db.raw.pragma(`max_page_count = ${pages + 1000}`)
    expect(rows(db)).toBe(0)
    listening(db, outside.url)
    await expect.poll(() => rows(db), { timeout: 10_000 }).toBe(500)
  })
})
