/** Whoever looks live is told what changed: at most once a second, and nothing twice. Costs nothing while nobody looks. */
import type { LiveEvent } from './contract/loggers.ts'

type Logger = Extract<LiveEvent, { event: 'loggers' }>['data']['loggers'][number]
type Intake = Extract<LiveEvent, { event: 'intake' }>['data']

export interface LiveSources {
  /** All of them, or those of these keys. */
  loggers(keys?: Iterable<string>): Promise<Logger[]>
  /** What is told of houses within this reach. */
  intake(within: Within): Promise<Intake>
  onTrouble(error: unknown): void
}

/** Whether what belongs to a house, or to none, is shown to somebody. */
export type Within = (house: string | null) => boolean

/** Told by whoever takes readings in. */
export interface LiveFeed {
  heard(loggerKeys: Iterable<string>): void
  intakeChanged(): void
}

export interface LiveStream {
  write(text: string): void
  end(): void
}

export interface LiveStreams extends LiveFeed {
  /**
   * @param renew asked now and then: null ends the stream
   * @returns false when too many look already, or the service stops
   */
  open(stream: LiveStream, within: Within, renew: () => Promise<Within | null>): boolean
  leave(stream: LiveStream): void
  /** Ends them all; nobody is let in any more. */
  close(): void
}

export const MOST_STREAMS = 50
/** The browser tries again after this when a stream ended. */
const RETRY_MS = 3000
const EACH_MS = 1000
const HEARTBEAT_MS = 10_000

export function createLiveStreams({ loggers, intake, onTrouble }: LiveSources): LiveStreams {
  /** Each with what must wait until its first events are sent; null from then on. */
  const streams = new Map<
    LiveStream,
    { within: Within; renew: () => Promise<Within | null>; waiting: string[] | null }
  >()
  /** What was told last, by key of the logger. */
  const told = new Map<string, string>()
  let toldIntake = ''
  const pending = new Set<string>()
  let intakePending = false
  let nextTurn: NodeJS.Timeout | undefined
  let heartbeat: NodeJS.Timeout | undefined
  let turnAt = Number.NEGATIVE_INFINITY
  let busy = false
  let closed = false

  function put(stream: LiveStream, text: string): void {
    const own = streams.get(stream)
    if (own?.waiting === null) stream.write(text)
    else own?.waiting.push(text)
  }

  function tellLoggers(changed: Logger[]): void {
    for (const [stream, { within }] of streams) {
      const shown = changed.filter(({ house }) => within(house?.key ?? null))
      if (shown.length > 0) put(stream, eventText({ event: 'loggers', data: { loggers: shown } }))
    }
  }

  async function tellIntake(): Promise<void> {
    for (const [stream, { within }] of [...streams]) {
      put(stream, eventText({ event: 'intake', data: await intake(within) }))
    }
  }

  function askTurn(): void {
    const nothing = pending.size === 0 && !intakePending
    if (nothing || streams.size === 0 || nextTurn !== undefined || busy) return
    const waitMs = Math.max(0, turnAt + EACH_MS - performance.now())
    nextTurn = setTimeout(() => {
      nextTurn = undefined
      const keys = [...pending]
      pending.clear()
      void turn(keys)
    }, waitMs)
  }

  /** @param keys every logger when left out */
  async function turn(keys?: readonly string[]): Promise<void> {
    if (busy) return
    busy = true
    const withIntake = intakePending || keys === undefined
    intakePending = false
    try {
      const changed = (await loggers(keys)).filter((logger) => told.get(logger.key) !== JSON.stringify(logger))
      for (const logger of changed) told.set(logger.key, JSON.stringify(logger))
      tellLoggers(changed)
      const state = withIntake ? JSON.stringify(await intake(() => true)) : toldIntake
      if (state !== toldIntake) {
        toldIntake = state
        await tellIntake()
      }
    } catch (error) {
      onTrouble(error)
    }
    busy = false
    turnAt = performance.now()
    askTurn()
  }

  /** Time alone makes a logger late and a house silent. */
  function beat(): void {
    for (const stream of streams.keys()) put(stream, ': still here\n\n')
    void renewAll()
    void turn()
  }

  async function renewAll(): Promise<void> {
    for (const [stream, own] of [...streams]) {
      const within = await own.renew().catch((error: unknown) => {
        onTrouble(error)
        return own.within
      })
      if (within === null) stream.end()
      else own.within = within
    }
  }

  async function begin(stream: LiveStream): Promise<void> {
    try {
      const [all, state] = [await loggers(), await intake(() => true)]
      const own = streams.get(stream)
      if (own === undefined) return
      if (streams.size === 1) {
        for (const logger of all) told.set(logger.key, JSON.stringify(logger))
        toldIntake = JSON.stringify(state)
      }
      const shown = all.filter(({ house }) => own.within(house?.key ?? null))
      const first = eventText({ event: 'intake', data: await intake(own.within) })
      stream.write(`retry: ${RETRY_MS}\n\n${eventText({ event: 'loggers', data: { loggers: shown } })}`)
      stream.write(first)
      for (const text of own.waiting ?? []) stream.write(text)
      own.waiting = null
    } catch (error) {
      onTrouble(error)
      stream.end()
    }
  }

  function rest(): void {
    clearTimeout(nextTurn)
    clearInterval(heartbeat)
    nextTurn = heartbeat = undefined
    pending.clear()
    intakePending = false
    told.clear()
    toldIntake = ''
  }

  return {
    heard(loggerKeys) {
      if (streams.size === 0) return
      for (const key of loggerKeys) pending.add(key)
      askTurn()
    },
    intakeChanged() {
      intakePending = streams.size > 0
      askTurn()
    },
    open(stream, within, renew) {
      if (closed || streams.size >= MOST_STREAMS) return false
      streams.set(stream, { within, renew, waiting: [] })
      heartbeat ??= setInterval(beat, HEARTBEAT_MS)
      void begin(stream)
      return true
    },
    leave(stream) {
      if (streams.delete(stream) && streams.size === 0) rest()
    },
    close() {
      closed = true
      const all = [...streams.keys()]
      streams.clear()
      rest()
      for (const stream of all) stream.end()
    },
  }
}

const eventText = ({ event, data }: LiveEvent): string => `event: ${event}\ndata: ${JSON.stringify(data)}\n\n`
