/** How often the watches would have spoken, to whom, and how long after it began. */
import type { LedgerNotice } from './ledger.ts'
import type { Replayed } from './replay.ts'
import { AUDIENCES, type Audience, WATCHES, type Watch } from './types.ts'

const HOUR_MS = 3_600_000
const MONTH_MS = 30.4375 * 24 * HOUR_MS

export interface WatchTally {
  watch: Watch
  notices: number
  toOwner: number
  toContractor: number
  /** From what the readings say was the beginning to the notice [h]; of those that began within the span. */
  delayH: { median: number; longest: number } | null
}

export interface Tally {
  houseMonths: number
  watches: WatchTally[]
  /** By audience: notices they were written to about, letters in all, the same a house-month, and the fullest 30 days. */
  audiences: Record<
    Audience,
    { notices: number; letters: number; noticesPerMonth: number; lettersPerMonth: number; mostIn30Days: number }
  >
}

export function tally(replays: readonly Replayed[]): Tally {
  const houseMonths = replays.reduce((sum, { from, to }) => sum + (to - from) / MONTH_MS, 0)
  const all = replays.flatMap(({ from, notices }) => notices.map((notice) => ({ notice, from })))
  const told = (notice: LedgerNotice, audience: Audience) => notice.body.told.includes(audience)
  const watches = WATCHES.flatMap((watch): WatchTally[] => {
    const own = all.filter(({ notice }) => notice.watch === watch)
    if (own.length === 0) return []
    const delays = own
      .filter(({ notice, from }) => notice.sinceAt >= from)
      .map(({ notice }) => (notice.openedAt - notice.sinceAt) / HOUR_MS)
      .sort((a, b) => a - b)
    return [
      {
        watch,
        notices: own.length,
        toOwner: own.filter(({ notice }) => told(notice, 'owner')).length,
        toContractor: own.filter(({ notice }) => told(notice, 'contractor')).length,
        delayH: delays.length === 0 ? null : { median: delays[delays.length >> 1]!, longest: delays.at(-1)! },
      },
    ]
  })
  const audiences = Object.fromEntries(
    AUDIENCES.map((audience) => {
      const notices = all.filter(({ notice }) => told(notice, audience)).length
      const byHouse = replays.map((one) => lettersTo(one, audience))
      const letters = byHouse.reduce((sum, at) => sum + at.length, 0)
      const mostIn30Days = Math.max(0, ...byHouse.map(most))
      const a = (count: number) => (houseMonths > 0 ? count / houseMonths : 0)
      return [audience, { notices, letters, noticesPerMonth: a(notices), lettersPerMonth: a(letters), mostIn30Days }]
    }),
  ) as Tally['audiences']
  return { houseMonths, watches, audiences }
}

export const lettersTo = ({ notices }: Replayed, audience: Audience): number[] =>
  notices
    .flatMap(({ changes }) => changes.flatMap(({ at, body }) => (body.tell.includes(audience) ? [at] : [])))
    .sort((a, b) => a - b)

const most = (at: readonly number[]): number =>
  at.reduce((most, first, i) => Math.max(most, at.slice(i).filter((one) => one - first < 30 * 24 * HOUR_MS).length), 0)
