/** What the chart of the record shows, worked out from the answer of the service: no canvas and no page in here. */
import type { BalanceContract } from '../../server/http/contract/balance.ts'
import type { HousePage } from '../../server/http/contract/page.ts'
import type { RecordAnswer, RecordLine } from '../../server/http/contract/record.ts'
import type { Span } from './span.ts'

export type Points = { x: number; y: number }[]

/** How a line is drawn: the one that is asked about, its neighbors, outdoors, the rooms above. */
export type LineStyle = 'main' | 'other' | 'outdoor' | 'living'

export interface DrawnLine {
  spot: string
  letter: string
  name: string
  style: LineStyle
  estimated: boolean
  mean: Points
  /** Lowest and highest of each bucket, for the main line alone: with several they would cover one another. */
  low: Points
  high: Points
}

export interface Mark {
  at: number
  to: number | null
  /** Number in the key below a narrow chart, from 1. */
  number: number
  text: string
}

export interface Picture {
  lines: DrawnLine[]
  rain: { points: Points; bucketMs: number } | null
  works: Mark[]
  events: Mark[]
  /** What nobody entered and the readings tell of. */
  departures: Mark[]
  /** Value in the person's unit. */
  thresholds: { value: number; text: string }[]
  leftOut: Span[]
}

/** NaN where nothing was measured, so that a gap stays a gap. */
const points = (at: readonly number[], half: number, values: readonly (number | null)[], convert: Convert): Points =>
  values.map((value, i) => ({ x: at[i]! + half, y: value === null ? Number.NaN : convert(value) }))

export type Departure = Extract<BalanceContract, { outcome: 'told' }>['departures'][number]

const NONE: readonly Departure[] = []
/** What the balance found that nobody entered, in order of time; none while there is no balance. */
export const departuresOf = (balance: BalanceContract | null): readonly Departure[] =>
  balance?.outcome !== 'told' || balance.departures.length === 0
    ? NONE
    : balance.departures.toSorted((a, b) => a.at - b.at)

/** Works are numbered, spots have capitals: departures have small letters, as in a list of that type. */
export const letterOf = (number: number): string => String.fromCharCode(96 + number)

export type Convert = (si: number) => number

export interface PictureChoice {
  /** The spot that is asked about; null takes the first inside. */
  main: string | null
  hidden: ReadonlySet<string>
  /** In order of time. */
  departures: readonly Departure[]
  convert: Convert
  convertRain: Convert
}

export function pictureOf(
  record: RecordAnswer,
  page: Pick<HousePage, 'works' | 'events'>,
  { main, hidden, departures, convert, convertRain }: PictureChoice,
): Picture {
  const shown = record.lines.filter(({ spot }) => !hidden.has(spot))
  const asked = shown.find(({ spot, role }) => spot === main && role === 'inside') ?? shown.find(isInside)
  const half = record.bucketMs / 2
  const line = (one: RecordLine): DrawnLine => {
    const style = one.role !== 'inside' ? one.role : one === asked ? 'main' : 'other'
    const column = (values: readonly (number | null)[]) => points(record.at, half, values, convert)
    return {
      spot: one.spot,
      letter: one.letter,
      name: one.name,
      style,
      estimated: one.basis === 'estimated',
      mean: column(one.mean),
      low: style === 'main' ? column(one.min) : [],
      high: style === 'main' ? column(one.max) : [],
    }
  }
  const inSpan = ({ at, to }: { at: number; to: number | null }) => at < record.to && (to ?? at) >= record.from
  return {
    lines: shown.map(line).sort((a, b) => DRAWN_FIRST.indexOf(a.style) - DRAWN_FIRST.indexOf(b.style)),
    rain: record.rain && {
      points: points(record.rain.at, record.rain.bucketMs / 2, record.rain.mm, convertRain),
      bucketMs: record.rain.bucketMs,
    },
    works: page.works.map((work, i) => ({ at: work.at, to: work.to, number: i + 1, text: work.words })).filter(inSpan),
    events: page.events
      .map((event, i) => ({ at: event.at, to: event.to, number: i + 1, text: event.kind }))
      .filter(inSpan),
    departures: departures.map(({ kind, at }, i) => ({ at, to: null, number: i + 1, text: `${kind}?` })).filter(inSpan),
    thresholds: record.thresholds.map(({ value, name, harm }) => ({
      value: convert(value),
      text: `${name}: ${harm}`,
    })),
    leftOut: record.leftOut
      .filter(({ spot }) => spot === asked?.spot)
      .map(({ from, to }) => ({ from: Math.max(from, record.from), to: Math.min(to, record.to) })),
  }
}

const isInside = ({ role }: RecordLine) => role === 'inside'
/** Later ones lie on top. */
const DRAWN_FIRST: readonly LineStyle[] = ['living', 'outdoor', 'other', 'main']

/** Lowest and highest value of all lines, widened a little so that no line lies on the frame; null when there is none. */
export function rangeOf(lines: readonly DrawnLine[], step: number): { min: number; max: number } | null {
  let min = Number.POSITIVE_INFINITY
  let max = Number.NEGATIVE_INFINITY
  for (const { mean, low, high } of lines) {
    for (const column of [mean, low, high]) {
      for (const { y } of column) {
        if (y < min) min = y
        if (y > max) max = y
      }
    }
  }
  if (min > max) return null
  const room = Math.max((max - min) * 0.04, step / 2)
  return { min: Math.floor((min - room) / step) * step, max: Math.ceil((max + room) / step) * step }
}

/** The bucket that holds an instant, or -1 outside the span that was drawn. */
export const bucketAt = ({ from, to, bucketMs }: Pick<RecordAnswer, 'from' | 'to' | 'bucketMs'>, at: number): number =>
  at < from || at >= to ? -1 : Math.floor((at - from) / bucketMs)

/**
 * Labels at the right ends of lines, pushed apart so that none covers another.
 * @param ends heights wanted [px]
 * @returns heights given, in the same order
 */
export function apart(
  ends: readonly number[],
  gap: number,
  { top, bottom }: { top: number; bottom: number },
): number[] {
  const order = ends.map((_, i) => i).sort((a, b) => ends[a]! - ends[b]!)
  const placed: number[] = []
  for (const i of order) placed.push(Math.max(ends[i]!, (placed.at(-1) ?? top - gap) + gap, top))
  for (let k = placed.length - 1, limit = bottom; k >= 0; k--, limit = placed[k + 1]! - gap) {
    placed[k] = Math.min(placed[k]!, limit)
  }
  const given = new Array<number>(ends.length)
  order.forEach((i, k) => {
    given[i] = placed[k]!
  })
  return given
}
