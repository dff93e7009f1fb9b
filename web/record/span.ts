/** Spans of the record: pure arithmetic of what is looked at. Half-open, UTC epoch ms. */

export interface Span {
  from: number
  to: number
}

export const HOUR_MS = 3_600_000
export const DAY_MS = 24 * HOUR_MS

/** Names of the spans that a person can choose, with their length in days; null is the whole record. */
export const SPAN_CHOICES = [
  { name: 'day', days: 1 },
  { name: 'week', days: 7 },
  { name: 'month', days: 31 },
  { name: 'season', days: 92 },
  { name: 'year', days: 366 },
  { name: 'all', days: null },
] as const
export type SpanName = (typeof SPAN_CHOICES)[number]['name']

/** The shortest span worth drawing: a few readings of a five-minute logger would still be seen. */
const SHORTEST_MS = 6 * HOUR_MS

export const lengthOf = ({ from, to }: Span): number => to - from

/** Moves and, where it must, shortens a span so that it lies in the record. */
export function within(span: Span, record: Span): Span {
  const whole = lengthOf(record)
  const length = Math.min(Math.max(lengthOf(span), Math.min(SHORTEST_MS, whole)), whole)
  const from = Math.min(Math.max(span.from, record.from), record.to - length)
  return { from, to: from + length }
}

/** The chosen length, ending where the span at hand ends: what was looked at last stays in sight. */
export function chosenSpan(name: SpanName, present: Span, record: Span): Span {
  const days = SPAN_CHOICES.find((choice) => choice.name === name)!.days
  if (days === null) return record
  return within({ from: present.to - days * DAY_MS, to: present.to }, record)
}

/** The name of a span's length, or null when it was drawn by hand. */
export function nameOf(span: Span, record: Span): SpanName | null {
  if (lengthOf(span) >= lengthOf(record)) return 'all'
  const found = SPAN_CHOICES.find(({ days }) => days !== null && Math.abs(lengthOf(span) - days * DAY_MS) < HOUR_MS)
  return found?.name ?? null
}

/** @param share of the span's own length; positive is later */
export const panned = (span: Span, share: number, record: Span): Span => {
  const by = lengthOf(span) * share
  return within({ from: span.from + by, to: span.to + by }, record)
}

/**
 * @param factor below 1 looks closer
 * @param at the instant that stays where it is on the screen
 */
export function zoomed(span: Span, factor: number, at: number, record: Span): Span {
  const length = Math.max(lengthOf(span) * factor, Math.min(SHORTEST_MS, lengthOf(record)))
  const share = Math.min(1, Math.max(0, (at - span.from) / lengthOf(span)))
  const from = at - share * length
  return within({ from, to: from + length }, record)
}

/** What a key does to the span; null when the key is not for the chart. */
export function spanAfterKey(key: string, span: Span, record: Span): Span | null {
  const middle = (span.from + span.to) / 2
  switch (key) {
    case 'ArrowLeft':
      return panned(span, -0.2, record)
    case 'ArrowRight':
      return panned(span, 0.2, record)
    case 'PageUp':
      return panned(span, -1, record)
    case 'PageDown':
      return panned(span, 1, record)
    case 'Home':
      return within({ from: record.from, to: record.from + lengthOf(span) }, record)
    case 'End':
      return within({ from: record.to - lengthOf(span), to: record.to }, record)
    case '+':
    case '=':
      return zoomed(span, 0.5, middle, record)
    case '-':
      return zoomed(span, 2, middle, record)
    default:
      return null
  }
}
