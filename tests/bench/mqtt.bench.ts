/**
 * Messages a second to the disk at QoS 1: our own broker with FULL and NORMAL against the same broker doing nothing (goal
 * for NORMAL: at least 0.5 of it), seconds from publish to disk at 500 messages a second (goal: p99 under 250 ms), and
 * memory over a long run. With Mosquitto where it is installed.
 */
import { execFileSync, spawn } from 'node:child_process'
import { once } from 'node:events'
import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { createInterface } from 'node:readline'
import { fileURLToPath } from 'node:url'
import { connectAsync, type MqttClient } from 'mqtt'
import { type Enrolled, enrollIn } from '../support/enroll.ts'

const LOGGERS = 50
/** So many before what is measured, for both sides compile as they go. */
const WARM_UP = 40_000
const MESSAGES = 60_000
const IN_FLIGHT = 8
const PACED_PER_S = 500
const PACED_S = 10
const LONG_MESSAGES = 200_000

const folder = mkdtempSync(join(tmpdir(), 'underjoist-mqtt-'))
const PROGRAM = fileURLToPath(new URL('./mqttProgram.ts', import.meta.url))

interface Said {
  url: string
  rssMB: number
  heapMB: number
  rows: number
  waits: (number | null)[]
}

async function program(mode: string, url?: string) {
  const path = join(folder, `${mode}-${Math.random().toString(36).slice(2)}.db`)
  const enrolled = enrollIn(path, LOGGERS)
  const args = ['--expose-gc', '--import', 'tsx', PROGRAM, path, mode, ...(url ? [url] : [])]
  const child = spawn(process.execPath, args, { stdio: ['pipe', 'pipe', 'inherit'] })
  const lines = createInterface({ input: child.stdout })[Symbol.asyncIterator]()
  const next = async () => JSON.parse((await lines.next()).value as string) as Said
  const { url: at } = await next()
  return {
    url: at,
    enrolled,
    ask() {
      child.stdin.write('?\n')
      return next()
    },
    async end() {
      child.kill('SIGKILL')
      await once(child, 'close')
    },
  }
}

const connected = (url: string, enrolled: readonly Enrolled[], login?: { username: string; password: string }) =>
  Promise.all(
    enrolled.map(({ key, secret }) =>
      connectAsync(url, {
        clientId: key,
        username: key,
        password: secret,
        protocolVersion: 4,
        reconnectPeriod: 0,
        ...login,
      }),
    ),
  )

const LONG_AGO = Date.now() - 10 * 86_400_000
/** A reading of each number has an instant of its own; one that is timed is of the moment it is sent. */
const send = (client: MqttClient, key: string, seq: number, at = LONG_AGO + seq * 100) => {
  const body = { run: 'b', seq, atS: at / 1000, tempC: 20 + (seq % 100) / 50, rhPct: 70 }
  return client.publishAsync(`underjoist/${key}/readings`, JSON.stringify(body), { qos: 1 })
}

/** Each logger keeps a few messages under way; answers messages a second. */
async function flood(clients: readonly MqttClient[], enrolled: readonly Enrolled[], messages: number, from: number) {
  const began = performance.now()
  const each = Math.floor(messages / clients.length)
  await Promise.all(
    clients.map(async (client, i) => {
      let seq = from
      const lane = async () => {
        while (seq < from + each) await send(client, enrolled[i]!.key, ++seq)
      }
      await Promise.all(Array.from({ length: IN_FLIGHT }, lane))
    }),
  )
  return (each * clients.length) / ((performance.now() - began) / 1000)
}

async function paced(clients: readonly MqttClient[], enrolled: readonly Enrolled[], from: number) {
  const began = performance.now()
  const under: Promise<unknown>[] = []
  for (let sent = 0; sent < PACED_PER_S * PACED_S; sent++) {
    const i = sent % clients.length
    under.push(send(clients[i]!, enrolled[i]!.key, from + Math.floor(sent / clients.length) + 1, Date.now()))
    const ahead = (sent / PACED_PER_S) * 1000 - (performance.now() - began)
    if (ahead > 2) await new Promise((resolve) => setTimeout(resolve, ahead))
  }
  await Promise.all(under)
}

const whole = (value: number) => Math.round(value).toLocaleString('en-US')
const rates: Record<string, number[]> = { nothing: [], NORMAL: [], FULL: [] }
for (let round = 0; round < 3; round++) {
  for (const mode of ['nothing', 'NORMAL', 'FULL'] as const) {
    const side = await program(mode)
    const clients = await connected(side.url, side.enrolled)
    await flood(clients, side.enrolled, WARM_UP, 0)
    rates[mode]!.push(await flood(clients, side.enrolled, MESSAGES, 100_000))
    for (const client of clients) client.end(true)
    await side.end()
  }
}
const median = (values: number[]) => values.sort((a, b) => a - b)[1]!
const idle = median(rates.nothing!)
console.log(`${LOGGERS} loggers, ${IN_FLIGHT} messages under way each, one reading a message, median of three runs`)
for (const mode of ['nothing', 'NORMAL', 'FULL']) {
  const rate = median(rates[mode]!)
  console.log(
    `${mode.padEnd(8)} ${whole(rate).padStart(8)} messages/s   ${(rate / idle).toFixed(2)} of the broker doing nothing`,
  )
}

const side = await program('FULL')
const clients = await connected(side.url, side.enrolled)
await flood(clients, side.enrolled, 2000, 0)
await side.ask()
await paced(clients, side.enrolled, 100_000)
const { waits } = await side.ask()
console.log(
  `FULL at ${PACED_PER_S} messages/s: publish to disk median ${waits[0]} ms, p99 ${waits[1]} ms, most ${waits[2]} ms`,
)
let from = 200_000
for (let part = 0; part <= 4; part++) {
  const { rssMB, heapMB, rows } = await side.ask()
  console.log(
    `${whole(rows).padStart(9)} rows: ${rssMB.toFixed(0)} MB resident, ${heapMB.toFixed(1)} MB of heap in use`,
  )
  if (part < 4) await flood(clients, side.enrolled, LONG_MESSAGES / 4, (from += 100_000))
}
for (const client of clients) client.end(true)
await side.end()

const MOSQUITTO = '/usr/sbin/mosquitto'
if (existsSync(MOSQUITTO)) {
  const port = 18_000 + Math.floor(Math.random() * 2000)
  execFileSync('mosquitto_passwd', ['-c', '-b', join(folder, 'pw'), 'service', 'invented-pass'])
  writeFileSync(
    join(folder, 'm.conf'),
    `user root\nlistener ${port} 127.0.0.1\nallow_anonymous false\npassword_file ${folder}/pw\npersistence false\nmax_queued_messages 0\n`,
  )
  const broker = spawn(MOSQUITTO, ['-c', join(folder, 'm.conf')], { stdio: 'ignore' })
  await new Promise((resolve) => setTimeout(resolve, 500))
  for (const mode of ['NORMAL', 'FULL']) {
    const outside = await program(mode, `mqtt://127.0.0.1:${port}`)
    const login = { username: 'service', password: 'invented-pass' }
    const publishers = await connected(outside.url, outside.enrolled, login)
    const began = performance.now()
    await flood(publishers, outside.enrolled, 5000, 0)
    for (;;) {
      if ((await outside.ask()).rows === 5000) break
      await new Promise((resolve) => setTimeout(resolve, 20))
    }
    const rate = 5000 / ((performance.now() - began) / 1000)
    console.log(
      `Mosquitto, ${mode}: ${whole(rate)} messages/s to disk; each waits for its own commit before the next is taken`,
    )
    for (const client of publishers) client.end(true)
    await outside.end()
  }
  broker.kill('SIGKILL')
} else console.log('Mosquitto is not installed: its figure is left out.')
rmSync(folder, { recursive: true, force: true })
process.exit(0)
