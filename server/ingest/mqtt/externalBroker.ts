/**
 * Takes messages from a broker that somebody else runs. The session is kept there while we are away, each message is
 * acknowledged once it is on the disk, and what goes wrong is said and tried again, less and less often.
 */
import { connect, type IClientOptions, type MqttClient } from 'mqtt'
import type { LoggerReceipt } from '../../store/arrivals.ts'
import { troubleOf } from './brokerTrouble.ts'
import { receiptText } from './receiptPayload.ts'
import type { Receiver } from './receiver.ts'
import { topicFor, topicsOfAll } from './topics.ts'

export interface ExternalBrokerOptions {
  /** Such as mqtts://broker.example:8883; without user and password. */
  url: string
  user?: string
  password?: string
  /** Certificate of the authority that signed the broker's, PEM. */
  ca?: string
  /** The same at every start, for the broker keeps the session by it. */
  clientId: string
  receiver: Pick<Receiver, 'take'>
  /** What every logger was told last, for a broker that lost its memory. */
  receipts(): Promise<{ logger: string; receipt: LoggerReceipt }[]>
  /** Told whenever `state` answers something else. */
  onChange(state: ExternalState): void
  now: () => number
  /** Waits before each try; the last one is for all after it. Tests take shorter ones. */
  delaysMs?: readonly number[]
}

export interface ExternalState {
  state: 'connected' | 'connecting' | 'waiting'
  since: number
  /** What is wrong and what to do; null when nothing is. */
  problem: string | null
  nextTryAt: number | null
  /** MQTT version that is spoken: 5, or 4 which is 3.1.1. */
  version: 4 | 5
}

export interface ExternalBroker {
  state(): ExternalState
  stop(): Promise<void>
}

const DELAYS_MS = [1000, 2000, 5000, 10_000, 30_000, 60_000, 120_000, 300_000] as const
/** The broker keeps our session this long while we are away. */
const SESSION_S = 30 * 86_400
/** Messages that the broker may send before we acknowledge; each is stored by itself. */
const RECEIVE_MAXIMUM = 100
const PATIENCE_MS = 20_000

export function startExternalBroker(options: ExternalBrokerOptions): ExternalBroker {
  const { receiver, now, onChange, delaysMs = DELAYS_MS } = options
  let state: ExternalState = { state: 'connecting', since: now(), problem: null, nextTryAt: null, version: 5 }
  let client: MqttClient | undefined
  let timer: NodeJS.Timeout | undefined
  let tries = 0
  let stopped = false

  function change(next: Partial<ExternalState>): void {
    const moved = next.state !== undefined && next.state !== state.state
    state = { ...state, ...next, since: moved ? now() : state.since }
    onChange(state)
  }

  function tryOnce(): void {
    change({ state: 'connecting', nextTryAt: null })
    const one = connect(options.url, connectionOptions(options, state.version))
    client = one
    let over = false
    let problem: string | null = null

    // Once for each try, however many ways it fails.
    function failed(): void {
      if (over) return
      over = true
      one.end(true)
      if (stopped) return
      const wait = delaysMs[Math.min(tries++, delaysMs.length - 1)]!
      change({ state: 'waiting', problem, nextTryAt: now() + wait })
      timer = setTimeout(tryOnce, wait)
    }

    one.handleMessage = ({ topic, payload, retain }, done) => {
      const bytes = typeof payload === 'string' ? Buffer.from(payload) : payload
      receiver.take({ topic, payload: bytes, retained: retain }).then(
        ({ delivered: { receipt }, logger }) => {
          done()
          if (receipt !== null && logger !== null) tellReceipt(logger, receipt)
        },
        // Not acknowledged: the broker keeps it and sends it again when we come back.
        (error: Error) => {
          problem = `A message was not stored: ${error.message}`
          failed()
        },
      )
    }

    function tellReceipt(logger: string, receipt: LoggerReceipt): void {
      one.publish(topicFor(logger, 'receipt'), receiptText(receipt), { qos: 1, retain: true }, () => {})
    }

    one.on('connect', () => {
      one.subscribe(topicsOfAll(), { qos: 1 }, (error, granted) => {
        if (over) return
        const denied = granted?.filter(({ qos }) => qos >= 128).map(({ topic }) => topic) ?? []
        if (error || denied.length > 0) {
          problem = `The broker does not let this service listen to ${denied.join(', ') || topicsOfAll().join(', ')}. Allow its user to read underjoist/# and to write underjoist/+/receipt.`
          failed()
          return
        }
        tries = 0
        change({ state: 'connected', problem: null, nextTryAt: null })
        void options.receipts().then((all) => {
          for (const { logger, receipt } of all) if (!over) tellReceipt(logger, receipt)
        })
      })
    })
    one.on('error', (error) => {
      const trouble = troubleOf(error, options.url)
      problem = trouble.sentence
      if (trouble.olderVersion && state.version === 5) {
        // Not a failure: the broker speaks 3.1.1 only, and is asked again at once.
        state = { ...state, version: 4 }
        over = true
        one.end(true)
        if (!stopped) tryOnce()
        return
      }
      failed()
    })
    one.on('disconnect', (packet) => {
      problem = `The broker ended the connection (reason ${packet.reasonCode ?? 'not told'}). Look at its log.`
    })
    one.on('close', () => {
      problem ??= `The connection to ${options.url} broke. Look whether the broker runs and the network is there.`
      failed()
    })
  }

  tryOnce()
  return {
    state: () => state,
    async stop() {
      stopped = true
      clearTimeout(timer)
      await client?.endAsync().catch(() => {})
    },
  }
}

function connectionOptions({ user, password, ca, clientId }: ExternalBrokerOptions, version: 4 | 5): IClientOptions {
  return {
    protocolVersion: version,
    clientId,
    clean: false,
    keepalive: 30,
    connectTimeout: PATIENCE_MS,
    reconnectPeriod: 0, // we try again ourselves, with growing delays
    ...(user !== undefined && { username: user }),
    ...(password !== undefined && { password }),
    ...(ca !== undefined && { ca }),
    ...(version === 5 && {
      properties: { sessionExpiryInterval: SESSION_S, receiveMaximum: RECEIVE_MAXIMUM },
    }),
  }
}
