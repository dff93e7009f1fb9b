/**
 * A logger as firmware-notes asks for it, invented: it numbers its messages, keeps each until the receipt covers it, sends
 * again what is missing, and keeps through outages. With faults on request.
 */
import { connectAsync, type MqttClient } from 'mqtt'
import { topicFor } from '../../ingest/mqtt/topics.ts'
import { type InventedSpot, inventedAir } from './air.ts'

export const FAULTS = ['duplicates', 'out-of-order', 'stuck', 'silent', 'clock-jump', 'backlog', 'malformed'] as const
export type Fault = (typeof FAULTS)[number]

export interface InventedLoggerOptions {
  broker: string
  key: string
  secret: string
  probe: string
  spot: InventedSpot
  faults: ReadonlySet<Fault>
  /** Names this count of messages; another one for each start. */
  run: string
  /** Aborted, nothing is waited for any more: a broker that is gone must not keep the program. */
  signal: AbortSignal
  onProblem(sentence: string): void
}

export interface InventedLogger {
  /** Measures at an instant and sends it, with all that is still unheard of. `share` is how far the whole run is, 0 to 1. */
  measure(at: number, share: number): Promise<void>
  /** Sends what is kept until the receipt covers it all, or the time is over; answers how many it still keeps. */
  finish(patienceMs: number): Promise<number>
  counts(): { sent: number; kept: number }
}

interface KeptMessage {
  seq: number
  text: string
}

/** As much as a small flash chip holds; then the oldest go. */
const MOST_KEPT = 20_000
/** Messages later; in real loggers rather a few minutes. */
const PATIENCE = 50
/** Until the receipt of what was just sent is here. */
const RECEIPT_MS = 200
const DUPLICATE_EACH = 5
const HELD_EACH = 7
const MALFORMED_EACH = 10
const CLOCK_JUMP_MS = 40 * 60_000
const MALFORMED = ['{"tempC": 20.1,', '{"tempF": 68.4, "humidity": 71}', 'hello', '{"tempC": 4000}'] as const

export async function startInventedLogger(options: InventedLoggerOptions): Promise<InventedLogger> {
  const { key, secret, probe, spot, faults, run, signal } = options
  const kept: KeptMessage[] = []
  let seq = 0
  let sent = 0
  let held: KeptMessage | undefined
  let client: MqttClient | undefined
  let connecting: Promise<MqttClient> | undefined
  const aborted = new Promise<void>((resolve) => {
    if (signal.aborted) resolve()
    else signal.addEventListener('abort', () => resolve(), { once: true })
  })

  /** Two connections of one logger would put each other out. */
  const connected = (): Promise<MqttClient> => (connecting ??= connect())

  async function connect(): Promise<MqttClient> {
    client = await connectAsync(options.broker, {
      clientId: key,
      username: key,
      password: secret,
      protocolVersion: 4,
      clean: true,
      reconnectPeriod: 1000,
      will: { topic: topicFor(key, 'status'), payload: Buffer.from('{"online":false}'), qos: 1, retain: true },
    })
    client.on('error', (error) => options.onProblem(`${key}: ${error.message}`))
    client.on('message', (_, payload) => forgetCovered(payload.toString('utf8')))
    await client.subscribeAsync(topicFor(key, 'receipt'), { qos: 1 })
    await client.publishAsync(topicFor(key, 'status'), '{"online":true}', { qos: 1, retain: true })
    return client
  }

  function forgetCovered(text: string): void {
    const receipt = JSON.parse(text) as { run: string; through: number; beyond: [number, number][] }
    if (receipt.run !== run) return
    const covered = (one: number) =>
      one <= receipt.through || receipt.beyond.some(([from, to]) => from <= one && one <= to)
    for (let i = kept.length - 1; i >= 0; i--) if (covered(kept[i]!.seq)) kept.splice(i, 1)
  }

  const publish = async (text: string): Promise<unknown> =>
    (await connected()).publishAsync(topicFor(key, 'readings'), text, { qos: 1 })

  async function send({ text }: KeptMessage): Promise<void> {
    sent++
    // A connection that is ended leaves what was under way unanswered; it stays kept.
    await Promise.race([publish(text).catch(() => {}), aborted])
  }

  function messageAt(at: number, share: number): KeptMessage {
    const measuredAt = faults.has('stuck') && share > 1 / 3 ? 0 : at
    const clockAt = faults.has('clock-jump') && share > 0.4 && share < 0.6 ? at + CLOCK_JUMP_MS : at
    seq++
    const oldest = kept[0]?.seq ?? seq
    const batteryV = Math.round(1000 * (3.1 - 0.4 * share)) / 1000
    const body = { run, seq, oldest, probe, atS: clockAt / 1000, ...inventedAir(spot, measuredAt), batteryV }
    return { seq, text: JSON.stringify(body) }
  }

  return {
    async measure(at, share) {
      if (faults.has('silent') && share > 0.5) {
        await client?.endAsync()
        return
      }
      const message = messageAt(at, share)
      kept.push(message)
      if (kept.length > MOST_KEPT) kept.shift()
      if (faults.has('backlog')) return // all at once, when it is finished
      if (faults.has('out-of-order') && seq % HELD_EACH === 0) {
        held = message
        return
      }
      // What no receipt covered for a while was lost on the way, or its receipt was.
      for (const old of kept.filter((one) => one.seq < seq - PATIENCE)) await send(old)
      await send(message)
      if (held !== undefined && seq % HELD_EACH === 3) {
        await send(held)
        held = undefined
      }
      if (faults.has('duplicates') && seq % DUPLICATE_EACH === 0) await send(message)
      if (faults.has('malformed') && seq % MALFORMED_EACH === 0) {
        const text = MALFORMED[(seq / MALFORMED_EACH) % MALFORMED.length]!
        await Promise.race([publish(text).catch(() => {}), aborted])
      }
    },
    async finish(patienceMs) {
      if (faults.has('silent')) return kept.length
      const over = new Promise((resolve) => setTimeout(resolve, patienceMs).unref())
      const until = Date.now() + patienceMs
      while (kept.length > 0 && Date.now() < until) {
        await Promise.race([Promise.all(kept.map(({ text }) => publish(text).catch(() => {}))), over])
        sent += kept.length
        await new Promise((resolve) => setTimeout(resolve, RECEIPT_MS))
      }
      client?.end(true)
      return kept.length
    },
    counts: () => ({ sent, kept: kept.length }),
  }
}
