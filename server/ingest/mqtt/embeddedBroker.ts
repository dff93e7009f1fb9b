/**
 * The broker that comes with the service (MQTT 3.1.1). It acknowledges a message once it is on the disk, lets a logger
 * speak below its own topic alone, and lets it hear nothing but its receipt.
 */
import { createServer, type Socket } from 'node:net'
import { Aedes, type AuthenticateError, type Client, type PublishPacket } from 'aedes'
import type { LoggerReceipt } from '../../store/arrivals.ts'
import { createPacketGuard, MOST_PACKET_BYTES } from './packetGuard.ts'
import { receiptText } from './receiptPayload.ts'
import { IntakeCrowded, type Receiver } from './receiver.ts'
import { maySubscribe, topicFor } from './topics.ts'

export interface EmbeddedBrokerOptions {
  host: string
  /** 0 takes any free one. */
  port: number
  receiver: Pick<Receiver, 'take'>
  /** Whether a logger of this key may come in with this password. */
  checkSecret(loggerKey: string, secret: string): Promise<boolean>
  /** Of every logger, so that one that connects first reads what is stored already. */
  receipts: readonly { logger: string; receipt: LoggerReceipt }[]
  onConnection(loggerKey: string, connected: boolean): void
  /** Something the people who run the service should read in the log. */
  onTrouble(sentence: string): void
}

export interface EmbeddedBroker {
  host: string
  port: number
  connections(): number
  /** Its credentials no longer hold: it is put out at once. */
  disconnect(loggerKey: string): void
  stop(): Promise<void>
}

/** MQTT 3.1.1, table 3.1: bad user name or password. */
const BAD_CREDENTIALS = 4
/** Nothing a broker forwards goes here: no logger may listen to it. */
const NOWHERE = 'underjoist-taken'

/** Our own broker cannot listen where it was told to; the message says why and what to do. */
export class BrokerRefused extends Error {
  override name = 'BrokerRefused'
}

/** @throws BrokerRefused when the address is taken or not of this machine */
export async function startEmbeddedBroker(options: EmbeddedBrokerOptions): Promise<EmbeddedBroker> {
  const { receiver, checkSecret, onConnection, onTrouble } = options
  const broker = await Aedes.createBroker({
    /** A message is small and most loggers send one; a backlog of hundreds comes over one connection. */
    concurrency: 500,
    queueLimit: 200,

    authenticate(client, username, password, done) {
      // One name for all three, or a logger could put another out by connecting under its name.
      if (username === undefined || username !== client.id) return done(refusal(), null)
      checkSecret(username, password?.toString('utf8') ?? '').then(
        (right) => (right ? done(null, true) : done(refusal(), null)),
        (error: Error) => done(Object.assign(error, { returnCode: 3 }) as AuthenticateError, null),
      )
    },

    authorizePublish(client, packet, done) {
      // Taken means stored: nothing is kept in the broker, and nothing goes on to anybody.
      const { topic, payload } = packet
      packet.topic = NOWHERE
      packet.retain = false
      packet.payload = ''
      receiver.take({ topic, payload: bytesOf(payload), publisher: client?.id ?? '' }).then(
        ({ delivered: { receipt }, logger }) => {
          if (receipt !== null && logger !== null) tellReceipt(logger, receipt)
          done()
        },
        (error: Error) => {
          if (!(error instanceof IntakeCrowded))
            onTrouble(`A message of ${client?.id} was not stored: ${error.message}`)
          done(error)
        },
      )
    },

    authorizeSubscribe(client, subscription, done) {
      done(null, maySubscribe(client.id, subscription.topic) ? subscription : null)
    },
  })

  // Receipts say all that arrived so far, so only the last one counts: QoS 0, and none waits for a logger that is away.
  const untold = new Map<string, LoggerReceipt>()
  function tellReceipt(logger: string, receipt: LoggerReceipt): void {
    if (untold.size === 0) setImmediate(tellReceipts)
    untold.set(logger, receipt)
  }
  function tellReceipts(): void {
    for (const [logger, receipt] of untold) {
      const packet: PublishPacket = {
        cmd: 'publish',
        topic: topicFor(logger, 'receipt'),
        payload: receiptText(receipt),
        qos: 0,
        retain: true,
        dup: false,
      }
      broker.publish(packet, (error) => error && onTrouble(`The receipt of ${logger} was not told: ${error.message}`))
    }
    untold.clear()
  }
  for (const { logger, receipt } of options.receipts) untold.set(logger, receipt)
  tellReceipts()

  broker.on('client', (client: Client) => onConnection(client.id, true))
  broker.on('clientDisconnect', (client: Client) => onConnection(client.id, false))
  // A connection that breaks, or speaks something else, is its own trouble and nobody else's.
  broker.on('clientError', () => {})
  broker.on('connectionError', () => {})

  const server = createServer((socket) => {
    guarded(socket, onTrouble)
    broker.handle(socket)
  })
  try {
    await new Promise<void>((resolve, reject) => {
      server.once('error', reject)
      server.listen(options.port, options.host, resolve)
    })
  } catch (error) {
    await closed(broker)
    throw new BrokerRefused(refusedAddress(options, (error as NodeJS.ErrnoException).code))
  }
  const { port } = server.address() as { port: number }

  return {
    host: options.host,
    port,
    connections: () => broker.connectedClients,
    disconnect(loggerKey) {
      const clients = (broker as unknown as { clients: Record<string, Client | undefined> }).clients
      clients[loggerKey]?.close()
    },
    async stop() {
      const down = new Promise<void>((resolve) => server.close(() => resolve()))
      await closed(broker)
      await down
    },
  }
}

function refusedAddress({ host, port }: EmbeddedBrokerOptions, code: string | undefined): string {
  const where = `Loggers cannot be heard at ${host}:${port}`
  if (code === 'EADDRINUSE') {
    return `${where}: another program listens there, perhaps a broker of yours. Set MQTT_PORT to a free port, or MQTT_URL to that broker.`
  }
  if (code === 'EACCES') return `${where}: ports below 1024 need more rights. Set MQTT_PORT to a higher one.`
  return `${where} (${code}). Set MQTT_HOST to an address of this machine.`
}

const closed = (broker: Aedes): Promise<void> => new Promise((resolve) => broker.close(() => resolve()))

const refusal = (): AuthenticateError =>
  Object.assign(new Error('user name, client id or secret is not right'), { returnCode: BAD_CREDENTIALS })

const bytesOf = (payload: string | Buffer): Uint8Array =>
  typeof payload === 'string' ? Buffer.from(payload, 'utf8') : payload

/** The bytes are looked at as the broker reads them, before it collects what a packet announces. */
function guarded(socket: Socket, onTrouble: (sentence: string) => void): void {
  const guard = createPacketGuard()
  const read = socket.read.bind(socket)
  socket.read = (size?: number) => {
    const chunk = read(size) as Buffer | null
    if (chunk === null || guard.feed(chunk)) return chunk
    onTrouble(`A packet of more than ${MOST_PACKET_BYTES} bytes came from ${socket.remoteAddress}: disconnected.`)
    socket.destroy()
    return null
  }
}
