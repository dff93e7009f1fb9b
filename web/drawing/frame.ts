/** Roof, walls above the floor, floor and joists. Pure. */
import type { SectionFacts } from './facts.ts'
import { CUT, LINE, line, poly, px, rectangle, type Shape, THIN } from './shapes.ts'
import { inside, type Sheet } from './sheet.ts'

export function roof(sheet: Sheet): Shape[] {
  const { left, right, roofTop, eaves, floorTop, over, form } = sheet
  const phone = form === 'phone'
  const middle = (left + right) / 2
  const [a, b] = [left - over, right + over]
  const thick = phone ? 6 : 10
  // Rafters end in a plumb cut; the inner line runs parallel to the outer one.
  const outer = [
    { x: a, y: eaves },
    { x: middle, y: roofTop },
    { x: b, y: eaves },
  ]
  const inner = outer.map(({ x, y }) => ({ x, y: y + thick }))
  const battens = [0.08, 0.2, 0.32, 0.44, 0.56, 0.68, 0.8, 0.92].flatMap((share) =>
    [-1, 1].map((way) => {
      const x = middle + way * share * (middle - a)
      const y = roofTop + share * (eaves - roofTop)
      return line(x, y + 2, x, y + thick - 1)
    }),
  )
  const wallIn = phone ? 7 : 14
  const top = (x: number) => roofTop + (Math.abs(x - middle) / (middle - a)) * (eaves - roofTop) + thick
  const walls = [left, left + wallIn, right, right - wallIn].map((x) => line(x, top(x), x, floorTop)).join('')
  const ceiling = phone ? '' : line(left + wallIn, eaves + 14, right - wallIn, eaves + 14)
  return [
    {
      kind: 'path',
      part: 'roof',
      d: poly([...outer, ...inner.reverse()], true),
      stroke: 'ink',
      width: CUT,
      fill: 'sheet',
    },
    { kind: 'path', part: 'rafters', d: battens.join(''), stroke: 'ink2', width: THIN },
    { kind: 'path', part: 'walls above', d: walls, stroke: 'ink', width: LINE },
    { kind: 'path', part: 'ceiling', d: ceiling, stroke: 'ink', width: THIN },
    ...(phone ? breakLine(sheet) : []),
  ]
}

export const breakY = ({ eaves }: Pick<Sheet, 'eaves'>): number => eaves + 16

/** The roof is lowered on a phone: a break line says so. */
function breakLine({ left, right, eaves, over }: Sheet): Shape[] {
  const y = breakY({ eaves })
  const [from, to] = [left - over - 4, right + over + 4]
  const zigzag = (x: number) => `L${px(x - 8)} ${y}L${px(x - 3)} ${y - 6}L${px(x + 3)} ${y + 6}L${px(x + 8)} ${y}`
  const d = `M${px(from)} ${y}${zigzag(from + (to - from) * 0.25)}${zigzag(from + (to - from) * 0.75)}L${px(to)} ${y}`
  return [
    { kind: 'path', part: 'break', d: line(from, y, to, y), stroke: 'sheet', width: 9 },
    { kind: 'path', part: 'break', d, stroke: 'hair', width: LINE },
  ]
}

export function floor(sheet: Sheet, { insulated }: Pick<SectionFacts, 'insulated'>): Shape[] {
  const { left, right, floorTop, joistTop, joistBottom, form } = sheet
  const phone = form === 'phone'
  const { from, to } = inside(sheet)
  const [gap, thick] = phone ? [28, 6] : [46, 11]
  const count = Math.floor((to - from - thick) / gap)
  const step = (to - from - thick) / count
  const joists = Array.from({ length: count + 1 }, (_, i) => from + i * step)
  const ends = joists
    .map((x) => line(x, joistTop, x + thick, joistBottom) + line(x + thick, joistTop, x, joistBottom))
    .join('')
  const rims = [left, right - (phone ? 5 : 9)].map((x) =>
    rectangle({ x, y: joistTop, width: phone ? 5 : 9, height: joistBottom - joistTop }),
  )
  return [
    ...(insulated
      ? [
          {
            kind: 'path' as const,
            part: 'batts',
            d: joists
              .slice(0, -1)
              .map((x) => batt(x + thick + 1, x + step - 1, joistTop + 2, joistBottom - 3))
              .join(''),
            stroke: 'ink2' as const,
            width: THIN,
          },
        ]
      : []),
    {
      kind: 'path',
      part: 'joists',
      d: joists.map((x) => rectangle({ x, y: joistTop, width: thick, height: joistBottom - joistTop })).join(''),
      stroke: 'ink',
      width: LINE,
      fill: 'sheet',
    },
    { kind: 'path', part: 'joists', d: ends, stroke: 'ink', width: THIN },
    { kind: 'path', part: 'rim joists', d: rims.join(''), stroke: 'ink', width: LINE, fill: 'sheet' },
    {
      kind: 'path',
      part: 'subfloor',
      d: rectangle({ x: left, y: floorTop, width: right - left, height: joistTop - floorTop }),
      stroke: 'ink',
      width: CUT,
      fill: 'sheet',
    },
  ]
}

/** Two waves that cross, as a batt is drawn. */
function batt(from: number, to: number, top: number, bottom: number): string {
  const waves = 4
  const step = (to - from) / waves
  return [
    [top, bottom],
    [bottom, top],
  ]
    .map(([start, other]) => {
      let d = `M${px(from)} ${px(start!)}`
      for (let i = 0; i < waves; i++) {
        const [x0, x1] = [from + i * step, from + (i + 1) * step]
        const [y0, y1] = i % 2 === 0 ? [start!, other!] : [other!, start!]
        d += `C${px(x0 + step * 0.7)} ${px(y0)} ${px(x1 - step * 0.7)} ${px(y1)} ${px(x1)} ${px(y1)}`
      }
      return d
    })
    .join('')
}
