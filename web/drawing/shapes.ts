/**
 * What a drawing is made of: lines and words with their places, ready to be put into an SVG or to be measured by a test.
 * Paths use absolute commands only, so that whoever measures them needs no state.
 */
export type Ink = 'ink' | 'ink2' | 'hair' | 'soil' | 'water' | 'water3' | 'rust' | 'rust2' | 'sheet'
/** Fills that the SVG defines once. */
export type Filling = Ink | 'masonry' | 'earth'

export interface PathShape {
  kind: 'path'
  /** What it shows: "vent", "footing drain". */
  part: string
  d: string
  stroke?: Ink
  width?: number
  fill?: Filling
  dash?: string
  opacity?: number
}

export interface TextShape {
  kind: 'text'
  part: string
  x: number
  y: number
  text: string
  /** A lighter end of the line: the unit after its number. */
  after?: string
  ink: Ink
  anchor: 'start' | 'middle' | 'end'
  strong: boolean
  sizePx: number
}

export type Shape = PathShape | TextShape

/** Line weights of the drawing [px]. */
export const CUT = 1.9
export const LINE = 1.1
export const THIN = 0.8

export interface Point {
  x: number
  y: number
}

export interface Box {
  x: number
  y: number
  width: number
  height: number
}

/** A tenth of a pixel is finer than any screen shows. */
export const px = (value: number): string => String(Math.round(value * 10) / 10)

export const poly = (points: readonly Point[], closed = false): string =>
  points.map(({ x, y }, i) => `${i === 0 ? 'M' : 'L'}${px(x)} ${px(y)}`).join('') + (closed ? 'Z' : '')

export const line = (x1: number, y1: number, x2: number, y2: number): string =>
  `M${px(x1)} ${px(y1)}L${px(x2)} ${px(y2)}`

export const rectangle = ({ x, y, width, height }: Box): string =>
  `M${px(x)} ${px(y)}H${px(x + width)}V${px(y + height)}H${px(x)}Z`

export const circle = (cx: number, cy: number, r: number): string =>
  `M${px(cx - r)} ${px(cy)}A${px(r)} ${px(r)} 0 1 1 ${px(cx + r)} ${px(cy)}A${px(r)} ${px(r)} 0 1 1 ${px(cx - r)} ${px(cy)}Z`

/** The two walls of a pipe that runs through these points. */
export function pipe(points: readonly Point[], diameter: number): string {
  return [diameter / 2, -diameter / 2].map((aside) => poly(points.map((_, i) => beside(points, i, aside)))).join('')
}

/** A point of the line moved sideways; at a bend it stands where the two moved lines meet. */
function beside(points: readonly Point[], i: number, aside: number): Point {
  const here = points[i]!
  const normals = [
    ...(i > 0 ? [normal(points[i - 1]!, here)] : []),
    ...(i < points.length - 1 ? [normal(here, points[i + 1]!)] : []),
  ]
  const sum = normals.reduce((a, n) => ({ x: a.x + n.x, y: a.y + n.y }), { x: 0, y: 0 })
  const stretch = (aside * normals.length) / Math.max(0.4, sum.x ** 2 + sum.y ** 2)
  return { x: here.x + sum.x * stretch, y: here.y + sum.y * stretch }
}

function normal(a: Point, b: Point): Point {
  const length = Math.hypot(b.x - a.x, b.y - a.y) || 1
  return { x: -(b.y - a.y) / length, y: (b.x - a.x) / length }
}

export const overlap = (a: Box, b: Box): boolean =>
  a.x < b.x + b.width && b.x < a.x + a.width && a.y < b.y + b.height && b.y < a.y + a.height

export const grown = ({ x, y, width, height }: Box, by: number): Box => ({
  x: x - by,
  y: y - by,
  width: width + 2 * by,
  height: height + 2 * by,
})

/** Marks scattered by hand look alike every time they are drawn: numbers from 0 to 1 that only depend on the seed. */
export function scatter(seed: number): () => number {
  let state = seed
  return () => {
    state = (state * 1_664_525 + 1_013_904_223) % 4_294_967_296
    return state / 4_294_967_296
  }
}
