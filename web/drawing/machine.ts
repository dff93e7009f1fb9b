/** The dehumidifier with its condensate line, and the marks of the two stations that are not under the house. Pure. */
import type { SectionFacts } from './facts.ts'
import { fanAt, inkOf } from './foundation.ts'
import { type Box, CUT, circle, LINE, line, type Point, pipe, rectangle, type Shape } from './shapes.ts'
import { inside, type Sheet } from './sheet.ts'

/** Room between wall and machine for the arrow of the water it takes out. */
const ARROW_ROOM = { wide: 112, middle: 106, phone: 46 } as const

export function machineBox(sheet: Sheet): Box {
  const { from } = inside(sheet)
  const [width, height] = sheet.form === 'phone' ? [32, 26] : [62, 44]
  return { x: from + ARROW_ROOM[sheet.form], y: sheet.ground - height - 8, width, height }
}

/** Where the condensate line goes through the wall: under the vent, above the grade. */
export const condensateY = ({ ventTop, ventHeight, form }: Sheet): number =>
  ventTop + ventHeight + (form === 'phone' ? 7 : 14)

/** Where the hose rises from the machine. */
export const hoseX = (sheet: Sheet): number => machineBox(sheet).x + (sheet.form === 'phone' ? 6 : 9)

export function machine(sheet: Sheet, { dehumidifier }: SectionFacts): Shape[] {
  if (dehumidifier === null) return []
  const stroke = inkOf(dehumidifier)
  const box = machineBox(sheet)
  const { left } = sheet
  const phone = sheet.form === 'phone'
  const y = condensateY(sheet)
  const x = hoseX(sheet)
  const out = left - (phone ? 16 : 40)
  const hose: Point[] = [
    { x, y: box.y },
    { x, y },
    { x: out, y },
    { x: out, y: y + (phone ? 5 : 9) },
  ]
  const grille = [0.3, 0.45, 0.6].map((share) =>
    line(box.x + box.width * 0.1, box.y + box.height * share, box.x + box.width * 0.36, box.y + box.height * share),
  )
  const feet = [0.15, 0.85].map((share) =>
    line(box.x + box.width * share, box.y + box.height, box.x + box.width * share, sheet.ground - 4),
  )
  return [
    { kind: 'path', part: 'condensate line', d: pipe(hose, phone ? 3 : 5), stroke, width: LINE },
    { kind: 'path', part: 'dehumidifier', d: rectangle(box), stroke, width: CUT, fill: 'sheet' },
    { kind: 'path', part: 'dehumidifier', d: grille.join(''), stroke, width: LINE },
    { kind: 'path', part: 'dehumidifier', d: feet.join(''), stroke, width: 2.4 },
    ...fanAt(box.x + box.width * 0.66, box.y + box.height * 0.5, box.height * 0.3, stroke),
  ]
}

/** A shielded station on a post. */
export function outdoorStation(x: number, top: number, foot: number): Shape[] {
  const plates = [0, 5, 10].map((dy) => line(x - 10, top + 8 + dy, x + 10, top + 8 + dy))
  return [
    {
      kind: 'path',
      part: 'outdoor station',
      d: `M${x - 13} ${top + 3}Q${x} ${top - 6} ${x + 13} ${top + 3}`,
      stroke: 'ink',
      width: LINE,
    },
    { kind: 'path', part: 'outdoor station', d: plates.join(''), stroke: 'ink', width: CUT },
    { kind: 'path', part: 'outdoor station', d: line(x, top + 20, x, foot), stroke: 'ink', width: LINE },
  ]
}

export function livingMark(x: number, y: number): Shape[] {
  return [
    { kind: 'path', part: 'living space', d: circle(x, y, 5), stroke: 'ink', width: LINE },
    { kind: 'path', part: 'living space', d: circle(x, y, 1.6), stroke: 'ink', width: LINE },
  ]
}
