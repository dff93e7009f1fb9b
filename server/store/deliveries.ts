/**
 * One message of a logger and all that it changes, in one transaction: its readings, what the logger said of itself, how
 * far its numbered messages have come, and what was refused. Acknowledged is what this resolved for.
 */
import { type Group, inSharedTransaction } from './groupedWrites.ts'
import type { Database } from './open.ts'
import type { MESSAGE_REFUSALS } from './schema.ts'
import { type Arrived, hasArrived, NONE_ARRIVED, withArrival } from './sequence.ts'
import type { StepBatch } from './steps.ts'
import { inTransaction, statement } from './unitsOfWork.ts'
import { type BatchOutcome, type Difference, writeReadings } from './writeReadings.ts'

/** A message, or a part of one, that is not stored. */
export interface RefusedPart {
  reason: (typeof MESSAGE_REFUSALS)[number]
  problem: string
  fix: string
}

export interface Delivery {
  /** UTC epoch ms, when the message was here. */
  arrivedAt: number
  topic: string
  payload: Uint8Array
  /** Null for whoever is not known here: only what is refused is counted then. */
  logger: { id: number; key: string } | null
  batches: readonly StepBatch[]
  /** The instants come from when it arrived: the same message a second time would get others, and its number decides. */
  timedByArrival: boolean
  /** What it said of itself; null when the message is not from the logger, as a last will is not. */
  told: { batteryV?: number; signalDbm?: number; firmware?: string; clockOffS?: number } | null
  /** Left out when the message says nothing of it. */
  connected?: boolean
  sequence: { run: string; number: number; oldest: number | null } | null
  refused: readonly RefusedPart[]
  /** Words for a value that was not taken because another stood there already. */
  differsPart(difference: Difference): RefusedPart
}

export interface Delivered {
  stored: number
  repeated: number
  filled: number
  differing: number
  /** Whether a message of this number was here before. */
  again: boolean
  /** To be told to the logger; null for messages without a number. */
  receipt: LoggerReceipt | null
}

/** What a logger is told of its numbered messages. */
export interface LoggerReceipt extends Pick<Arrived, 'through' | 'beyond'> {
  run: string
}

/** @throws StoreError on a full or locked disk: nothing of the message is stored then */
export function storeDelivery(db: Database, delivery: Delivery): Promise<Delivered> {
  const rows = delivery.batches.reduce((sum, { at }) => sum + at.length, 1)
  return inSharedTransaction(db, rows, (group) => writeDelivery(db, group, delivery))
}

function writeDelivery(db: Database, group: Group, delivery: Delivery): Delivered {
  const { logger, sequence } = delivery
  const numbered = logger && sequence ? { ...sequence, before: readArrived(db, group, logger.id, sequence.run) } : null
  const again = numbered !== null && hasArrived(numbered.before, numbered.number)
  const skipped = again && delivery.timedByArrival
  const outcomes = skipped ? [] : delivery.batches.map((batch) => writeReadings(db, batch, null))
  const sum = (count: (outcome: BatchOutcome) => number) => outcomes.reduce((all, one) => all + count(one), 0)
  const refused = [...delivery.refused, ...outcomes.flatMap(({ differs }) => differs.map(delivery.differsPart))]
  for (const [reason, parts] of byReason(refused)) countRefused(db, delivery, reason, parts)
  const delivered: Delivered = {
    stored: sum((outcome) => outcome.stored),
    repeated: sum((outcome) => outcome.repeated),
    filled: sum((outcome) => outcome.filled),
    differing: sum((outcome) => outcome.differingRows),
    again,
    receipt: null,
  }
  if (logger === null) return delivered
  // After the readings: a number must never count as arrived when its readings did not.
  if (numbered !== null) delivered.receipt = arrive(db, group, logger.id, delivery.arrivedAt, numbered)
  if (skipped) delivered.repeated = delivery.batches.reduce((all, { at }) => all + at.length, 0)
  noteState(db, group, logger.id, delivery, { stored: delivered.stored, refused: refused.length })
  const off = delivery.told?.clockOffS
  // A clock that dated none of the readings must not move them.
  if (off !== undefined && !delivery.timedByArrival) noteClock(db, logger.id, delivery.arrivedAt, off)
  return delivered
}

function byReason(refused: readonly RefusedPart[]): Map<RefusedPart['reason'], RefusedPart[]> {
  const parts = new Map<RefusedPart['reason'], RefusedPart[]>()
  for (const part of refused) parts.set(part.reason, [...(parts.get(part.reason) ?? []), part])
  return parts
}

/** As much of the last refused message as is worth a look. */
const KEPT_PAYLOAD_BYTES = 2048
const KEPT_TOPIC_CHARS = 200

function countRefused(
  db: Database,
  { arrivedAt, topic, payload, logger }: Delivery,
  reason: RefusedPart['reason'],
  parts: readonly RefusedPart[],
): void {
  const { problem, fix } = parts.at(-1)!
  statement(
    db,
    `insert into refused_messages (logger_key, reason, count, first_at, last_at, topic, payload, payload_bytes, problem, fix)
     values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?) on conflict (logger_key, reason) do update set count = count + excluded.count,
     last_at = excluded.last_at, topic = excluded.topic, payload = excluded.payload,
     payload_bytes = excluded.payload_bytes, problem = excluded.problem, fix = excluded.fix`,
  ).run(
    logger?.key ?? '',
    reason,
    parts.length,
    arrivedAt,
    arrivedAt,
    topic.slice(0, KEPT_TOPIC_CHARS),
    Buffer.from(payload.subarray(0, KEPT_PAYLOAD_BYTES)),
    payload.length,
    problem,
    fix,
  )
}

interface ArrivedRow {
  loggerId: number
  run: string
  arrived: Arrived
  at: number
  isNew: boolean
}

/** A backlog comes as many messages at once; how far they came is written once. */
const arrivals = (db: Database, group: Group): Map<string, ArrivedRow> =>
  group.shared(
    'sequences',
    () => new Map<string, ArrivedRow>(),
    (rows) => {
      for (const row of rows.values()) writeArrived(db, row)
    },
  )

function arrive(
  db: Database,
  group: Group,
  loggerId: number,
  at: number,
  { run, number, oldest, before }: NonNullable<Delivery['sequence']> & { before: Arrived },
): LoggerReceipt {
  const rows = arrivals(db, group)
  const key = `${loggerId} ${run}`
  const arrived = withArrival(before, number, oldest)
  const isNew = rows.get(key)?.isNew ?? before === NONE_ARRIVED
  rows.set(key, { loggerId, run, arrived, at, isNew })
  return { run, through: arrived.through, beyond: arrived.beyond }
}

function readArrived(db: Database, group: Group, loggerId: number, run: string): Arrived {
  const inGroup = arrivals(db, group).get(`${loggerId} ${run}`)
  if (inGroup !== undefined) return inGroup.arrived
  const row = statement(db, 'select through, beyond, missed from sequences where logger_id = ? and run = ?').get(
    loggerId,
    run,
  ) as { through: number; beyond: string; missed: number } | undefined
  return row === undefined
    ? NONE_ARRIVED
    : { through: row.through, missed: row.missed, beyond: JSON.parse(row.beyond) as Arrived['beyond'] }
}

function writeArrived(db: Database, { loggerId, run, arrived, at, isNew }: ArrivedRow): void {
  const { through, beyond, missed } = arrived
  statement(
    db,
    `insert into sequences (logger_id, run, through, beyond, missed, heard_at) values (?, ?, ?, ?, ?, ?)
     on conflict (logger_id, run) do update set through = excluded.through, beyond = excluded.beyond,
     missed = excluded.missed, heard_at = excluded.heard_at`,
  ).run(loggerId, run, through, JSON.stringify(beyond), missed, at)
  if (isNew) forgetOldRuns(db, loggerId)
}

/** A logger that loses its memory at each start would leave a row for each. */
const KEPT_RUNS = 20

function forgetOldRuns(db: Database, loggerId: number): void {
  statement(
    db,
    `delete from sequences where logger_id = ? and run not in
     (select run from sequences where logger_id = ? order by heard_at desc, run limit ${KEPT_RUNS})`,
  ).run(loggerId, loggerId)
}

/** All that the messages of one group said of a logger. */
interface SaidState {
  firstAt: number
  lastAt: number
  messages: number
  stored: number
  refused: number
  told: NonNullable<Delivery['told']>
}

function noteState(
  db: Database,
  group: Group,
  loggerId: number,
  { arrivedAt, told, connected }: Delivery,
  { stored, refused }: { stored: number; refused: number },
): void {
  if (told !== null) {
    const states = group.shared(
      'logger states',
      () => new Map<number, SaidState>(),
      (all) => {
        for (const [id, state] of all) writeState(db, id, state)
      },
    )
    const before = states.get(loggerId)
    states.set(loggerId, {
      firstAt: Math.min(before?.firstAt ?? arrivedAt, arrivedAt),
      lastAt: Math.max(before?.lastAt ?? arrivedAt, arrivedAt),
      messages: (before?.messages ?? 0) + 1,
      stored: (before?.stored ?? 0) + stored,
      refused: (before?.refused ?? 0) + refused,
      told: { ...before?.told, ...told },
    })
  }
  // After the state of the group, so that a logger that is heard for the first time has a row to be marked in.
  if (connected !== undefined) {
    group
      .shared(
        'connections',
        () => new Map<number, { connected: boolean; at: number }>(),
        (all) => {
          for (const [id, one] of all) writeConnected(db, id, one.connected, one.at)
        },
      )
      .set(loggerId, { connected, at: arrivedAt })
  }
}

function writeState(db: Database, loggerId: number, { firstAt, lastAt, told, ...counts }: SaidState): void {
  statement(
    db,
    `insert into logger_states (logger_id, first_heard_at, heard_at, battery_v, signal_dbm, firmware, clock_off_s,
       messages, readings, refused) values (@id, @firstAt, @lastAt, @batteryV, @signalDbm, @firmware, @clockOffS,
       @messages, @stored, @refused)
     on conflict (logger_id) do update set heard_at = max(heard_at, excluded.heard_at),
       first_heard_at = min(first_heard_at, excluded.first_heard_at),
       battery_v = coalesce(excluded.battery_v, battery_v), signal_dbm = coalesce(excluded.signal_dbm, signal_dbm),
       firmware = coalesce(excluded.firmware, firmware), clock_off_s = coalesce(excluded.clock_off_s, clock_off_s),
       messages = messages + excluded.messages, readings = readings + excluded.readings,
       refused = refused + excluded.refused`,
  ).run({
    id: loggerId,
    firstAt,
    lastAt,
    batteryV: told.batteryV ?? null,
    signalDbm: told.signalDbm ?? null,
    firmware: told.firmware ?? null,
    clockOffS: told.clockOffS ?? null,
    ...counts,
  } as never)
}

function writeConnected(db: Database, loggerId: number, connected: boolean, at: number): void {
  statement(
    db,
    `update logger_states set connected_at = case when connected is ? then connected_at else ? end, connected = ?
     where logger_id = ?`,
  ).run(Number(connected), at, Number(connected), loggerId)
}

const DAY_MS = 86_400_000

/** Of a day the largest offset stands: the way of a message only ever makes a clock look slower than it is. */
function noteClock(db: Database, loggerId: number, at: number, offS: number): void {
  statement(
    db,
    `insert into clock_checks (logger_id, day_at, off_s, count) values (?, ?, ?, 1)
     on conflict (logger_id, day_at) do update set off_s = max(off_s, excluded.off_s), count = count + 1`,
  ).run(loggerId, Math.floor(at / DAY_MS) * DAY_MS, offS)
}

/** A logger as the intake of messages needs it. */
export interface IntakeLogger {
  id: number
  key: string
  probes: ReadonlyMap<string, number>
}

/** A logger is looked up once in this time however much it sends: what it is changes by hand. */
const KNOWN_MS = 1000

const known = new WeakMap<Database, Map<string, { logger: IntakeLogger; until: number }>>()

/**
 * Undefined for keys that are not known, and for loggers out of service; a change is seen within a second.
 * @param now UTC epoch ms
 */
export function findIntakeLogger(db: Database, key: string, now: number): IntakeLogger | undefined {
  let ofDatabase = known.get(db)
  if (ofDatabase === undefined) known.set(db, (ofDatabase = new Map()))
  const found = ofDatabase.get(key)
  if (found !== undefined && now < found.until && now > found.until - 2 * KNOWN_MS) return found.logger
  ofDatabase.delete(key)
  const id = statement(db, 'select id from loggers where key = ? and retired_at is null').pluck().get(key) as
    | number
    | undefined
  if (id === undefined) return undefined
  const probes = statement(db, 'select key, id from probes where logger_id = ?').all(id) as {
    key: string
    id: number
  }[]
  const logger: IntakeLogger = { id, key, probes: new Map(probes.map((probe) => [probe.key, probe.id])) }
  ofDatabase.set(key, { logger, until: now + KNOWN_MS })
  return logger
}

/** Connected or not as the broker sees it; a logger that was never heard has no row and needs none. */
export const noteConnected = (db: Database, loggerKey: string, connected: boolean, at: number): Promise<void> =>
  inSharedTransaction(db, 1, () => {
    const id = statement(db, 'select id from loggers where key = ?').pluck().get(loggerKey) as number | undefined
    if (id !== undefined) writeConnected(db, id, connected, at)
  })

/** When the service starts nobody is connected to it yet. */
export async function forgetConnections(db: Database): Promise<void> {
  inTransaction(db, () => statement(db, 'update logger_states set connected = null').run())
}

/** The receipt of every logger for the run that it was heard of last. */
export async function latestReceipts(db: Database): Promise<{ logger: string; receipt: LoggerReceipt }[]> {
  const rows = statement(
    db,
    `select l.key as logger, s.run, s.through, s.beyond, max(s.heard_at) from sequences s join loggers l on l.id = s.logger_id
     where l.retired_at is null group by s.logger_id`,
  ).all() as { logger: string; run: string; through: number; beyond: string }[]
  return rows.map(({ logger, run, through, beyond }) => ({
    logger,
    receipt: { run, through, beyond: JSON.parse(beyond) as Arrived['beyond'] },
  }))
}
