/** Spots of the space at their places, moved as little as needed; values beside all of them, or letters alone. Pure. */
import type { Level } from '../../server/http/contract/words.ts'
import { contains, type LabelLine, labelSize } from './labels.ts'
import { type Box, grown, overlap, type Point } from './shapes.ts'
import { inside, type Sheet } from './sheet.ts'

export interface DrawnSpot {
  spot: string
  letter: string
  name: string
  level: Level | null
  /** Lines beside the mark, the first in bold; empty when nothing is known on that day. */
  lines: string[]
  place: Point
}

export interface PlacedSpot extends DrawnSpot {
  label: { box: Box; lines: LabelLine[] } | null
}

export const MARK = 16
/** Mark, gap and letter. */
const UNIT = { width: MARK + 18, height: MARK + 4 } as const
const STEP = 8
/** How far a mark may move for its values to fit, and for the mark alone [px]. */
const WITH_VALUES = { x: 84, y: 24 } as const
const ALONE = { x: 240, y: 60 } as const
const APART = 3
const FULL = 0.4
/** The same between a mark and the values of another one. */
const CLEAR = 8

/** Whoever comes first gets the best place: a few orders are tried. */
const ORDERS: ((a: DrawnSpot, b: DrawnSpot) => number)[] = [
  () => 0,
  (a, b) => b.place.x - a.place.x,
  (a, b) => a.place.y - b.place.y,
  (a, b) => b.place.y - a.place.y,
]

export const markBox = ({ x, y }: Point): Box => ({ x: x - MARK / 2 - 2, y: y - UNIT.height / 2, ...UNIT })

/** Room for marks and their values: the space under the floor. */
function spaceBox(sheet: Sheet): Box {
  const { from, to } = inside(sheet)
  return { x: from + 3, y: sheet.joistBottom + 3, width: to - from - 6, height: sheet.ground - sheet.joistBottom - 10 }
}

export interface PlacedSpots {
  spots: PlacedSpot[]
  /** There was no room for values: they stand in the list alone. */
  crowded: boolean
}

export function placeSpots(spots: readonly DrawnSpot[], taken: readonly Box[], sheet: Sheet): PlacedSpots {
  const room = spaceBox(sheet)
  const solid = taken.map((box) => grown(box, APART))
  if (sheet.form !== 'phone') {
    for (const most of [2, 1]) {
      if (areaOf(spots, most, sheet.sizePx) > room.width * room.height * FULL) continue
      for (const order of ORDERS) {
        const found = withValues([...spots].sort(order), most, solid, room, sheet.sizePx)
        if (found) return { spots: spots.map(({ spot }) => found.find((one) => one.spot === spot)!), crowded: false }
      }
    }
  }
  const marks: Box[] = []
  const placed = spots.map((spot) => {
    const start = intoRoom(spot.place, room)
    const isFree = (place: Point) => free(markBox(place), [...solid, ...marks])
    const place = nearby(start, ALONE, room).find(isFree) ?? start
    marks.push(markBox(place))
    return { ...spot, place, label: null }
  })
  return { spots: placed, crowded: true }
}

/** Each mark as near to its place as its values allow; null where one of them finds no room, for values stand at all or none. */
function withValues(
  spots: readonly DrawnSpot[],
  most: number,
  solid: readonly Box[],
  room: Box,
  sizePx: number,
): PlacedSpot[] | null {
  const covered = [...solid]
  // Marks that nobody has moved yet keep their places free of the words of others.
  const waiting = spots.map(({ place }) => grown(markBox(intoRoom(place, room)), CLEAR - APART))
  const placed: PlacedSpot[] = []
  for (const [i, spot] of spots.entries()) {
    const lines = linesOf(spot, most)
    const start = intoRoom(spot.place, room)
    const others = [...covered, ...waiting.slice(i + 1)]
    let found: { place: Point; label: Box | null } | undefined
    for (const place of nearby(start, WITH_VALUES, room)) {
      if (!free(markBox(place), covered)) continue
      const label =
        lines.length === 0 ? null : beside(place, lines, sizePx).find((box) => contains(room, box) && free(box, others))
      if (label === undefined) continue
      found = { place, label }
      break
    }
    if (!found) return null
    covered.push(grown(markBox(found.place), CLEAR), ...(found.label ? [grown(found.label, APART)] : []))
    placed.push({ ...spot, place: found.place, label: found.label && { box: found.label, lines } })
  }
  return placed
}

/** Area of all marks with their values; what fills more than a share of the room is not even tried. */
const areaOf = (spots: readonly DrawnSpot[], most: number, sizePx: number): number =>
  spots.reduce((sum, spot) => {
    const { width, height } = labelSize(linesOf(spot, most), sizePx)
    return sum + width * height + UNIT.width * UNIT.height
  }, 0)

const free = (box: Box, taken: readonly Box[]): boolean => !taken.some((other) => overlap(box, other))

const linesOf = ({ lines }: DrawnSpot, most: number): LabelLine[] =>
  lines.slice(0, most).map((text, i) => (i === 0 ? { text, strong: true } : { text, ink: 'ink2' }))

/** Right of the mark and its letter, left of it, a little lower or higher, below, above. */
function beside(place: Point, lines: readonly LabelLine[], sizePx: number): Box[] {
  const size = labelSize(lines, sizePx)
  const unit = markBox(place)
  const right = unit.x + unit.width + 2
  const left = unit.x - size.width - 4
  const middle = place.y - size.height / 2
  return [
    { x: right, y: middle },
    { x: left, y: middle },
    { x: right, y: middle + 8 },
    { x: left, y: middle + 8 },
    { x: right, y: middle - 8 },
    { x: left, y: middle - 8 },
    { x: unit.x, y: unit.y + unit.height },
    { x: unit.x, y: unit.y - size.height },
    { x: unit.x + unit.width - size.width, y: unit.y + unit.height },
    { x: unit.x + unit.width - size.width, y: unit.y - size.height },
  ].map((at) => ({ ...at, ...size }))
}

function intoRoom({ x, y }: Point, room: Box): Point {
  const unit = markBox({ x, y })
  return {
    x: x + Math.max(0, room.x - unit.x) - Math.max(0, unit.x + unit.width - room.x - room.width),
    y: y + Math.max(0, room.y - unit.y) - Math.max(0, unit.y + unit.height - room.y - room.height),
  }
}

/** Places around a point, the nearest first. Sideways costs less than up and down: the height is what the reader judges. */
function nearby(start: Point, most: { x: number; y: number }, room: Box): Point[] {
  const places: { x: number; y: number; cost: number }[] = []
  for (let dx = -most.x; dx <= most.x; dx += STEP) {
    for (let dy = -most.y; dy <= most.y; dy += STEP)
      places.push({ x: start.x + dx, y: start.y + dy, cost: Math.hypot(dx, 2 * dy) })
  }
  return places.filter((place) => contains(room, markBox(place))).sort((a, b) => a.cost - b.cost)
}
