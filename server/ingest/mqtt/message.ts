/** What a message of a logger says once it is understood; the two payload forms both become this. */
import type { Quantity } from '../../series/quantities.ts'
import type { MESSAGE_REFUSALS } from '../../store/schema.ts'

export type RefusalReason = (typeof MESSAGE_REFUSALS)[number]

/** A message, or one part of it, that will never be stored however often it is sent. */
export interface MessageRefusal {
  reason: RefusalReason
  /** What is wrong, with the place in the payload: `readings[3].rhPct is "high", expected a number.` */
  problem: string
  fix: string
}

export interface MessageReading {
  /** Key of the probe on its logger. */
  probe: string
  /** UTC epoch ms. */
  at: number
  /** Whether `at` was reckoned from when the message arrived (its age, or nothing said), not told by a clock. */
  byArrival: boolean
  values: Partial<Record<Quantity, number>>
}

/** Where a message stands in the count of its logger. */
export interface Sequence {
  /** Names one count from 1; a logger that begins anew names another. */
  run: string
  number: number
  /** The oldest number that the logger still keeps; what is missing below it will never come. */
  oldest: number | null
}

/** What a logger says of itself. */
export interface LoggerTold {
  batteryV?: number
  signalDbm?: number
  firmware?: string
  /** The logger's own clock when it sent, UTC epoch ms. */
  clockAt?: number
}

export interface Message {
  readings: MessageReading[]
  sequence: Sequence | null
  told: LoggerTold
  /** Parts of the message that are refused; the rest of it counts. */
  refused: MessageRefusal[]
}

/**
 * A message is understood, at least in part, or refused as a whole; its number counts then too, where it can be read, or
 * its logger would send it for ever.
 */
export type Understood =
  | { ok: true; message: Message }
  | { ok: false; refusal: MessageRefusal; sequence: Sequence | null }
