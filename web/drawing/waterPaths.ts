/** Where each water arrow runs, from where the water is to the space, and where its number may stand. Pure. */
import { brought, headOf, removed } from './arrowForms.ts'
import type { ArrowName, WaterArrow } from './arrows.ts'
import type { SectionFacts } from './facts.ts'
import type { Try } from './labels.ts'
import { machineBox } from './machine.ts'
import { type Box, type PathShape, type Point, poly, px } from './shapes.ts'
import { gradeAt, inside, type Sheet } from './sheet.ts'

export interface Route {
  arrow: WaterArrow
  tail: Point
  shapes: PathShape[]
  /** What it covers, for words to keep clear of. */
  boxes: Box[]
  labelTries: (size: { width: number; height: number }) => Try[]
}

/** Arrows that hang from the floor, from left to right; only those that are there share the room. */
const HANGING: ArrowName[] = ['woodTakes', 'woodGives', 'house', 'houseLeaves', 'condenses', 'leak']

/** @param alongside arrows of a drawing beside this one, for which room is kept */
export function routes(
  arrows: readonly WaterArrow[],
  sheet: Sheet,
  facts: SectionFacts,
  alongside: readonly ArrowName[] = [],
): Route[] {
  const hanging = HANGING.filter((name) => alongside.includes(name) || arrows.some((arrow) => arrow.name === name))
  return arrows.map((arrow) => route(arrow, sheet, facts, hanging))
}

function route(arrow: WaterArrow, sheet: Sheet, facts: SectionFacts, hanging: readonly ArrowName[]): Route {
  const { left, right, ventTop, ventHeight, ground, footing, joistBottom, floorTop, wall, form } = sheet
  const phone = form === 'phone'
  const { from, to } = inside(sheet)
  const w = arrow.widthPx
  const vent = ventTop + ventHeight / 2
  const slot = hanging.indexOf(arrow.name)
  const hung = from + (to - from) * (0.07 + (0.86 * (slot + 0.5)) / Math.max(1, hanging.length))
  const reach = { short: Math.max(phone ? 30 : 46, headOf(w).long * 2 + 10), above: phone ? 20 : 30 }
  switch (arrow.name) {
    case 'outdoorAir':
      return straight(
        arrow,
        { x: right + (phone ? sheet.left - 6 : 150), y: vent },
        { x: to - (phone ? 10 : 26), y: vent },
      )
    case 'outdoorAirLeaves': {
      const tip = { x: left - (phone ? 22 : 70), y: vent }
      const run = straight(arrow, { x: from + (phone ? 16 : 34), y: vent }, tip)
      return withTries(run, ({ width, height }) =>
        phone
          ? [{ x: left - 17 - width, y: vent - headOf(w).half - 3 - height }]
          : [
              { x: tip.x - width - 6, y: vent - height / 2 },
              { x: tip.x + 34 - width, y: vent - w / 2 - 12 - height },
            ],
      )
    }
    case 'ground': {
      const bare = facts.coverShare === null ? 0.5 : facts.coverShare + (1 - facts.coverShare) / 2
      const x =
        from + (to - from) * (facts.coverShare !== null && facts.coverShare < 0.85 ? Math.min(0.82, bare) : 0.52)
      return straight(
        arrow,
        { x, y: footing.y + footing.height + (phone ? 34 : 50) },
        { x, y: ground - (phone ? 18 : 28) },
      )
    }
    case 'rain':
      return underFooting(arrow, sheet, {
        x: right + (phone ? 18 : 44),
        x1: to - (phone ? 22 : 44) - w / 2,
        rise: ground - (phone ? 20 : 34),
        wall,
      })
    case 'leak':
    case 'woodGives':
      return straight(arrow, { x: hung, y: joistBottom + 2 }, { x: hung, y: joistBottom + reach.short })
    case 'woodTakes':
    case 'condenses':
      return straight(arrow, { x: hung, y: joistBottom + reach.short }, { x: hung, y: joistBottom + 2 })
    case 'house':
    case 'houseLeaves': {
      const above = { x: hung, y: floorTop - reach.above }
      const below = { x: hung, y: joistBottom + reach.short * (arrow.name === 'house' ? 0.6 : 0.7) }
      const run = arrow.name === 'house' ? straight(arrow, above, below) : straight(arrow, below, above)
      // Above the floor there is room for words, under it there is little.
      const y = (height: number) => floorTop - height - (phone ? 5 : 6)
      return withTries(run, ({ width, height }) => [
        { x: hung + w / 2 + 7, y: y(height) },
        { x: hung - w / 2 - 7 - width, y: y(height) },
      ])
    }
    case 'machine': {
      const box = machineBox(sheet)
      const y = box.y + box.height * 0.5
      return straight(arrow, { x: box.x - 3, y }, { x: from + 4, y })
    }
  }
}

/** Places to try before those beside the tail. */
const withTries = (run: Route, first: (size: { width: number; height: number }) => Point[]): Route => ({
  ...run,
  labelTries: (size) => [...first(size).map((at) => ({ box: { ...at, ...size } })), ...run.labelTries(size)],
})

function straight(arrow: WaterArrow, tail: Point, tip: Point): Route {
  const w = arrow.widthPx
  const { half, long } = headOf(w)
  const length = Math.hypot(tip.x - tail.x, tip.y - tail.y)
  const way = { x: (tip.x - tail.x) / length, y: (tip.y - tail.y) / length }
  const across = { x: -way.y, y: way.x }
  const at = (along: number, aside: number): Point => ({
    x: tail.x + way.x * along + across.x * aside,
    y: tail.y + way.y * along + across.y * aside,
  })
  const neck = Math.max(0, length - Math.min(long, length * 0.6))
  const head = poly([at(neck, half), at(length, 0), at(neck, -half)], true)
  const outline = poly(
    [at(0, w / 2), at(neck, w / 2), at(neck, half), at(length, 0), at(neck, -half), at(neck, -w / 2), at(0, -w / 2)],
    true,
  )
  const corners = [at(0, half), at(0, -half), at(length, half), at(length, -half)]
  const box = boxAround(corners)
  return {
    arrow,
    tail,
    shapes: arrow.removed ? removed(arrow, outline) : brought(arrow, poly([tail, at(neck, 0)]), head),
    boxes: [{ x: box.x - 2, y: box.y - 2, width: box.width + 4, height: box.height + 4 }],
    labelTries: (size) => besideTail(tail, way, half, size),
  }
}

/** Roof water: down beside the wall, under the footing, up inside. */
function underFooting(
  arrow: WaterArrow,
  sheet: Sheet,
  { x, x1, rise, wall }: { x: number; x1: number; rise: number; wall: number },
): Route {
  const w = arrow.widthPx
  const { half, long } = headOf(w)
  const { footing, right } = sheet
  const y = gradeAt(sheet, x) + 8
  const bottom = footing.y + footing.height + 10 + w / 2
  const neck = rise + long
  // A Bézier curve with both handles at one depth is lowest in its middle, at a quarter of its ends and three of the handles.
  const handle = (8 * bottom - y - neck) / 6
  const d = `M${px(x)} ${px(y)}C${px(x)} ${px(handle)} ${px(x1)} ${px(handle)} ${px(x1)} ${px(neck)}`
  const head = poly(
    [
      { x: x1 - half, y: neck },
      { x: x1, y: rise },
      { x: x1 + half, y: neck },
    ],
    true,
  )
  const outer = right - wall - footing.out + footing.width
  return {
    arrow,
    tail: { x, y },
    shapes: brought(arrow, d, head),
    boxes: [
      { x: x1 - half - 2, y: rise - 2, width: 2 * half + 4, height: footing.y - rise },
      { x: x - w / 2 - 3, y, width: w + 6, height: footing.y - y },
      { x: x1 - half, y: footing.y, width: x + w / 2 + 4 - (x1 - half), height: bottom + w / 2 + 4 - footing.y },
    ],
    labelTries: (size) => [
      ...[0.35, 0.6, 0.85, 0.15].map((share) => ({
        box: { ...size, x: x + w / 2 + 8, y: y + (bottom - y) * share - size.height / 2 },
      })),
      { box: { ...size, x: outer + 6, y: bottom + w / 2 + 6 } },
      { box: { ...size, x: x1 - size.width / 2, y: bottom + w / 2 + 6 } },
    ],
  }
}

/** Beside the tail on either side, then further along, then behind the tail. */
function besideTail(
  tail: Point,
  way: Point,
  half: number,
  { width, height }: { width: number; height: number },
): Try[] {
  const gap = half + 6
  const box = (x: number, y: number): Try => ({ box: { x, y, width, height } })
  if (way.x !== 0) {
    const start = way.x < 0 ? tail.x - width : tail.x
    const further = way.x < 0 ? -40 : 40
    return [
      box(start, tail.y - gap - height + 2),
      box(start, tail.y + gap - 2),
      box(start + further, tail.y - gap - height + 2),
      box(start + further, tail.y + gap - 2),
      box(start - further, tail.y - gap - height + 2),
      box(start - further, tail.y + gap - 2),
      box(start - 2 * further, tail.y - gap - height + 2),
      box(start - 2 * further, tail.y + gap - 2),
      box(way.x < 0 ? tail.x + 6 : tail.x - width - 6, tail.y - height / 2),
    ]
  }
  const tops =
    way.y > 0
      ? [tail.y, tail.y + 8, tail.y + 18, tail.y + 30]
      : [tail.y - height, tail.y - height - 10, tail.y - height + 10, tail.y - height - 24]
  return [
    ...tops.flatMap((y) => [box(tail.x + gap, y), box(tail.x - gap - width, y)]),
    box(tail.x - width / 2, way.y > 0 ? tail.y - height - 4 : tail.y + 4),
  ]
}

function boxAround(points: readonly Point[]): Box {
  const [x, y] = [Math.min(...points.map((p) => p.x)), Math.min(...points.map((p) => p.y))]
  return { x, y, width: Math.max(...points.map((p) => p.x)) - x, height: Math.max(...points.map((p) => p.y)) - y }
}
