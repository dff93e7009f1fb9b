/** Where the time axis is marked and how: whole hours, days, months or years of the house's own clock. */
import { format } from '../base/time.ts'
import type { Span } from './span.ts'
import { DAY_MS, HOUR_MS, lengthOf } from './span.ts'

export interface Tick {
  at: number
  label: string
}

type Step = { unit: 'hour'; every: number } | { unit: 'day'; every: number } | { unit: 'month'; every: number }

const STEPS: { step: Step; ms: number }[] = [
  ...[1, 3, 6, 12].map((every) => ({ step: { unit: 'hour' as const, every }, ms: every * HOUR_MS })),
  ...[1, 2, 7, 14].map((every) => ({ step: { unit: 'day' as const, every }, ms: every * DAY_MS })),
  ...[1, 2, 3, 6, 12].map((every) => ({ step: { unit: 'month' as const, every }, ms: every * 30.4 * DAY_MS })),
]

interface LocalParts {
  year: number
  month: number
  day: number
  hour: number
}

/** Wall clock of a zone; one formatter is kept for each, because making one costs more than using it. */
const formatters = new Map<string, Intl.DateTimeFormat>()
function localParts(at: number, timeZone: string): LocalParts {
  let formatter = formatters.get(timeZone)
  if (!formatter) {
    formatter = new Intl.DateTimeFormat('en-US', {
      timeZone,
      hourCycle: 'h23',
      year: 'numeric',
      month: 'numeric',
      day: 'numeric',
      hour: 'numeric',
      minute: 'numeric',
      second: 'numeric',
    })
    formatters.set(timeZone, formatter)
  }
  const parts = Object.fromEntries(formatter.formatToParts(at).map(({ type, value }) => [type, Number(value)]))
  return { year: parts.year!, month: parts.month!, day: parts.day!, hour: parts.hour! }
}

/** The instant of a local midnight or full hour: the offset is looked up twice, so that it holds on either side of a clock change. */
function instantOf({ year, month, day, hour }: LocalParts, timeZone: string): number {
  const wall = Date.UTC(year, month - 1, day, hour)
  let at = wall
  for (let turn = 0; turn < 2; turn++) {
    const seen = localParts(at, timeZone)
    at += wall - Date.UTC(seen.year, seen.month - 1, seen.day, seen.hour)
  }
  return at
}

const stepFor = (span: Span, most: number): Step =>
  (STEPS.find(({ ms }) => Math.floor(lengthOf(span) / ms) <= most) ?? STEPS.at(-1)!).step

/** The tick after `local`, in local parts; Date.UTC carries days over into months. */
function nextLocal(local: LocalParts, step: Step): LocalParts {
  const next = new Date(
    Date.UTC(
      local.year,
      local.month - 1 + (step.unit === 'month' ? step.every : 0),
      local.day + (step.unit === 'day' ? step.every : 0),
      local.hour + (step.unit === 'hour' ? step.every : 0),
    ),
  )
  return {
    year: next.getUTCFullYear(),
    month: next.getUTCMonth() + 1,
    day: next.getUTCDate(),
    hour: next.getUTCHours(),
  }
}

function firstLocal(from: number, step: Step, timeZone: string): LocalParts {
  const local = localParts(from, timeZone)
  if (step.unit === 'hour') return { ...local, hour: Math.floor(local.hour / step.every) * step.every }
  if (step.unit === 'day') return { ...local, hour: 0 }
  return { ...local, month: Math.floor((local.month - 1) / step.every) * step.every + 1, day: 1, hour: 0 }
}

const clock = format({ hour: 'numeric', minute: '2-digit' })
const day = format({ month: 'short', day: 'numeric' })
const month = format({ month: 'short' })
const monthOfYear = format({ month: 'short', year: 'numeric' })

function labelOf(at: number, step: Step, before: LocalParts | null, local: LocalParts, timeZone: string): string {
  const newYear = before === null ? false : before.year !== local.year
  if (step.unit === 'hour') {
    const newDay = before === null || before.day !== local.day
    return newDay ? day(at, timeZone) : clock(at, timeZone)
  }
  if (step.unit === 'day') return day(at, timeZone)
  return before === null || newYear ? monthOfYear(at, timeZone) : month(at, timeZone)
}

/**
 * Ticks in a span, ascending.
 * @param most how many there is room for, from 2
 */
export function timeTicks(span: Span, timeZone: string, most: number): Tick[] {
  const step = stepFor(span, Math.max(2, most))
  const ticks: Tick[] = []
  let before: LocalParts | null = null
  for (let local = firstLocal(span.from, step, timeZone); ; local = nextLocal(local, step)) {
    const at = instantOf(local, timeZone)
    if (at >= span.to) return ticks
    if (at < span.from) continue
    ticks.push({ at, label: labelOf(at, step, before, local, timeZone) })
    before = local
  }
}
