/** Foundation walls or piers, their vents, and the ground of the space with what covers it. Pure. */
import { stipple } from './earth.ts'
import type { Part, SectionFacts } from './facts.ts'
import { type Box, CUT, circle, LINE, line, poly, px, rectangle, type Shape, THIN } from './shapes.ts'
import { inside, type Sheet, sillOf } from './sheet.ts'

export const inkOf = (part: Part | null): 'rust' | 'ink' => (part?.fresh ? 'rust' : 'ink')

/** Piers between those at the ends, as boxes that words keep clear of. */
export function innerPiers(sheet: Sheet, { wall }: Pick<SectionFacts, 'wall'>): Box[] {
  if (wall !== 'piers') return []
  const { left, right, joistBottom, ground } = sheet
  return [1 / 3, 2 / 3].map((share) => ({
    x: left + (right - left - sheet.wall) * share,
    y: joistBottom,
    width: sheet.wall,
    height: ground - joistBottom,
  }))
}

export function foundation(sheet: Sheet, facts: SectionFacts): Shape[] {
  const { left, right, wall } = sheet
  const inner = innerPiers(sheet, facts).map(({ x }) => x)
  return [left, ...inner, right - wall].flatMap((x, i) => [
    ...footing(sheet, x, facts, i),
    ...column(sheet, x, facts, i),
    ...(facts.wall === 'piers' ? [] : vent(sheet, x, facts, i > 0)),
  ])
}

function footing({ footing: { y, width, height, out } }: Sheet, x: number, facts: SectionFacts, i: number): Shape[] {
  const box = { x: x - out, y, width, height }
  const outline: Shape = { kind: 'path', part: 'footing', d: rectangle(box), stroke: 'ink', width: CUT, fill: 'sheet' }
  return facts.wall === 'not recorded' ? [{ ...outline, stroke: 'ink2', width: LINE }] : [outline, stipple(box, 11 + i)]
}

function column(sheet: Sheet, x: number, facts: SectionFacts, i: number): Shape[] {
  const sill = sillOf(sheet)
  const { wall } = sheet
  const box = { x, y: sill.bottom, width: wall, height: sheet.footing.y - sill.bottom }
  const sillBox = { x, y: sill.top, width: wall, height: sill.bottom - sill.top }
  const unknown = facts.wall === 'not recorded'
  const outline: Shape = {
    kind: 'path',
    part: 'foundation',
    d: rectangle(box),
    stroke: unknown ? 'ink2' : 'ink',
    width: unknown ? LINE : CUT,
    fill: 'sheet',
  }
  return [
    outline,
    ...(facts.wall === 'block' || facts.wall === 'piers' ? masonry(box) : []),
    ...(facts.wall === 'concrete' ? [stipple(box, 41 + i)] : []),
    { kind: 'path', part: 'sill', d: rectangle(sillBox), stroke: 'ink', width: LINE, fill: 'sheet' },
    {
      kind: 'path',
      part: 'sill',
      d: line(x, sill.top, x + wall, sill.bottom) + line(x + wall, sill.top, x, sill.bottom),
      stroke: 'ink',
      width: THIN,
    },
  ]
}

const COURSE = 22

function masonry(box: Box): Shape[] {
  const courses: string[] = []
  for (let y = box.y + COURSE; y < box.y + box.height - 6; y += COURSE)
    courses.push(line(box.x, y, box.x + box.width, y))
  return [
    { kind: 'path', part: 'masonry', d: rectangle(box), fill: 'masonry' },
    { kind: 'path', part: 'masonry', d: courses.join(''), stroke: 'ink', width: THIN },
  ]
}

/** Open: louvers. Sealed: a lid with a cross. Partly: a lid over half. Not recorded: an outline in dashes. */
function vent(sheet: Sheet, x: number, facts: SectionFacts, right: boolean): Shape[] {
  const { wall, ventTop: y, ventHeight: height } = sheet
  if (facts.vents === 'none') return []
  const box = { x: x - 2, y, width: wall + 4, height }
  const lid = inkOf(facts.ventLids)
  const frame: Shape = { kind: 'path', part: 'vent', d: rectangle(box), stroke: 'ink', width: LINE, fill: 'sheet' }
  const louvers = (top: number, room: number): Shape => ({
    kind: 'path',
    part: 'vent louvers',
    d: [0.15, 0.4, 0.65]
      .map((share) =>
        line(x + 3, top + room * share + (right ? 0 : 5), x + wall - 3, top + room * share + (right ? 5 : 0)),
      )
      .join(''),
    stroke: 'ink',
    width: LINE,
  })
  const cross = (part: Box): Shape[] => [
    {
      kind: 'path',
      part: 'vent lid',
      d: rectangle(part),
      stroke: lid,
      width: CUT,
      fill: lid === 'rust' ? 'rust2' : 'sheet',
    },
    {
      kind: 'path',
      part: 'vent lid',
      d:
        line(part.x, part.y, part.x + part.width, part.y + part.height) +
        line(part.x + part.width, part.y, part.x, part.y + part.height),
      stroke: lid,
      width: LINE,
    },
  ]
  const fan = facts.ventFan && right ? fanAt(x + wall / 2, y + height / 2, height * 0.38, inkOf(facts.ventFan)) : []
  switch (facts.vents) {
    case 'sealed':
      return [...cross(box), ...fan]
    case 'partly open':
      return [frame, louvers(y, height / 2), ...cross({ ...box, y: y + height / 2, height: height / 2 }), ...fan]
    case 'open':
      return [frame, ...(fan.length > 0 ? fan : [louvers(y, height)])]
    case 'not recorded':
      return [{ ...frame, stroke: 'ink2', dash: '3 3' }, ...fan]
  }
}

export function fanAt(x: number, y: number, r: number, stroke: 'ink' | 'rust'): Shape[] {
  const blades = [0, 120, 240].map((degrees) => {
    const at = (turn: number, share: number) => {
      const angle = ((degrees + turn) * Math.PI) / 180
      return `${px(x + Math.cos(angle) * r * share)} ${px(y + Math.sin(angle) * r * share)}`
    }
    return `M${px(x)} ${px(y)}Q${at(30, 0.7)} ${at(0, 0.9)}Q${at(-20, 0.5)} ${px(x)} ${px(y)}`
  })
  return [
    { kind: 'path', part: 'fan', d: circle(x, y, r), stroke, width: LINE, fill: 'sheet' },
    { kind: 'path', part: 'fan', d: blades.join(''), stroke, width: LINE },
  ]
}

/** The cover lies over its share; what is bare stays bare, and where nobody recorded it the ground is dashed. */
export function spaceGround(sheet: Sheet, facts: SectionFacts): Shape[] {
  const { ground, ventTop, ventHeight, form } = sheet
  const { from, to } = inside(sheet)
  const share = facts.coverShare
  const surface: Shape = {
    kind: 'path',
    part: 'bare ground',
    d: line(from, ground, to, ground),
    stroke: share === null ? 'ink2' : 'ink',
    width: LINE,
    ...(share === null ? { dash: '6 4' } : {}),
  }
  if (share === null || share < 0.01) return [surface]
  const up = facts.wallsLined ? ventTop + ventHeight + 10 : ground - (form === 'phone' ? 9 : 14)
  const y = ground - 3
  const end = from + (to - from) * share
  const whole = end > to - 6
  const points = [
    { x: from + 3, y: up },
    { x: from + 3, y },
    { x: whole ? to - 3 : end, y },
    ...(whole ? [{ x: to - 3, y: up }] : []),
  ]
  // An edge that ends on bare ground curls.
  const curl = whole ? '' : `C${px(end + 4)} ${px(y)} ${px(end + 5)} ${px(y - 5)} ${px(end + 10)} ${px(y - 3)}`
  return [
    surface,
    { kind: 'path', part: 'ground cover', d: poly(points) + curl, stroke: inkOf(facts.newCover), width: 2.8 },
  ]
}
