/** Words on a drawing that neither cover one another nor what is drawn: each has a few places, the first free one is taken. Pure. */
import { type Box, grown, type Ink, overlap, type Point, type TextShape } from './shapes.ts'

export interface LabelLine {
  text: string
  after?: string
  strong?: boolean
  ink?: Ink
}

/** One place for a label; `leader` runs from its edge to what it names and must not cross other words. */
export interface Try {
  box: Box
  leader?: readonly Point[]
}

export interface Wanted {
  id: string
  tries: readonly Try[]
  /** Without it the drawing lacks something: others give way first. */
  must: boolean
}

const LINE_HEIGHT_EM = 1.24
/** Share of an em by letter, of Encode Sans at 86 % width and weight 640, rounded up; everything else is at most the last. */
const NARROW = new Set("iljI.,:;'|!()[] ’")
const SMALL = new Set('frt-−/"1°')
const BROAD = new Set('mwMW%@&')
const em = (letter: string): number =>
  NARROW.has(letter) ? 0.29 : SMALL.has(letter) ? 0.41 : BROAD.has(letter) ? 0.84 : /[A-Z]/.test(letter) ? 0.64 : 0.56

export const textWidth = (text: string, sizePx: number): number =>
  [...text].reduce((sum, letter) => sum + em(letter), 0) * sizePx

const lineHeight = (sizePx: number): number => Math.round(sizePx * LINE_HEIGHT_EM)

export const labelSize = (lines: readonly LabelLine[], sizePx: number): { width: number; height: number } => ({
  width: Math.ceil(Math.max(0, ...lines.map(({ text, after = '' }) => textWidth(text + after, sizePx)))),
  height: lines.length * lineHeight(sizePx),
})

/** As much of a text as fits, with an ellipsis where it was cut. */
export function fitted(text: string, width: number, sizePx: number): string {
  if (textWidth(text, sizePx) <= width) return text
  let end = text.length
  while (end > 1 && textWidth(`${text.slice(0, end)}…`, sizePx) > width) end--
  return `${text.slice(0, end).trimEnd()}…`
}

export function labelText(
  part: string,
  lines: readonly LabelLine[],
  box: Box,
  sizePx: number,
  anchor: TextShape['anchor'] = 'start',
): TextShape[] {
  const x = anchor === 'start' ? box.x : anchor === 'end' ? box.x + box.width : box.x + box.width / 2
  return lines.map(({ text, after, strong = false, ink = 'ink' }, i) => ({
    kind: 'text',
    part,
    x,
    y: box.y + i * lineHeight(sizePx) + sizePx * 0.95,
    text,
    ...(after ? { after } : {}),
    ink,
    anchor,
    strong,
    sizePx,
  }))
}

/** Enough for any house tried; a drawing must keep up with the hand on the slider. */
const STEPS = 3000
/** Least distance between two labels [px]. */
const APART = 5

/**
 * The best set of places: all that must be there, and of the others as many as fit, earlier tries first.
 * @param taken what no word may cover
 * @param uncrossed what no leader may cross
 * @returns place of each label, by id; what found none is missing
 */
export function placeLabels(
  wanted: readonly Wanted[],
  taken: readonly Box[],
  sheet: Box,
  uncrossed: readonly Box[] = [],
): Map<string, Try> {
  const measured = wanted.map(({ id, must, tries }) => ({
    id,
    must,
    tries: tries
      .filter(({ box }) => contains(sheet, box) && !taken.some((other) => overlap(box, other)))
      .map((one) => ({ one, around: grown(one.box, APART), leader: leaderBoxes(one) }))
      .filter(({ leader }) => !leader.some((part) => uncrossed.some((other) => overlap(part, other)))),
  }))
  // Whoever has the fewest places chooses first.
  const order = measured
    .filter(({ tries }) => tries.length > 0)
    .sort((a, b) => Number(b.must) - Number(a.must) || a.tries.length - b.tries.length)
  const clashes = remembered(order.flatMap(({ tries }) => tries))
  let best: (Measured | null)[] = []
  let most = -1
  let steps = 0
  const chosen: (Measured | null)[] = []
  const walk = (count: number): boolean => {
    if (count > most) [best, most] = [[...chosen], count]
    if (chosen.length === order.length) return count === order.length
    if (steps++ > STEPS) return true
    for (const one of order[chosen.length]!.tries) {
      if (chosen.some((other) => other !== null && clashes(one, other))) continue
      chosen.push(one)
      if (walk(count + 1)) return true
      chosen.pop()
    }
    chosen.push(null)
    if (walk(count)) return true
    chosen.pop()
    return false
  }
  walk(0)
  return new Map(best.flatMap((found, i) => (found ? [[order[i]!.id, found.one] as const] : [])))
}

/** A place with what is asked of it again and again. */
interface Measured {
  one: Try
  around: Box
  leader: Box[]
}

/** Each pair is looked at once, however often the search comes back to it. */
function remembered(all: readonly Measured[]): (a: Measured, b: Measured) => boolean {
  const index = new Map(all.map((one, i) => [one, i] as const))
  const known = new Int8Array(all.length ** 2)
  return (a, b) => {
    const i = index.get(a)! * all.length + index.get(b)!
    if (known[i] === 0) known[i] = clash(a, b) ? 1 : -1
    return known[i] === 1
  }
}

const clash = (a: Measured, b: Measured): boolean =>
  overlap(a.around, b.one.box) ||
  a.leader.some((part) => overlap(part, b.one.box)) ||
  b.leader.some((part) => overlap(part, a.one.box))

/** A leader as small boxes along it. */
export function leaderBoxes({ leader = [] }: Try): Box[] {
  return leader.slice(1).flatMap((end, i) => {
    const start = leader[i]!
    const parts = Math.max(1, Math.ceil(Math.hypot(end.x - start.x, end.y - start.y) / 6))
    return Array.from({ length: parts + 1 }, (_, k) => ({
      x: start.x + ((end.x - start.x) * k) / parts - 1,
      y: start.y + ((end.y - start.y) * k) / parts - 1,
      width: 2,
      height: 2,
    }))
  })
}

export const contains = (outer: Box, inner: Box): boolean =>
  inner.x >= outer.x &&
  inner.y >= outer.y &&
  inner.x + inner.width <= outer.x + outer.width &&
  inner.y + inner.height <= outer.y + outer.height
