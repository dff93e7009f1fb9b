/** Several invented loggers at once, in real time or through days that are past. */
import { inventedSpot } from './air.ts'
import { type Fault, type InventedLogger, startInventedLogger } from './inventedLogger.ts'

export interface Crew {
  broker: string
  loggers: readonly { key: string; secret: string }[]
  run: string
  faults: ReadonlySet<Fault>
}

export type Pace =
  | { kind: 'real time'; everyS: number }
  /** The last days up to `now`, that many times faster than they went. */
  | { kind: 'past'; days: number; everyS: number; speed: number; now: number }

export interface Simulated {
  readings: number
  sent: number
  /** Messages that no receipt covered at the end. */
  kept: number
}

const FINISH_MS = 60_000
/** Whoever ended it waits no longer for the last receipts. */
const FINISH_ABORTED_MS = 3000
/** In real time faults come and go within this. */
const ROUND_MS = 3_600_000

export async function simulateLoggers(
  { broker, loggers, run, faults }: Crew,
  pace: Pace,
  { signal, onProblem }: { signal: AbortSignal; onProblem(sentence: string): void },
): Promise<Simulated> {
  const crew = await Promise.all(
    loggers.map(({ key, secret }, i) =>
      startInventedLogger({ broker, key, secret, probe: 'air', spot: inventedSpot(i), faults, run, signal, onProblem }),
    ),
  )
  let readings = 0
  const measure = async (at: number, share: number) => {
    await Promise.all(crew.map((logger) => logger.measure(at, share)))
    readings += crew.length
  }
  if (pace.kind === 'real time') await inRealTime(measure, pace.everyS, signal)
  else await throughPast(measure, pace, signal)
  return { readings, ...(await finish(crew, signal.aborted ? FINISH_ABORTED_MS : FINISH_MS)) }
}

async function inRealTime(
  measure: (at: number, share: number) => Promise<void>,
  everyS: number,
  signal: AbortSignal,
): Promise<void> {
  const began = Date.now()
  for (let step = 0; !signal.aborted; step++) {
    await measure(Date.now(), ((Date.now() - began) % ROUND_MS) / ROUND_MS)
    await pause(began + (step + 1) * everyS * 1000 - Date.now(), signal)
  }
}

async function throughPast(
  measure: (at: number, share: number) => Promise<void>,
  { days, everyS, speed, now }: Extract<Pace, { kind: 'past' }>,
  signal: AbortSignal,
): Promise<void> {
  const steps = Math.floor((days * 86_400) / everyS)
  const began = Date.now()
  for (let step = 1; step <= steps && !signal.aborted; step++) {
    await measure(now - (steps - step) * everyS * 1000, step / steps)
    await pause(began + (step * everyS * 1000) / speed - Date.now(), signal)
  }
}

const pause = (ms: number, signal: AbortSignal): Promise<void> =>
  new Promise((resolve) => {
    if (ms <= 0 || signal.aborted) {
      resolve()
      return
    }
    const timer = setTimeout(over, ms)
    function over() {
      clearTimeout(timer)
      signal.removeEventListener('abort', over)
      resolve()
    }
    signal.addEventListener('abort', over)
  })

async function finish(crew: readonly InventedLogger[], patienceMs: number): Promise<{ sent: number; kept: number }> {
  const kept = await Promise.all(crew.map((logger) => logger.finish(patienceMs)))
  const sum = (values: readonly number[]) => values.reduce((all, one) => all + one, 0)
  return { sent: sum(crew.map((logger) => logger.counts().sent)), kept: sum(kept) }
}
