/** What a message changes once it is understood and checked by the gate: readings, what it tells, and what is refused of it. */
import { QUANTITIES, type Quantity, type ReadingColumns } from '../../series/quantities.ts'
import type { Delivery, RefusedPart } from '../../store/deliveries.ts'
import { findIntakeLogger, type IntakeLogger } from '../../store/intakeLoggers.ts'
import type { Database } from '../../store/open.ts'
import type { StepBatch } from '../../store/steps.ts'
import type { Difference } from '../../store/writeReadings.ts'
import { checkReadings, type Refusal } from '../checkReadings.ts'
import type { Message, MessageReading, Understood } from './message.ts'
import { readReadings } from './readingsPayload.ts'
import { readSenml } from './senmlPayload.ts'
import { readStatus } from './statusPayload.ts'
import { mayPublish, topicOf } from './topics.ts'

export interface Arriving {
  topic: string
  payload: Uint8Array
  /**
   * The logger whose credentials it came with, where the broker is our own; then it may speak below its own topic alone.
   * Left out behind an outside broker, which has rules of its own.
   */
  publisher?: string
  /** The broker kept it and says it again: the logger is not heard by that. */
  retained?: boolean
}

export interface MadeDelivery {
  delivery: Delivery
  /** The latest instant that it told of; null without readings. */
  newestAt: number | null
}

/** @param arrivedAt UTC epoch ms */
export function deliveryOf(
  db: Database,
  { topic, payload, publisher, retained = false }: Arriving,
  arrivedAt: number,
): MadeDelivery {
  const delivery: Delivery = {
    arrivedAt,
    topic,
    payload,
    logger: null,
    batches: [],
    timedByArrival: false,
    told: null,
    sequence: null,
    refused: [],
    differsPart,
  }
  const known = publisher === undefined ? undefined : findIntakeLogger(db, publisher, arrivedAt)
  const place = topicOf(topic)
  if (place === null || !mayPublish(publisher ?? place.logger, place)) {
    return refusedWhole(delivery, known ?? null, wrongTopic(topic, publisher))
  }
  const logger = known ?? findIntakeLogger(db, place.logger, arrivedAt)
  if (logger === undefined) return refusedWhole(delivery, null, unknownLogger(place.logger))
  // With our own broker whoever speaks is connected; an outside one tells by the status alone.
  const connection = publisher === undefined ? {} : { connected: true }
  if (place.what === 'status') {
    const status = readStatus(payload)
    if (!status.ok) return refusedWhole(delivery, logger, status.refusal)
    // The broker speaks for a logger that is gone; that is no word from the logger.
    const told = status.online && !retained ? status.told : null
    return { delivery: { ...delivery, logger, told, connected: status.online }, newestAt: null }
  }
  const understood: Understood = (place.what === 'senml' ? readSenml : readReadings)(payload, arrivedAt)
  if (!understood.ok) {
    // A refused message that names its number is done with all the same, or its logger would send it for ever.
    const { refusal, sequence } = understood
    const whole = { ...delivery, ...connection, logger, refused: [refusal], sequence, told: {} }
    return { delivery: whole, newestAt: null }
  }
  const { message } = understood
  // Kept by the broker from some time that nobody knows.
  const readings = retained ? message.readings.filter(({ byArrival }) => !byArrival) : message.readings
  const { delivery: sound, newestAt } = checked(
    { ...delivery, ...connection },
    logger,
    { ...message, readings },
    arrivedAt,
  )
  return { delivery: retained ? { ...sound, told: null } : sound, newestAt }
}

const refusedWhole = (delivery: Delivery, logger: IntakeLogger | null, refused: RefusedPart): MadeDelivery => ({
  delivery: { ...delivery, logger, refused: [refused] },
  newestAt: null,
})

const differsPart = ({ quantity, kept, offered, at }: Difference): RefusedPart => ({
  reason: 'differs',
  problem: `${QUANTITIES[quantity].label} at ${isoOf(at)} is ${offered}, and ${kept} was stored before. The first stays.`,
  fix: 'Give each reading an instant of its own; two loggers must not share a key.',
})

function checked(
  delivery: Delivery,
  logger: IntakeLogger,
  { readings, sequence, told, refused }: Message,
  arrivedAt: number,
): MadeDelivery {
  const parts: RefusedPart[] = [...refused]
  const batches: StepBatch[] = []
  let newestAt: number | null = null
  for (const [probe, ofProbe] of byProbe(withBattery(readings, told.batteryV))) {
    const probeId = logger.probes.get(probe)
    if (probeId === undefined) {
      parts.push(unknownProbe(logger, probe))
      continue
    }
    const { batch, refused: bad } = checkReadings(probeId, columnsOf(ofProbe), arrivedAt)
    for (const refusal of bad) parts.push(gateRefusal(probe, ofProbe[refusal.row]!.at, refusal, arrivedAt))
    if (batch.at.length > 0) batches.push(batch)
    for (const at of batch.at) newestAt = Math.max(newestAt ?? at, at)
  }
  const { batteryV, signalDbm, firmware, clockAt } = told
  const said: NonNullable<Delivery['told']> = {
    ...(batteryV !== undefined && { batteryV }),
    ...(signalDbm !== undefined && { signalDbm }),
    ...(firmware !== undefined && { firmware }),
    ...(clockAt !== undefined && { clockOffS: (clockAt - arrivedAt) / 1000 }),
  }
  const timedByArrival = readings.some(({ byArrival }) => byArrival)
  return { delivery: { ...delivery, logger, batches, timedByArrival, told: said, sequence, refused: parts }, newestAt }
}

/** What is said of the battery once for a message belongs to its newest reading, so that its decline can be seen later. */
function withBattery(readings: readonly MessageReading[], batteryV: number | undefined): readonly MessageReading[] {
  if (batteryV === undefined || readings.length === 0) return readings
  const newest = readings.reduce((best, one) => (one.at > best.at ? one : best))
  if (newest.values.batteryV !== undefined) return readings
  return readings.map((one) => (one === newest ? { ...one, values: { ...one.values, batteryV } } : one))
}

function byProbe(readings: readonly MessageReading[]): Map<string, MessageReading[]> {
  const groups = new Map<string, MessageReading[]>()
  for (const reading of readings) {
    const group = groups.get(reading.probe)
    if (group === undefined) groups.set(reading.probe, [reading])
    else group.push(reading)
  }
  return groups
}

function columnsOf(readings: readonly MessageReading[]): ReadingColumns {
  const columns: ReadingColumns = { at: new Float64Array(readings.length) }
  for (const [row, { at, values }] of readings.entries()) {
    columns.at[row] = at
    for (const quantity of Object.keys(values) as Quantity[]) {
      const column = (columns[quantity] ??= new Float64Array(readings.length).fill(Number.NaN))
      column[row] = values[quantity]!
    }
  }
  return columns
}

function gateRefusal(probe: string, at: number, { quantity, reason, fix }: Refusal, now: number): RefusedPart {
  const words = quantity === null ? `probe "${probe}": ${reason}` : `probe "${probe}" at ${isoOf(at)}: ${reason}`
  return { reason: quantity === null ? (at > now ? 'future' : 'ancient') : 'out of range', problem: words, fix }
}

const isoOf = (at: number): string => new Date(at).toISOString()

const wrongTopic = (topic: string, publisher: string | undefined): RefusedPart => ({
  reason: 'wrong topic',
  problem: `The topic is ${JSON.stringify(topic.slice(0, 80))}.`,
  fix:
    publisher === undefined
      ? 'Publish to underjoist/<logger>/readings, /senml or /status.'
      : `Publish to underjoist/${publisher}/readings, /senml or /status: a logger speaks below its own topic alone.`,
})

const unknownLogger = (key: string): RefusedPart => ({
  reason: 'unknown logger',
  problem: `No logger "${key}" is in service here.`,
  fix: 'Enroll it, or correct the key in its settings.',
})

const unknownProbe = (logger: IntakeLogger, probe: string): RefusedPart => ({
  reason: 'unknown probe',
  problem: `Logger "${logger.key}" has no probe "${probe}"; it has ${[...logger.probes.keys()].join(', ') || 'none'}.`,
  fix: 'Name one of its probes, or add the probe to the logger.',
})
