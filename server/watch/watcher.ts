/**
 * Looks at a house when its hours, its findings or its facts changed, and when time alone could: a logger that stays
 * silent, an update that is due. After a start every house is looked at once, so nothing that came meanwhile is missed.
 */
import { createRepeated, type Repeated } from '../jobs/repeated.ts'
import { findHouse } from '../store/houses.ts'
import type { Database } from '../store/open.ts'
import { refreshHourly } from '../store/refreshHourly.ts'
import { findWatchDue } from '../store/watchDue.ts'
import { findWatchNews, type WatchNews } from '../store/watchNews.ts'
import { lookAtHouse } from './lookAt.ts'
import type { Transition } from './types.ts'

/** Water must be told soon; looking whether anything came costs next to nothing. */
const EVERY_MS = 15_000
const FIRST_MS = 5_000
/** A house that cannot be looked at is not tried again with every message. */
const AFTER_TROUBLE_MS = 10 * 60_000
const STUDY_EVERY_MS = 24 * 3_600_000

export interface WatcherDeps {
  db: Database
  now: () => number
  /** Asked once a day for a house whose hours changed, so that its findings are not older than that. */
  study?: (houseKey: string) => void
  /** Told of what became of the notices of a house. */
  onTransitions?: (houseKey: string, transitions: readonly Transition[]) => void
  onTrouble: (houseKey: string, error: unknown) => void
}

interface Seen extends Pick<WatchNews, 'entry' | 'foundAt'> {
  nextAt: number
  troubledUntil: number
}

export interface Watcher extends Repeated {
  /** One round over the houses that are due; resolves to how many were looked at. */
  round(): Promise<number>
}

export function createWatcher({ db, now, study, onTransitions, onTrouble }: WatcherDeps): Watcher {
  const seen = new Map<number, Seen>()
  const studiedAt = new Map<number, number>()
  const stopping = new AbortController()

  async function round(): Promise<number> {
    await refreshHourly(db, undefined, stopping.signal)
    const due = await findWatchDue(db)
    let looks = 0
    for (const { houseId, key, entry, foundAt } of await findWatchNews(db)) {
      if (stopping.signal.aborted) break
      const before = seen.get(houseId)
      const own = due.get(houseId) ?? null
      const changed = before === undefined || before.entry !== entry || before.foundAt !== foundAt
      const at = now()
      const troubled = before !== undefined && before.troubledUntil > at
      if (troubled || (!changed && own === null && at < before.nextAt)) continue
      const row = await findHouse(db, key)
      if (row === undefined) continue
      try {
        const { transitions, nextAt } = await lookAtHouse(db, row, { now: at, due: own })
        seen.set(houseId, { entry, foundAt, nextAt, troubledUntil: 0 })
        if (transitions.length > 0) onTransitions?.(key, transitions)
        looks++
      } catch (error) {
        seen.set(houseId, { entry, foundAt, nextAt: 0, troubledUntil: at + AFTER_TROUBLE_MS })
        onTrouble(key, error)
      }
      if (own !== null && at - (studiedAt.get(houseId) ?? Number.NEGATIVE_INFINITY) >= STUDY_EVERY_MS) {
        studiedAt.set(houseId, at)
        study?.(key)
      }
    }
    return looks
  }

  const repeated = createRepeated(async () => void (await round()), {
    everyMs: EVERY_MS,
    firstMs: FIRST_MS,
    onUnexpected: (error) => onTrouble('', error),
  })
  return {
    round,
    start: repeated.start,
    async stop() {
      stopping.abort()
      await repeated.stop()
    },
  }
}
