/**
 * Every message of a logger passes here, whatever broker it came by: it is understood, checked by the gate, and stored or
 * refused and counted. While the disk is full nothing is taken, and what waits is tried again until there is room.
 */
import { type Delivered, type Delivery, storeDelivery } from '../../store/deliveries.ts'
import { StoreError } from '../../store/errors.ts'
import type { Database } from '../../store/open.ts'
import { type Arriving, deliveryOf } from './delivery.ts'

/** More than this waits only when the disk is full; whoever has it sends again, for nothing of it was acknowledged. */
const MOST_WAITING_BYTES = 16 * 1024 * 1024
const RETRY_MS = 2000

/** What came of one message. `again`: its number was here before; `refused`: nothing of it was stored. */
export const OUTCOMES = ['stored', 'again', 'nothing new', 'partly refused', 'refused'] as const
export type Outcome = (typeof OUTCOMES)[number]

export interface Taken {
  outcome: Outcome
  /** Key of the logger, when it is known here. */
  logger: string | null
  delivered: Delivered
  arrivedAt: number
  /** The latest instant that it told of; null without readings. */
  newestAt: number | null
}

/** Nothing of the message was stored, and it must not be acknowledged. */
export class IntakeCrowded extends Error {
  override name = 'IntakeCrowded'
}

export interface Receiver {
  /**
   * Resolves when all that the message changes is on the disk; a message that is refused for good resolves too.
   * @throws IntakeCrowded while the disk is full and too much waits already, and when the service stops
   */
  take(arriving: Arriving): Promise<Taken>
  /** Why nothing is stored for now, as a sentence; null when all is. */
  paused(): string | null
  waiting(): number
  stop(): void
}

export interface ReceiverOptions {
  now: () => number
  /** Told after the commit of each message. */
  onTaken(taken: Taken): void
  /** Told when the intake pauses (with its reason) and when it goes on (null). */
  onPause(reason: string | null): void
}

export function createReceiver(db: Database, { now, onTaken, onPause }: ReceiverOptions): Receiver {
  let pausedBecause: string | null = null
  let waitingMessages = 0
  let waitingBytes = 0
  let stopped = false
  let nextTry: Promise<void> | undefined
  let wake = () => {}

  function pause(reason: string): Promise<void> {
    if (pausedBecause === null) {
      pausedBecause = reason
      onPause(reason)
    }
    nextTry ??= new Promise((resolve) => {
      const timer = setTimeout(again, RETRY_MS)
      function again() {
        clearTimeout(timer)
        nextTry = undefined
        resolve()
      }
      wake = again
    })
    return nextTry
  }

  function goOn(): void {
    if (pausedBecause === null) return
    pausedBecause = null
    onPause(null)
  }

  async function untilStored(delivery: Delivery): Promise<Delivered> {
    for (;;) {
      if (stopped) throw new IntakeCrowded('The service is stopping.')
      // Others may have found the disk full already: one try every few seconds is for all of them.
      if (nextTry !== undefined) await nextTry
      try {
        const delivered = await storeDelivery(db, delivery)
        goOn()
        return delivered
      } catch (error) {
        const reason = passing(error)
        if (reason === null) throw error
        await pause(reason)
      }
    }
  }

  async function take(arriving: Arriving): Promise<Taken> {
    const { payload } = arriving
    if (stopped || (pausedBecause !== null && waitingBytes + payload.length > MOST_WAITING_BYTES)) {
      throw new IntakeCrowded(pausedBecause ?? 'The service is stopping.')
    }
    waitingMessages++
    waitingBytes += payload.length
    try {
      const arrivedAt = now()
      const { delivery, newestAt } = deliveryOf(db, arriving, arrivedAt)
      const delivered = await untilStored(delivery)
      const logger = delivery.logger?.key ?? null
      const taken: Taken = { outcome: outcomeOf(delivery, delivered), logger, delivered, arrivedAt, newestAt }
      onTaken(taken)
      return taken
    } finally {
      waitingMessages--
      waitingBytes -= payload.length
    }
  }

  return {
    take,
    paused: () => pausedBecause,
    waiting: () => waitingMessages,
    stop() {
      stopped = true
      wake()
    },
  }
}

/** A failure of the disk that may pass, as a sentence; null for a fault of the program. */
function passing(error: unknown): string | null {
  if (error instanceof StoreError) return `${error.message} ${error.hint}`
  const code = (error as { code?: unknown } | null)?.code
  if (typeof code !== 'string' || !code.startsWith('SQLITE_')) return null
  return `The database cannot be written (${code}). Look at the disk; loggers keep what was not acknowledged.`
}

function outcomeOf({ refused, batches, told }: Delivery, delivered: Delivered): Outcome {
  if (refused.length > 0 || delivered.differing > 0) {
    return batches.length > 0 && delivered.stored + delivered.repeated + delivered.filled > 0
      ? 'partly refused'
      : 'refused'
  }
  if (delivered.again) return 'again'
  return delivered.stored + delivered.filled > 0 || told === null ? 'stored' : 'nothing new'
}
