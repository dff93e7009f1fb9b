/**
 * One message of a logger and all that it changes, in one transaction: its readings, what the logger said of itself, how
 * far its numbered messages have come, and what was refused. Acknowledged is what this resolved for.
 */
import { inSharedTransaction } from './groupedWrites.ts'
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
  return inSharedTransaction(db, rows, () => writeDelivery(db, delivery))
}

function writeDelivery(db: Database, delivery: Delivery): Delivered {
  const { logger, sequence } = delivery
  const numbered = logger && sequence ? { ...sequence, before: readArrived(db, logger.id, sequence.run) } : null
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
  if (numbered !== null) delivered.receipt = arrive(db, logger.id, delivery.arrivedAt, numbered)
  if (skipped) delivered.repeated = delivery.batches.reduce((all, { at }) => all + at.length, 0)
  writeState(db, logger.id, delivery, { stored: delivered.stored, refused: refused.length })
  const off = delivery.told?.clockOffS
  if (off !== undefined) noteClock(db, logger.id, delivery.arrivedAt, off)
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

function arrive(
  db: Database,
  loggerId: number,
  at: number,
  { run, number, oldest, before }: NonNullable<Delivery['sequence']> & { before: Arrived },
): LoggerReceipt {
  const { through, beyond, missed } = withArrival(before, number, oldest)
  statement(
    db,
    `insert into sequences (logger_id, run, through, beyond, missed, heard_at) values (?, ?, ?, ?, ?, ?)
     on conflict (logger_id, run) do update set through = excluded.through, beyond = excluded.beyond,
     missed = excluded.missed, heard_at = excluded.heard_at`,
  ).run(loggerId, run, through, JSON.stringify(beyond), missed, at)
  if (before === NONE_ARRIVED) forgetOldRuns(db, loggerId)
  return { run, through, beyond }
}

function readArrived(db: Database, loggerId: number, run: string): Arrived {
  const row = statement(db, 'select through, beyond, missed from sequences where logger_id = ? and run = ?').get(
    loggerId,
    run,
  ) as { through: number; beyond: string; missed: number } | undefined
  return row === undefined
    ? NONE_ARRIVED
    : { through: row.through, missed: row.missed, beyond: JSON.parse(row.beyond) as Arrived['beyond'] }
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

function writeState(
  db: Database,
  loggerId: number,
  { arrivedAt, told, connected }: Delivery,
  counts: { stored: number; refused: number },
): void {
  if (told === null) {
    if (connected !== undefined) writeConnected(db, loggerId, connected, arrivedAt)
    return
  }
  statement(
    db,
    `insert into logger_states (logger_id, first_heard_at, heard_at, battery_v, signal_dbm, firmware, clock_off_s,
       messages, readings, refused) values (@id, @at, @at, @batteryV, @signalDbm, @firmware, @clockOffS, 1, @stored, @refused)
     on conflict (logger_id) do update set heard_at = max(heard_at, excluded.heard_at),
       first_heard_at = min(first_heard_at, excluded.first_heard_at),
       battery_v = coalesce(excluded.battery_v, battery_v), signal_dbm = coalesce(excluded.signal_dbm, signal_dbm),
       firmware = coalesce(excluded.firmware, firmware), clock_off_s = coalesce(excluded.clock_off_s, clock_off_s),
       messages = messages + 1, readings = readings + excluded.readings, refused = refused + excluded.refused`,
  ).run({
    id: loggerId,
    at: arrivedAt,
    batteryV: told.batteryV ?? null,
    signalDbm: told.signalDbm ?? null,
    firmware: told.firmware ?? null,
    clockOffS: told.clockOffS ?? null,
    ...counts,
  } as never)
  if (connected !== undefined) writeConnected(db, loggerId, connected, arrivedAt)
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

/** Undefined for keys that are not known, and for loggers out of service. */
export function findIntakeLogger(db: Database, key: string): IntakeLogger | undefined {
  const id = statement(db, 'select id from loggers where key = ? and retired_at is null').pluck().get(key) as
    | number
    | undefined
  if (id === undefined) return undefined
  const probes = statement(db, 'select key, id from probes where logger_id = ?').all(id) as {
    key: string
    id: number
  }[]
  return { id, key, probes: new Map(probes.map((probe) => [probe.key, probe.id])) }
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
