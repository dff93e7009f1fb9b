/** Gutters, downspouts and the pipe that leads their water away. Pure. */
import type { SectionFacts } from './facts.ts'
import { inkOf } from './foundation.ts'
import { CUT, circle, LINE, line, pipe, poly, type Shape } from './shapes.ts'
import { gradeAt, type Sheet } from './sheet.ts'

interface Places {
  left: number
  right: number
  tube: number
  /** How deep the pipe begins under the grade. */
  deep: number
  outlet: number
  basin: number
}

export function drainagePlaces({ left, right, form, width }: Sheet): Places {
  return form === 'phone'
    ? { left: left - 9, right: right + 9, tube: 4, deep: 14, outlet: 7, basin: left * 0.5 }
    : { left: left - 18, right: right + 18, tube: 7, deep: 30, outlet: width * 0.026, basin: left * 0.5 }
}

/** @param way −1 the left one, 1 the right one */
export function downspout(sheet: Sheet, facts: SectionFacts, way: -1 | 1): Shape[] {
  const { left, right, over, eaves, form } = sheet
  const { tube, deep, ...at } = drainagePlaces(sheet)
  const phone = form === 'phone'
  const x = way < 0 ? at.left : at.right
  const gutter = (way < 0 ? left - over : right + over) + way * (phone ? 2 : 4)
  const foot = gradeAt(sheet, x)
  const drop = phone ? 14 : 26
  const size = phone ? 4 : 7
  const top = eaves + size + 2
  const piped = facts.downspoutDrain !== null
  const ledAway = facts.downspouts === 'led away' || (facts.downspouts === 'some led away' && way < 0)
  const stays = [
    { x: gutter, y: top },
    { x: gutter, y: top + 5 },
    { x, y: top + drop },
  ]
  const shoe = phone ? 7 : 14
  const reach = phone ? 20 : 74
  const end = piped
    ? [{ x, y: foot }]
    : ledAway
      ? [
          { x, y: foot - 9 },
          { x: x + way * reach, y: gradeAt(sheet, x + way * reach) - 6 },
        ]
      : facts.downspouts === 'not recorded'
        ? [{ x, y: foot - (phone ? 12 : 24) }]
        : [
            { x, y: foot - 10 },
            { x: x + way * shoe, y: foot - 5 },
          ]
  const bowl = { x: gutter - size, y: eaves - 2, width: 2 * size, height: size + 4 }
  const shapes: Shape[] = [
    {
      kind: 'path',
      part: 'gutter',
      d: poly([
        { x: bowl.x, y: bowl.y },
        { x: bowl.x, y: bowl.y + bowl.height * 0.6 },
        { x: bowl.x + 3, y: bowl.y + bowl.height },
        { x: bowl.x + bowl.width - 3, y: bowl.y + bowl.height },
        { x: bowl.x + bowl.width, y: bowl.y + bowl.height * 0.6 },
        { x: bowl.x + bowl.width, y: bowl.y },
      ]),
      stroke: 'ink',
      width: CUT,
      fill: 'sheet',
    },
    { kind: 'path', part: 'downspout', d: pipe([...stays, ...end], tube), stroke: 'ink', width: LINE },
  ]
  if (facts.downspouts === 'not recorded' && !piped) {
    shapes.push({
      kind: 'path',
      part: 'downspout end not recorded',
      d: line(x, foot - (phone ? 10 : 20), x, foot - 2),
      stroke: 'ink2',
      width: LINE,
      dash: '2 3',
    })
  }
  // On the right the pipe runs on around the house: its cut end is seen.
  if (piped && way > 0) {
    const stroke = inkOf(facts.downspoutDrain)
    const end = foot + deep
    shapes.push(
      {
        kind: 'path',
        part: 'downspout pipe',
        d: pipe(
          [
            { x, y: foot - 4 },
            { x, y: end },
          ],
          tube + 3,
        ),
        stroke,
        width: CUT,
      },
      {
        kind: 'path',
        part: 'downspout pipe',
        d: circle(x, end + 4, (tube + 5) / 2),
        stroke,
        width: CUT,
        fill: 'sheet',
      },
    )
  }
  return shapes
}

export function downspoutPipe(sheet: Sheet, { downspoutDrain }: SectionFacts): Shape[] {
  if (downspoutDrain === null) return []
  const { left, tube, deep, outlet } = drainagePlaces(sheet)
  const from = { x: left, y: gradeAt(sheet, left) + deep }
  const boot = { x: left, y: gradeAt(sheet, left) - 4 }
  const low = { x: outlet, y: Math.max(from.y, gradeAt(sheet, outlet) + deep * 0.5) + (sheet.form === 'phone' ? 2 : 7) }
  const stroke = inkOf(downspoutDrain)
  const mouth = gradeAt(sheet, outlet)
  const half = tube / 2 + 4
  return [
    {
      kind: 'path',
      part: 'downspout pipe',
      d: pipe([boot, from, low, { x: outlet, y: mouth }], tube + 3),
      stroke,
      width: CUT,
    },
    { kind: 'path', part: 'outlet', d: line(outlet - half, mouth - 2, outlet + half, mouth - 2), stroke, width: 3 },
  ]
}
