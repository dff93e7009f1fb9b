import { once } from 'node:events'
import { connect as connectSocket } from 'node:net'
import { join } from 'node:path'
import { connectAsync, type MqttClient } from 'mqtt'
import { describe, expect, it } from 'vitest'
import { type Database, openDatabase } from '../../../server/store/open.ts'
import { scratchFolder } from '../../support/database.ts'
import { type Enrolled, enrollIn } from '../../support/enroll.ts'
import { connectLogger, startLiveService } from '../../support/liveService.ts'

const AT = Date.UTC(2026, 4, 18, 14, 30)

async function serving(loggers = 2) {
  const path = join(scratchFolder(), 'underjoist.db')
  const enrolled = enrollIn(path, loggers)
  const service = await startLiveService(path)
  return { path, service, enrolled }
}

/** What another program sees in the file at this moment. */
function lookInto<T>(path: string, look: (db: Database) => T): T {
  const db = openDatabase(path, { readOnly: true })
  try {
    return look(db)
  } finally {
    db.close()
  }
}

const rowsOf = (path: string, { probeId }: Enrolled) =>
  lookInto(path, (db) => db.raw.prepare('select at, temp_c, rh_pct from readings where probe_id = ?').all(probeId))

const refusedOf = (path: string) =>
  lookInto(path, (db) =>
    db.raw.prepare('select logger_key as logger, reason, count from refused_messages order by id').all(),
  )

const nextMessage = (client: MqttClient): Promise<unknown> =>
  new Promise((resolve) => client.once('message', (_, payload) => resolve(JSON.parse(payload.toString()))))

const reading = (seq: number, tempC = 20) =>
  JSON.stringify({ run: 'a', seq, oldest: 1, at: new Date(AT + seq * 300_000).toISOString(), tempC, rhPct: 80 })

describe('our own broker, in a program of its own', () => {
  it('acknowledges what is on the disk, and not before', async () => {
    const { path, service, enrolled } = await serving()
    const [one] = enrolled as [Enrolled]
    const client = await connectLogger(service.mqtt, one)
    for (let seq = 1; seq <= 20; seq++) {
      await client.publishAsync(`underjoist/${one.key}/readings`, reading(seq, seq), { qos: 1 })
      expect(rowsOf(path, one)).toHaveLength(seq)
    }
    expect(rowsOf(path, one)[4]).toEqual({ at: AT + 5 * 300_000, temp_c: 500, rh_pct: 8000 })
    await service.end('SIGKILL')
    expect(rowsOf(path, one)).toHaveLength(20)
  })

  it('takes SenML, tells of the logger, and stores nothing twice', async () => {
    const { path, service, enrolled } = await serving()
    const [one] = enrolled as [Enrolled]
    const client = await connectLogger(service.mqtt, one)
    const pack = JSON.stringify([
      { bn: 'air/', bt: AT / 1000, n: 'tempC', u: 'Cel', v: 21.5 },
      { n: 'rhPct', u: '%RH', v: 77 },
      { n: 'batteryV', u: 'V', v: 2.9 },
    ])
    for (let i = 0; i < 3; i++) await client.publishAsync(`underjoist/${one.key}/senml`, pack, { qos: 1 })
    expect(rowsOf(path, one)).toEqual([{ at: AT, temp_c: 2150, rh_pct: 7700 }])
    expect(refusedOf(path)).toEqual([])
  })

  it('lets nobody in without the right secret, nor under the name of another', async () => {
    const { service, enrolled } = await serving()
    const [one, two] = enrolled as [Enrolled, Enrolled]
    const attempt = (options: object) =>
      connectAsync(service.mqtt, { protocolVersion: 4, reconnectPeriod: 0, ...options })
    const wrong = { code: 4 } // bad user name or password: MQTT 3.1.1, table 3.1
    await expect(attempt({ clientId: 'x' })).rejects.toMatchObject(wrong)
    await expect(attempt({ clientId: one.key, username: one.key, password: two.secret })).rejects.toMatchObject(wrong)
    await expect(attempt({ clientId: two.key, username: one.key, password: one.secret })).rejects.toMatchObject(wrong)
    await expect(attempt({ clientId: 'no', username: 'no', password: one.secret })).rejects.toMatchObject(wrong)
  })

  it('lets a logger speak below its own topic alone, and hear its own receipt alone', async () => {
    const { path, service, enrolled } = await serving()
    const [one, two] = enrolled as [Enrolled, Enrolled]
    const client = await connectLogger(service.mqtt, one)
    const other = await connectLogger(service.mqtt, two)
    const heard: string[] = []
    other.on('message', (topic) => heard.push(topic))
    await other.subscribeAsync(`underjoist/${two.key}/receipt`, { qos: 1 })
    for (const topic of [`underjoist/${two.key}/readings`, `underjoist/${two.key}/receipt`, 'elsewhere', '$SYS/x']) {
      await client.publishAsync(topic, reading(1), { qos: 1, retain: true })
    }
    await client.publishAsync(`underjoist/${one.key}/receipt`, '{}', { qos: 1, retain: true })
    expect(rowsOf(path, two)).toEqual([])
    expect(refusedOf(path)).toEqual([{ logger: one.key, reason: 'wrong topic', count: 5 }])
    for (const topic of [
      '#',
      'underjoist/+/receipt',
      `underjoist/${two.key}/receipt`,
      `underjoist/${one.key}/readings`,
    ]) {
      expect(await client.subscribeAsync(topic).catch((error: Error) => error)).toBeInstanceOf(Error)
    }
    await other.publishAsync(`underjoist/${two.key}/readings`, reading(1), { qos: 1 })
    await expect.poll(() => heard).toEqual([`underjoist/${two.key}/receipt`])
  })

  it('asks for what is missing, and remembers it through a restart', async () => {
    const { path, service, enrolled } = await serving()
    const [one] = enrolled as [Enrolled]
    const receipts: unknown[] = []
    const client = await connectLogger(service.mqtt, one)
    client.on('message', (_, payload) => receipts.push(JSON.parse(payload.toString())))
    await client.subscribeAsync(`underjoist/${one.key}/receipt`, { qos: 1 })
    for (const seq of [1, 2, 4, 5])
      await client.publishAsync(`underjoist/${one.key}/readings`, reading(seq), { qos: 1 })
    await expect.poll(() => receipts.at(-1)).toEqual({ run: 'a', through: 2, beyond: [[4, 5]] })
    await service.end('SIGKILL')

    const next = await startLiveService(path)
    const back = await connectLogger(next.mqtt, one)
    const first = nextMessage(back)
    await back.subscribeAsync(`underjoist/${one.key}/receipt`, { qos: 1 })
    expect(await first).toEqual({ run: 'a', through: 2, beyond: [[4, 5]] })
    const second = nextMessage(back)
    await back.publishAsync(`underjoist/${one.key}/readings`, reading(3), { qos: 1 })
    expect(await second).toEqual({ run: 'a', through: 5, beyond: [] })
  })

  it('knows who is connected, also by the last will of a logger that is cut off', async () => {
    const { path, service, enrolled } = await serving()
    const [one] = enrolled as [Enrolled]
    const will = {
      topic: `underjoist/${one.key}/status`,
      payload: Buffer.from('{"online":false}'),
      qos: 1,
      retain: true,
    } as const
    const client = await connectLogger(service.mqtt, one, { will })
    await client.publishAsync(`underjoist/${one.key}/status`, '{"online":true,"firmware":"3.1"}', {
      qos: 1,
      retain: true,
    })
    const state = () => lookInto(path, (db) => db.raw.prepare('select connected, firmware from logger_states').get())
    await expect.poll(state).toEqual({ connected: 1, firmware: '3.1' })
    client.stream.destroy()
    await expect.poll(state).toEqual({ connected: 0, firmware: '3.1' })
  })

  it('refuses what is malformed or too large without stalling the others', async () => {
    const { path, service, enrolled } = await serving()
    const [one, two] = enrolled as [Enrolled, Enrolled]
    const client = await connectLogger(service.mqtt, one)
    const topic = `underjoist/${one.key}/readings`
    for (const payload of ['{', '{"tempF":68}', '{"probe":"wood","tempC":20}', ' '.repeat(300_000)]) {
      await client.publishAsync(topic, payload, { qos: 1 })
    }
    await client.publishAsync(topic, reading(1), { qos: 1 })
    expect(rowsOf(path, one)).toHaveLength(1)
    expect(refusedOf(path)).toEqual(
      ['malformed', 'wrong unit', 'unknown probe', 'oversized'].map((reason) => ({
        logger: one.key,
        reason,
        count: 1,
      })),
    )
    // A packet that announces 200 MB is not waited for, and a stranger's bytes break nothing.
    const { port } = new URL(service.mqtt)
    for (const bytes of [
      [0x30, 0x80, 0x80, 0x80, 0x64],
      [0, 1, 2, 3, 255, 255, 255, 255],
    ]) {
      const socket = connectSocket(Number(port), '127.0.0.1')
      socket.on('error', () => {})
      socket.write(Buffer.from(bytes))
      await once(socket, 'close')
    }
    const other = await connectLogger(service.mqtt, two)
    await other.publishAsync(`underjoist/${two.key}/readings`, reading(1), { qos: 1 })
    expect(rowsOf(path, two)).toHaveLength(1)
  })
})
