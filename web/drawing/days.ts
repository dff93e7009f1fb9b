/** Days to which the drawing is moved. Pure. */
import { DAY_MS } from '../record/span.ts'

/** Works of one week are answered for together. */
const GROUP_MS = 7 * DAY_MS

/** The same day some months on, or the last of that month. */
export function monthsOn(at: number, months: number): number {
  const date = new Date(at)
  const day = date.getUTCDate()
  date.setUTCDate(1)
  date.setUTCMonth(date.getUTCMonth() + months)
  const last = new Date(Date.UTC(date.getUTCFullYear(), date.getUTCMonth() + 1, 0)).getUTCDate()
  date.setUTCDate(Math.min(day, last))
  return date.getTime()
}

/** The last day before the next later work, or the end: what stands between belongs to this one. */
export const dayAfter = (works: readonly { at: number }[], at: number, end: number): number =>
  Math.max(at, Math.min(end - 1, ...works.filter((work) => work.at > at + GROUP_MS).map((work) => work.at - DAY_MS)))
