/**
 * One message of a logger and all that it changes, in one transaction: its readings, what the logger said of itself, how
 * far its numbered messages have come, and what was refused. Acknowledged is what this resolved for.
 */
import { arrive, type LoggerReceipt, type Numbered, readArrived } from './arrivals.ts'
import { type Group, inSharedTransaction } from './groupedWrites.ts'
import { noteClock, noteState, type ToldState } from './loggerStates.ts'
import type { Database } from './open.ts'
import type { MESSAGE_REFUSALS } from './schema.ts'
import { hasArrived } from './sequence.ts'
import type { StepBatch } from './steps.ts'
import { statement } from './unitsOfWork.ts'
import { type Difference, type MarkDue, markHourlyDue, writeReadings } from './writeReadings.ts'

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
  told: ToldState | null
  /** Left out when the message says nothing of it. */
  connected?: boolean
  sequence: Numbered | null
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
  const delivered: Delivered = { stored: 0, repeated: 0, filled: 0, differing: 0, again, receipt: null }
  const markDue = dueAtEnd(group)
  let refused = delivery.refused
  for (const batch of delivery.batches) {
    if (skipped) {
      delivered.repeated += batch.at.length
      continue
    }
    const { stored, repeated, filled, differingRows, differs } = writeReadings(db, batch, null, markDue)
    delivered.stored += stored
    delivered.repeated += repeated
    delivered.filled += filled
    delivered.differing += differingRows
    if (differs.length > 0) refused = [...refused, ...differs.map(delivery.differsPart)]
  }
  if (refused.length > 0) for (const [reason, parts] of byReason(refused)) countRefused(db, delivery, reason, parts)
  if (logger === null) return delivered
  // After the readings: a number must never count as arrived when its readings did not.
  if (numbered !== null) delivered.receipt = arrive(db, group, logger.id, delivery.arrivedAt, numbered)
  const { arrivedAt: at, told, connected } = delivery
  noteState(db, group, logger.id, { at, told, connected, stored: delivered.stored, refused: refused.length })
  const off = told?.clockOffS
  // A clock that dated none of the readings must not move them.
  if (off !== undefined && !delivery.timedByArrival) noteClock(db, logger.id, at, off)
  return delivered
}

/** Marks grow together over the messages of a group, and are written once for each probe. */
function dueAtEnd(group: Group): MarkDue {
  return (db, probeId, from, to) => {
    const spans = group.shared(
      'hours due',
      () => new Map<number, { from: number; to: number }>(),
      (all) => {
        for (const [id, span] of all) markHourlyDue(db, id, span.from, span.to)
      },
    )
    const span = spans.get(probeId)
    if (span === undefined) spans.set(probeId, { from, to })
    else {
      span.from = Math.min(span.from, from)
      span.to = Math.max(span.to, to)
    }
  }
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
