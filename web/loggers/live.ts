/** Loggers as they change: server-sent events, and where those do not come through, asking again and again. */
import { useEffect, useRef, useState } from 'preact/hooks'
import type { ErrorAnswer } from '../../server/http/contract/error.ts'
import type { IntakeAnswer, Logger, LoggersAnswer } from '../../server/http/contract/loggers.ts'
import { get, Trouble } from '../base/api.ts'

const ASK_AGAIN_MS = 10_000
const OPEN_AGAIN_MS = 60_000
/** Below this a difference of clocks is the time the answer took, and whole seconds. */
const CLOCKS_AGREE_MS = 2000

export interface Live {
  loggers: Logger[] | null
  intake: IntakeAnswer | null
  /** `asked`: every ten seconds; `lost`: nothing answers, and what is shown grows old. */
  by: 'events' | 'asked' | 'lost'
  trouble: ErrorAnswer | null
  /** Of the service, that heard them; the clock of a phone may be off. */
  now: () => number
  /** An answer to something done here: it need not wait for the event. */
  take: (loggers: readonly Logger[]) => void
}

export function useLive(): Live {
  const [loggers, setLoggers] = useState<Map<string, Logger> | null>(null)
  const [intake, setIntake] = useState<IntakeAnswer | null>(null)
  const [by, setBy] = useState<Live['by']>('events')
  const [trouble, setTrouble] = useState<ErrorAnswer | null>(null)
  const clockOffMs = useRef(0)

  const take = (some: readonly Logger[]) => setLoggers((present) => withChanged(present, some))

  useEffect(() => {
    const stop = new AbortController()
    let source: EventSource | null = null
    let asking: ReturnType<typeof setInterval> | undefined
    let opening: ReturnType<typeof setTimeout> | undefined

    async function askOnce(): Promise<void> {
      try {
        const all = await get<LoggersAnswer>('/api/loggers', stop.signal)
        const state = await get<IntakeAnswer>('/api/intake', stop.signal)
        if (asking === undefined) return // events came through meanwhile, and are newer
        setLoggers(byKey(all.loggers))
        setIntake(state)
        setBy('asked')
        setTrouble(null)
      } catch (error) {
        if (stop.signal.aborted) return
        if (!(error instanceof Trouble)) throw error
        setBy('lost')
        setTrouble(error.answer)
      }
    }
    function startAsking(): void {
      if (asking !== undefined) return
      asking = setInterval(() => void askOnce(), ASK_AGAIN_MS)
      void askOnce()
    }
    function stopAsking(): void {
      clearInterval(asking)
      asking = undefined
    }

    function open(): void {
      const own = new EventSource('/api/live')
      source = own
      let first = true
      own.addEventListener('open', () => {
        first = true
      })
      own.addEventListener('loggers', (event) => {
        const { loggers: some } = JSON.parse((event as MessageEvent<string>).data) as LoggersAnswer
        if (first) setLoggers(byKey(some))
        else take(some)
        first = false
        stopAsking()
        setBy('events')
        setTrouble(null)
      })
      own.addEventListener('intake', (event) => {
        setIntake(JSON.parse((event as MessageEvent<string>).data) as IntakeAnswer)
      })
      own.addEventListener('error', () => {
        startAsking()
        // The browser itself tries again after a connection that broke, but not after a refusal.
        if (own.readyState === EventSource.CLOSED) opening = setTimeout(open, OPEN_AGAIN_MS)
      })
    }
    function close(): void {
      source?.close()
      source = null
      clearTimeout(opening)
      stopAsking()
    }
    // A phone in a pocket, or one of many tabs, holds no connection.
    function visibility(): void {
      close()
      if (!document.hidden) open()
    }

    visibility()
    document.addEventListener('visibilitychange', visibility)
    void differenceMs(stop.signal).then((off) => {
      clockOffMs.current = off
    })
    return () => {
      document.removeEventListener('visibilitychange', visibility)
      close()
      stop.abort()
    }
  }, [])

  return {
    loggers: loggers && [...loggers.values()],
    intake,
    by,
    trouble,
    now: () => Date.now() + clockOffMs.current,
    take,
  }
}

const byKey = (loggers: readonly Logger[]): Map<string, Logger> =>
  new Map(loggers.map((logger) => [logger.key, logger]))

function withChanged(present: Map<string, Logger> | null, some: readonly Logger[]): Map<string, Logger> | null {
  return present === null ? null : new Map([...present, ...byKey(some)])
}

/** The clock of the service minus ours; 0 where they agree or where it cannot be known. */
async function differenceMs(signal: AbortSignal): Promise<number> {
  try {
    const before = Date.now()
    const answer = await fetch('/', { method: 'HEAD', cache: 'no-store', signal })
    const off = Date.parse(answer.headers.get('date') ?? '') + 500 - (before + Date.now()) / 2
    return Math.abs(off) > CLOCKS_AGREE_MS ? off : 0
  } catch {
    return 0
  }
}

/** Draws anew every second: ages count up by themselves. */
export function useTick(everyMs = 1000): void {
  const [, set] = useState(0)
  useEffect(() => {
    const timer = setInterval(() => set((n) => n + 1), everyMs)
    return () => clearInterval(timer)
  }, [everyMs])
}
