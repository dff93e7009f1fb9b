/** Live readings through a real Mosquitto: sessions, receipts, TLS, and what a killed broker costs whom. */
import { execFileSync } from 'node:child_process'
import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import type { MqttClient } from 'mqtt'
import { describe, expect, it } from 'vitest'
import { openDatabase } from '../../server/store/open.ts'
import { scratchFolder } from '../support/database.ts'
import { enrollIn } from '../support/enroll.ts'
import { connectLogger, type LiveService, startLiveService } from '../support/liveService.ts'
import { type Mosquitto, startMosquitto, USER } from '../support/mosquitto.ts'

const AT_S = 1_779_000_000

const message = (seq: number, oldest = 1) =>
  JSON.stringify({ run: 'a', seq, oldest, atS: AT_S + seq * 60, tempC: (seq % 400) / 10 })

async function house(broker: Mosquitto) {
  const path = join(scratchFolder(), 'underjoist.db')
  enrollIn(path, 2)
  const env = { MQTT_URL: broker.url, MQTT_USER: USER.username, MQTT_PASSWORD: USER.password }
  const start = () => startLiveService(path, env)
  const rows = () => {
    const db = openDatabase(path, { readOnly: true })
    try {
      return db.raw
        .prepare('select (at / 1000 - ?) / 60 as seq, temp_c as temp from readings order by at')
        .all(AT_S) as {
        seq: number
        temp: number
      }[]
    } finally {
      db.close()
    }
  }
  return { path, start, rows }
}

const ready = (http: string) =>
  expect.poll(async () => (await fetch(`${http}/readyz`)).status, { timeout: 15_000 }).toBe(200)

const asLogger = (broker: Mosquitto, clientId: string) =>
  connectLogger(broker.url, { key: clientId, secret: '' }, { ...USER, clientId, rejectUnauthorized: false })

const publish = (client: MqttClient, seq: number, oldest?: number) =>
  client.publishAsync('underjoist/lg-1/readings', message(seq, oldest), { qos: 1 })

const complete = (rows: { seq: number; temp: number }[], count: number) => {
  expect(rows.map(({ seq }) => seq)).toEqual(Array.from({ length: count }, (_, i) => i + 1))
  expect(rows.filter(({ seq, temp }) => temp !== (seq % 400) * 10)).toEqual([])
}

describe('Mosquitto', () => {
  it('brings readings, keeps them while the service is away, and loses nothing when it is stopped properly', async () => {
    const broker = await startMosquitto({ persistence: true })
    const { start, rows } = await house(broker)
    const service = await start()
    await ready(service.http)
    const logger = await asLogger(broker, 'lg-1')
    const receipts: string[] = []
    logger.on('message', (_, payload) => receipts.push(payload.toString()))
    await logger.subscribeAsync('underjoist/lg-1/receipt', { qos: 1 })
    for (let seq = 1; seq <= 50; seq++) await publish(logger, seq)
    await expect.poll(() => receipts.at(-1), { timeout: 10_000 }).toBe('{"run":"a","through":50,"beyond":[]}')
    await service.end('SIGKILL')
    for (let seq = 51; seq <= 200; seq++) await publish(logger, seq)
    await broker.end('SIGTERM')
    await broker.start()
    const next = await start()
    await ready(next.http)
    await expect.poll(() => rows().length, { timeout: 20_000 }).toBe(200)
    complete(rows(), 200)
  })

  it('that is killed costs a logger that does not keep what the receipt lacks, and one that keeps nothing', async () => {
    const broker = await startMosquitto({ persistence: true })
    const { path, start, rows } = await house(broker)
    const service = await start()
    await ready(service.http)
    await service.end('SIGTERM')

    // Acknowledged by the broker, on its way to us, and gone with its memory.
    const logger = await asLogger(broker, 'lg-1')
    for (let seq = 1; seq <= 100; seq++) await publish(logger, seq)
    await broker.end('SIGKILL')
    await broker.start()
    const next = await start()
    await ready(next.http)
    const survived = rows().length
    const lost = 100 - survived
    expect(lost).toBeGreaterThan(0) // or this test would show nothing

    // It kept all, for no receipt came: the receipt of the next message asks for what is missing.
    const again = await asLogger(broker, 'lg-1')
    let covered: { through: number; beyond: [number, number][] } = { through: 0, beyond: [] }
    again.on('message', (_, payload) => (covered = JSON.parse(payload.toString())))
    await again.subscribeAsync('underjoist/lg-1/receipt', { qos: 1 })
    await publish(again, 101)
    await expect.poll(() => covered.beyond.length + covered.through, { timeout: 10_000 }).toBeGreaterThan(0)
    const has = (seq: number) => seq <= covered.through || covered.beyond.some(([a, b]) => a <= seq && seq <= b)
    for (let seq = 1; seq <= 101; seq++) if (!has(seq)) await publish(again, seq)
    await expect.poll(() => covered.through, { timeout: 20_000 }).toBe(101)
    complete(rows(), 101)
    console.log(`Mosquitto killed: ${lost} of 100 acknowledged messages lost by the broker, none after the receipt`)

    // One that kept nothing says what its oldest is: what will never come is counted, not waited for.
    await publish(again, 111, 111)
    await expect.poll(() => covered.through, { timeout: 10_000 }).toBe(111)
    const db = openDatabase(path, { readOnly: true })
    expect(db.raw.prepare('select missed from sequences').pluck().get()).toBe(9)
    db.close()
  })

  it('that is down, or takes no password, is said at /readyz and tried again while the service goes on', async () => {
    const broker = await startMosquitto({ persistence: false })
    const { path, start } = await house(broker)
    const service = await start()
    await ready(service.http)
    await broker.end('SIGTERM')
    const trouble = async () => (await (await service.ask('/readyz')).json()).message as string
    await expect.poll(trouble, { timeout: 15_000 }).toContain('Nothing answers at')
    expect((await fetch(`${service.http}/healthz`)).status).toBe(200)
    await broker.start()
    await ready(service.http)
    await service.end('SIGTERM')

    const wrong = await startLiveService(path, { MQTT_URL: broker.url, MQTT_USER: 'service', MQTT_PASSWORD: 'no' })
    const said = async () => (await (await wrong.ask('/readyz')).json()).message as string
    await expect.poll(said, { timeout: 15_000 }).toContain('MQTT_PASSWORD')
    expect(await said()).not.toContain('MQTT_PASSWORD=no')
  })

  it('is spoken to over TLS, and a certificate that has expired or is signed by a stranger is refused', async () => {
    const good = certificate({ days: 2 })
    const broker = await startMosquitto({ persistence: false, tls: good })
    const { path } = await house(broker)
    const login = { MQTT_URL: broker.url, MQTT_USER: USER.username, MQTT_PASSWORD: USER.password }
    const trusting = await startLiveService(path, { ...login, MQTT_CA: good.cert })
    await ready(trusting.http)
    await trusting.end('SIGTERM')
    const strange = await startLiveService(path, login)
    const said = async ({ ask }: LiveService) => (await (await ask('/readyz')).json()).message as string
    await expect.poll(() => said(strange), { timeout: 15_000 }).toContain('MQTT_CA')
    await strange.end('SIGTERM')
    await broker.end('SIGTERM')

    const old = certificate({ days: -1 })
    const aged = await startMosquitto({ persistence: false, tls: old })
    const service = await startLiveService(path, { ...login, MQTT_URL: aged.url, MQTT_CA: old.cert })
    await expect.poll(() => said(service), { timeout: 15_000 }).toContain('has expired')
  })
})

/** Signed by itself, for 127.0.0.1; a negative number of days makes one that is over already. */
function certificate({ days }: { days: number }): { cert: string; key: string } {
  const folder = scratchFolder()
  const [cert, key] = [join(folder, 'cert.pem'), join(folder, 'key.pem')]
  const stamp = (shift: number) =>
    `${new Date(Date.now() + shift * 86_400_000).toISOString().replace(/[-:T]|\.\d+/g, '')}`
  const config = join(folder, 'openssl.cnf')
  execFileSync('openssl', [
    'req',
    '-newkey',
    'rsa:2048',
    '-nodes',
    '-keyout',
    key,
    '-out',
    `${cert}.csr`,
    '-subj',
    '/CN=127.0.0.1',
  ])
  execFileSync('sh', [
    '-c',
    `mkdir -p '${folder}/ca' && : > '${folder}/ca/index' && echo 01 > '${folder}/ca/serial' && cat > '${config}' <<'END'
[ca]
default_ca = own
[own]
database = ${folder}/ca/index
serial = ${folder}/ca/serial
new_certs_dir = ${folder}/ca
default_md = sha256
policy = any
x509_extensions = names
[any]
commonName = supplied
[names]
subjectAltName = IP:127.0.0.1
basicConstraints = CA:TRUE
END
openssl ca -batch -selfsign -config '${config}' -keyfile '${key}' -in '${cert}.csr' -out '${cert}' -startdate ${stamp(-3)} -enddate ${stamp(days)} -notext 2>/dev/null`,
  ])
  expect(readFileSync(cert, 'utf8')).toContain('BEGIN CERTIFICATE')
  return { cert, key }
}
