/** Day before month or month before day: evidence gathered row by row, in constant memory. */
import { dayOf } from './instants.ts'
import { timeText } from './timeText.ts'
import type { DateOrder } from './understanding.ts'

interface Candidate {
  order: DateOrder
  impossible: number
  backward: number
  forward: number
  irregular: number
  previous: number
  step: number
}

export interface DateEvidence {
  /** Takes the date and clock groups that stand in `timeText`. */
  add(): void
  /** The orders that fit, best first, and why the first one does. */
  verdict(): { orders: DateOrder[]; because: string }
}

export function createDateEvidence(): DateEvidence {
  const candidates = (['mdy', 'dmy', 'ymd'] as const).map(
    (order): Candidate => ({
      order,
      impossible: 0,
      backward: 0,
      forward: 0,
      irregular: 0,
      previous: Number.NaN,
      step: 0,
    }),
  )
  let rows = 0
  let namedMonths = 0
  let fourDigitYears = 0

  return {
    add() {
      const { groups, digits, count } = timeText
      if (count < 3) return
      rows++
      if (timeText.monthAt >= 0) namedMonths++
      if (digits[0] === 4) fourDigitYears++
      const hour = timeText.meridiem > 0 ? (groups[3]! % 12) + (timeText.meridiem === 2 ? 12 : 0) : groups[3]!
      const minutes = count > 3 ? hour * 60 + (count > 4 ? groups[4]! : 0) : 0
      for (const candidate of candidates) addTo(candidate, dayIn(candidate.order) * 1440 + minutes)
    },
    verdict() {
      if (fourDigitYears > rows / 2) return { orders: ['ymd'], because: 'the year stands first' }
      if (namedMonths > rows / 2) return { orders: ['dmy'], because: 'the month is written as a word' }
      const possible = candidates.filter((candidate) => candidate.impossible <= rows * 0.02 && rows > 0)
      if (possible.length === 1)
        return { orders: [possible[0]!.order], because: 'a number over 12 stands where the day is' }
      if (possible.length === 0) {
        const ranked = [...candidates].sort((a, b) => a.impossible - b.impossible)
        return {
          orders: ranked.slice(0, 2).map((c) => c.order),
          because: 'the dates of the file do not agree with one order',
        }
      }
      return settleByOrder(possible)
    },
  }
}

/** Days since 1970 of the groups in an order; NaN where that date does not exist. Two-digit years count from 2000. */
function dayIn(order: DateOrder): number {
  const { groups, digits } = timeText
  const [a, b, c] = [groups[0]!, groups[1]!, groups[2]!]
  if (order === 'ymd') return digits[0]! > 2 || digits[2]! <= 2 ? dayOf(full(a, digits[0]!), b, c) : Number.NaN
  return order === 'dmy' ? dayOf(full(c, digits[2]!), b, a) : dayOf(full(c, digits[2]!), a, b)
}

const full = (year: number, digits: number): number => (digits > 2 ? year : year < 70 ? 2000 + year : 1900 + year)

function addTo(candidate: Candidate, minute: number): void {
  if (Number.isNaN(minute)) {
    candidate.impossible++
    return
  }
  const step = minute - candidate.previous
  if (step < 0) candidate.backward++
  if (step > 0) candidate.forward++
  // A clock that jitters or a missing row is no sign of a wrong order; a jump of a day more or less is.
  if (!Number.isNaN(step) && !Number.isNaN(candidate.step) && Math.abs(step - candidate.step) > 1080)
    candidate.irregular++
  candidate.step = step
  candidate.previous = minute
}

function settleByOrder(possible: readonly Candidate[]): { orders: DateOrder[]; because: string } {
  const against = (c: Candidate) => Math.min(c.backward, c.forward) * 3 + c.irregular
  const ranked = [...possible].sort((a, b) => against(a) - against(b))
  const [best, second] = [ranked[0]!, ranked[1]!]
  if (against(second) >= 2 && against(second) >= against(best) * 3 + 2) {
    return { orders: [best.order], because: 'only so do the rows follow each other in even steps' }
  }
  const orders = ranked.filter((c) => against(c) < against(best) * 3 + 2 || against(c) < 2).map((c) => c.order)
  return { orders, because: 'every date of the file can be read both ways' }
}
