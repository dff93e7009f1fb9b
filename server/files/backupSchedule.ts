/** Backups that make themselves: when one is due, again after one that failed, and at the start what was missed. */

export interface BackupState {
  /** UTC epoch ms; null when there is none. */
  lastGoodAt: number | null
  /** Why the last try failed; null when it did not. */
  trouble: { at: number; sentence: string } | null
}

export interface BackupSchedule {
  state(): BackupState
  start(): void
  /** One under way is broken off, and nothing of it is left. */
  stop(): Promise<void>
}

export interface BackupScheduleDeps {
  everyMs: number
  now: () => number
  /** Instant of the newest whole one in the folder; null when there is none. */
  lastGoodAt(): Promise<number | null>
  /** @returns its instant; @throws with a sentence */
  backUp(signal: AbortSignal): Promise<number>
  /** Told after each try. */
  onTried(state: BackupState): void | Promise<void>
  /** Runs once after so many ms; gives what takes it back. Tests give their own. */
  later?: (ms: number, run: () => void) => () => void
}

const MINUTE_MS = 60_000
const FIRST_DELAY_MS = 5 * MINUTE_MS
/** A computer that slept, or whose clock was set, is noticed within so long. */
const LONGEST_SLEEP_MS = 60 * MINUTE_MS

/** After so many failures in a row; never longer than the time between two backups. */
export const retryAfter = (failures: number, everyMs: number): number =>
  Math.min(everyMs, LONGEST_SLEEP_MS, FIRST_DELAY_MS * 2 ** Math.min(20, Math.max(0, failures - 1)))

export function createBackupSchedule(deps: BackupScheduleDeps): BackupSchedule {
  const { everyMs, now, later = laterByTimer } = deps
  const stopped = new AbortController()
  let state: BackupState = { lastGoodAt: null, trouble: null }
  let failures = 0
  let looked = false
  let takeBack = () => {}
  let turn: Promise<void> = Promise.resolve()

  function dueAt(): number {
    if (state.trouble !== null) return state.trouble.at + retryAfter(failures, everyMs)
    if (state.lastGoodAt === null) return 0
    // One from later than now was made by a clock that was wrong: it says nothing of when the next is due.
    return state.lastGoodAt > now() + everyMs ? 0 : state.lastGoodAt + everyMs
  }

  async function lookAndBackUp(): Promise<void> {
    const triedAt = now()
    try {
      if (!looked) state = { ...state, lastGoodAt: await deps.lastGoodAt() }
      looked = true
      if (dueAt() > triedAt) return
      state = { lastGoodAt: await deps.backUp(stopped.signal), trouble: null }
      failures = 0
    } catch (error) {
      if (stopped.signal.aborted) return
      failures++
      state = { ...state, trouble: { at: triedAt, sentence: (error as Error).message } }
    }
    await deps.onTried(state)
  }

  function sleep(ms: number): void {
    if (!stopped.signal.aborted) takeBack = later(ms, wake)
  }

  function wake(): void {
    turn = lookAndBackUp().then(() => sleep(Math.min(LONGEST_SLEEP_MS, Math.max(1000, dueAt() - now()))))
  }

  return {
    state: () => state,
    start: () => sleep(0),
    async stop() {
      takeBack()
      stopped.abort()
      await turn
    },
  }
}

const laterByTimer = (ms: number, run: () => void): (() => void) => {
  const timer = setTimeout(run, ms)
  timer.unref()
  return () => clearTimeout(timer)
}
