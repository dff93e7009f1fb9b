import { describe, expect, it, onTestFinished } from 'vitest'
import { createReceiver, IntakeCrowded, type Taken } from '../../../server/ingest/mqtt/receiver.ts'
import type { Database } from '../../../server/store/open.ts'
import { scratchDatabase } from '../../support/database.ts'
import { enroll } from '../../support/enroll.ts'
import { seeded } from '../../support/seeded.ts'

const NOW = Date.UTC(2026, 4, 18, 14, 30)

function receiving(db: Database) {
  const taken: Taken[] = []
  const pauses: (string | null)[] = []
  const clock = { now: NOW }
  const receiver = createReceiver(db, {
    now: () => clock.now,
    onTaken: (one) => taken.push(one),
    onPause: (reason) => pauses.push(reason),
  })
  onTestFinished(() => receiver.stop())
  const send = (topic: string, payload: string | Uint8Array, publisher?: string) =>
    receiver.take({
      topic,
      payload: typeof payload === 'string' ? Buffer.from(payload) : payload,
      ...(publisher !== undefined && { publisher }),
    })
  return { receiver, taken, pauses, clock, send }
}

const count = (db: Database) => db.raw.prepare('select count(*) from readings').pluck().get() as number
const refusals = (db: Database) =>
  db.raw.prepare('select logger_key as logger, reason, count, problem from refused_messages order by id').all()

describe('the receiver', () => {
  it('stores what is good of a message and names the place of what is not', async () => {
    const db = scratchDatabase()
    enroll(db, 1)
    const { send } = receiving(db)
    const body = {
      run: 'x',
      seq: 1,
      readings: [
        { ageS: 600, tempC: 20, rhPct: 70 },
        { ageS: 300, tempC: 400, rhPct: 71 },
        { ageS: 0, tempC: 'warm' },
        { tempC: 20 },
        { atS: NOW / 1000 + 90_000, tempC: 20 },
        { atS: 5000, tempC: 20 },
      ],
    }
    const { outcome, delivered } = await send('underjoist/lg-1/readings', JSON.stringify(body))
    expect(outcome).toBe('partly refused')
    expect(delivered).toMatchObject({ stored: 2, receipt: { run: 'x', through: 1, beyond: [] } })
    expect(db.raw.prepare('select at, temp_c, rh_pct from readings').all()).toEqual([
      { at: NOW - 600_000, temp_c: 2000, rh_pct: 7000 },
      { at: NOW - 300_000, temp_c: null, rh_pct: 7100 },
    ])
    expect(refusals(db)).toEqual([
      {
        logger: 'lg-1',
        reason: 'out of range',
        count: 1,
        problem: expect.stringContaining('readings[1].tempC is 400'),
      },
      {
        logger: 'lg-1',
        reason: 'malformed',
        count: 1,
        problem: expect.stringContaining('readings[2].tempC is "warm"'),
      },
      { logger: 'lg-1', reason: 'without a time', count: 1, problem: expect.stringContaining('readings[3]') },
      { logger: 'lg-1', reason: 'future', count: 1, problem: expect.stringContaining('2026-05-19') },
      { logger: 'lg-1', reason: 'ancient', count: 1, problem: expect.stringContaining('1970') },
    ])
  })

  it('knows a message without a clock again by its number, however late it comes', async () => {
    const db = scratchDatabase()
    enroll(db, 1)
    const { send, clock } = receiving(db)
    const body = JSON.stringify({ run: 'x', seq: 7, readings: [{ ageS: 60, tempC: 20 }] })
    expect(await send('underjoist/lg-1/readings', body)).toMatchObject({ outcome: 'stored' })
    clock.now += 90_000
    expect(await send('underjoist/lg-1/readings', body)).toMatchObject({ outcome: 'again', delivered: { repeated: 1 } })
    expect(count(db)).toBe(1)
  })

  it('keeps the first of two values for one instant, and says so', async () => {
    const db = scratchDatabase()
    enroll(db, 1)
    const { send } = receiving(db)
    await send('underjoist/lg-1/readings', JSON.stringify({ atS: NOW / 1000, tempC: 20 }))
    const second = await send('underjoist/lg-1/readings', JSON.stringify({ atS: NOW / 1000, tempC: 21 }))
    expect(second.outcome).toBe('refused')
    expect(db.raw.prepare('select temp_c from readings').pluck().all()).toEqual([2000])
    expect(refusals(db)).toEqual([
      expect.objectContaining({
        reason: 'differs',
        problem: expect.stringContaining('is 21, and 20 was stored before'),
      }),
    ])
  })

  it('measures the clock of a logger by the least delayed message of each day', async () => {
    const db = scratchDatabase()
    enroll(db, 1)
    const { send, clock } = receiving(db)
    for (const [delayS, day] of [
      [40, 0],
      [2, 0],
      [300, 0],
      [5, 1],
    ] as const) {
      clock.now = NOW + day * 86_400_000 + delayS * 1000
      const clockS = (NOW + day * 86_400_000) / 1000 + 12 // twelve seconds fast
      await send('underjoist/lg-1/readings', JSON.stringify({ clockS, atS: clockS, tempC: 20 }))
    }
    // Readings that were dated by when they arrived have nothing to do with that clock.
    await send('underjoist/lg-1/readings', JSON.stringify({ clockS: clock.now / 1000 + 900, ageS: 5, tempC: 20 }))
    expect(db.raw.prepare('select off_s, count from clock_checks order by day_at').all()).toEqual([
      { off_s: 10, count: 3 },
      { off_s: 7, count: 1 },
    ])
  })

  it('hears nothing from what a broker kept from some time', async () => {
    const db = scratchDatabase()
    enroll(db, 1)
    const { receiver } = receiving(db)
    const take = (topic: string, text: string) => receiver.take({ topic, payload: Buffer.from(text), retained: true })
    await take('underjoist/lg-1/status', '{"online":true}')
    await take('underjoist/lg-1/readings', '{"tempC":20}')
    expect(count(db)).toBe(0)
    expect(db.raw.prepare('select connected from logger_states').all()).toEqual([])
  })

  it('counts strangers together and answers them nothing', async () => {
    const db = scratchDatabase()
    const { send } = receiving(db)
    for (const name of ['a', 'b', 'c']) await send(`underjoist/${name}/readings`, '{"tempC":20}')
    expect(refusals(db)).toEqual([expect.objectContaining({ logger: '', reason: 'unknown logger', count: 3 })])
  })
})

describe('a full disk', () => {
  it('pauses the intake, loses nothing that was acknowledged, and goes on when there is room', async () => {
    const db = scratchDatabase()
    enroll(db, 1)
    const { receiver, send, pauses, taken } = receiving(db)
    const pages = db.raw.pragma('page_count', { simple: true }) as number
    db.raw.pragma(`max_page_count = ${pages + 2}`)
    const message = (seq: number) => {
      const readings = Array.from({ length: 300 }, (_, i) => ({
        atS: NOW / 1000 - 1_000_000 + seq * 10_000 + i,
        tempC: 20,
        rhPct: (seq + i) % 100,
      }))
      return send('underjoist/lg-1/readings', JSON.stringify({ run: 'r', seq, readings }))
    }
    const sent = [1, 2, 3, 4, 5, 6, 7, 8].map(message)
    await expect.poll(() => receiver.paused(), { timeout: 5000 }).toContain('disk with the database is full')
    const acknowledged = taken.length
    expect(acknowledged).toBeLessThan(8)
    expect(count(db)).toBe(acknowledged * 300)
    expect(receiver.waiting()).toBe(8 - acknowledged)

    // More than may wait is not taken, so memory stays bounded and the logger keeps it.
    const large = Buffer.alloc(200_000, 32)
    const crowd = Array.from({ length: 120 }, () =>
      receiver.take({ topic: 'underjoist/lg-1/readings', payload: large }).catch((error: Error) => error),
    )
    const turnedAway = await Promise.any(
      crowd.map(async (one) => ((await one) instanceof IntakeCrowded ? true : Promise.reject())),
    )
    expect(turnedAway).toBe(true)

    db.raw.pragma(`max_page_count = ${pages + 10_000}`)
    expect((await Promise.all(sent)).length).toBe(8)
    await Promise.all(crowd)
    expect(receiver.paused()).toBeNull()
    expect(count(db)).toBe(2400)
    expect(pauses).toEqual([expect.stringContaining('full'), null])
    expect(db.raw.prepare('select through from sequences').pluck().get()).toBe(8)
  }, 30_000)
})

describe('10,000 random and mutated messages', () => {
  const SEEDS = [
    '{"run":"a7","seq":41,"oldest":40,"probe":"air","at":"2026-05-18T14:00:00Z","tempC":20.31,"rhPct":81.2,"batteryV":2.98}',
    '{"readings":[{"ageS":600,"tempC":20.3,"rhPct":80},{"ageS":0,"tempC":20.4,"rhPct":81}],"seq":2,"run":"b"}',
    '[{"bn":"air/","bt":1779114600,"n":"tempC","u":"Cel","v":21.5},{"n":"rhPct","u":"%RH","v":77}]',
    '{"online":true,"firmware":"1.2"}',
  ]
  const TOPICS = [
    'underjoist/lg-1/readings',
    'underjoist/lg-1/senml',
    'underjoist/lg-1/status',
    'underjoist/lg-2/readings',
    'underjoist/nobody/readings',
    'underjoist/lg-1/receipt',
    'underjoist/lg-1/readings/more',
    '',
    '/',
    'underjoist//readings',
    'UNDERJOIST/lg-1/readings',
    'underjoist/../readings',
  ]
  const TOKENS = [
    'null',
    'true',
    '-1',
    '1e999',
    '1e-7',
    '""',
    '[]',
    '{}',
    '"air"',
    '99999999999',
    '0',
    '"NaN"',
    '{"a":',
    ']',
  ]

  it('crash nothing, store nothing wrong, and are all accounted for', async () => {
    const db = scratchDatabase()
    const [known] = enroll(db, 2)
    const { send, taken, clock } = receiving(db)
    const next = seeded(20_261_125)
    const pick = <T>(list: readonly T[]): T => list[Math.floor(next() * list.length)]!
    const dated = (text: string) =>
      text
        .replace('14:00:00', `0${Math.floor(next() * 10)}:${10 + Math.floor(next() * 50)}:00`)
        .replace('1779114600', String(1_779_000_000 + Math.floor(next() * 100_000)))
    function mutated(text: string): Uint8Array {
      const bytes = Buffer.from(text)
      switch (Math.floor(next() * 6)) {
        case 0:
          return bytes
        case 1: // bytes of chance
          for (let i = 0; i < 1 + next() * 4; i++) bytes[Math.floor(next() * bytes.length)] = Math.floor(next() * 256)
          return bytes
        case 2:
          return bytes.subarray(0, Math.floor(next() * bytes.length))
        case 3: {
          // another value in the place of one
          const parts = text.split(/(?<=[:,])/)
          parts[Math.floor(next() * parts.length)] = `${pick(TOKENS)},`
          return Buffer.from(parts.join(''))
        }
        case 4:
          return Buffer.from(text.replace(/[\d.]+/, () => String((next() - 0.5) * 10 ** Math.floor(next() * 20))))
        default:
          return Buffer.from(Array.from({ length: Math.floor(next() * 60) }, () => Math.floor(next() * 256)))
      }
    }
    for (let from = 0; from < 10_000; from += 500) {
      await Promise.all(Array.from({ length: 500 }, () => send(pick(TOPICS), mutated(dated(pick(SEEDS))))))
      clock.now += 1000
    }
    expect(taken).toHaveLength(10_000)
    const refusedMessages = taken.filter(({ outcome }) => outcome === 'refused' || outcome === 'partly refused').length
    const counted = db.raw.prepare('select sum(count) from refused_messages').pluck().get() as number
    expect(counted).toBeGreaterThanOrEqual(refusedMessages)
    expect(refusedMessages).toBeGreaterThan(3000)
    const stored = taken.reduce((sum, { delivered }) => sum + delivered.stored, 0)
    expect(stored).toBe(count(db))
    expect(stored).toBeGreaterThan(100)
    // Every row is one that its probe could have measured, at a time that can be.
    const wrong = db.raw
      .prepare(
        `select count(*) from readings where at < 946684800000 or at > ? or temp_c not between -6000 and 9000
         or rh_pct not between 0 and 10000 or battery_v not between 0 and 60000 or typeof(at) <> 'integer'`,
      )
      .pluck()
      .get(clock.now + 86_400_000)
    expect(wrong).toBe(0)
    expect(
      db.raw.prepare('select count(*) from refused_messages where problem = ? or fix = ?').pluck().get('', ''),
    ).toBe(0)
    // And the next good one goes in.
    const { outcome } = await send(
      `underjoist/${known!.key}/readings`,
      JSON.stringify({ atS: 1_700_000_000, tempC: 1 }),
    )
    expect(outcome).toBe('stored')
  })
})
