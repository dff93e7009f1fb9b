/** The strip under the drawing: what the width of an arrow means, the levels, and the title block. Pure. */
import type { Level } from '../../server/http/contract/words.ts'
import { arrowWidth } from './arrows.ts'
import { fitted, textWidth } from './labels.ts'
import { LINE, line, poly, type Shape, type TextShape } from './shapes.ts'
import type { Sheet } from './sheet.ts'

export interface BlockGiven {
  /** null: no arrows, so their key is left out. */
  pxPerLiter: number | null
  /** The person's unit, and how many liters a day one of it is. */
  unit: string
  litersPerUnit: number
  title: { name: string; date: string; basis: string; invented: boolean }
}

export interface LevelInKey {
  level: Level
  x: number
  y: number
}

const AMOUNTS = [1, 5, 10]
const ORDER: Level[] = ['wet', 'damp', 'drying', 'dry', 'silent']

export function block(sheet: Sheet, given: BlockGiven): { shapes: Shape[]; levels: LevelInKey[] } {
  const { width, soilBottom, height, form } = sheet
  if (form === 'phone') return { shapes: arrowKey({ x: 8, y: soilBottom + 24 }, given, sheet), levels: [] }
  const top = soilBottom + 8
  const key =
    given.pxPerLiter === null
      ? []
      : [
          words(sheet, 'Width of an arrow = water a day', 14, top + 22, true),
          ...arrowKey({ x: 14, y: top + 52 }, given, sheet),
        ]
  const keyEnd = given.pxPerLiter === null ? 14 : 14 + keyWidth(given, sheet) + 18
  const titleWidth = form === 'wide' ? 300 : width - keyEnd - 24
  const titleStart = width - titleWidth
  const wide = form === 'wide'
  const levelRow = wide ? levelKey(sheet, keyEnd + 18, top + 34, 2) : levelKey(sheet, 14, top + 108, 1)
  const rows = wide && given.pxPerLiter !== null ? [keyEnd, titleStart - 10] : [titleStart - 10]
  const low = wide ? height - 6 : top + 84
  return {
    shapes: [
      { kind: 'path', part: 'block', d: line(0, top, width, top), stroke: 'ink', width: 1.6 },
      {
        kind: 'path',
        part: 'block',
        d: rows.map((x) => line(x, top, x, low)).join('') + (wide ? '' : line(0, low, width, low)),
        stroke: 'hair',
        width: LINE,
      },
      ...key,
      ...levelRow.shapes,
      ...titleBlock(sheet, titleStart + 4, top + 20, titleWidth - 12, given.title),
    ],
    levels: levelRow.levels,
  }
}

function words(
  sheet: Sheet,
  text: string,
  x: number,
  y: number,
  strong = false,
  ink: TextShape['ink'] = 'ink',
): TextShape {
  return { kind: 'text', part: 'block', x, y, text, ink, anchor: 'start', strong, sizePx: sheet.sizePx }
}

function titleBlock(
  sheet: Sheet,
  x: number,
  y: number,
  width: number,
  { name, date, basis, invented }: BlockGiven['title'],
): Shape[] {
  const rows: [string, boolean, TextShape['ink']][] = [
    [name, true, 'ink'],
    [`${date}; ${basis}`, false, 'ink2'],
    ['Crawl space drawn taller than it is', false, 'ink2'],
    ...(invented ? [['Invented for demonstration', false, 'rust'] as [string, boolean, TextShape['ink']]] : []),
  ]
  return rows.map(([text, strong, ink], i) =>
    words(sheet, fitted(text, width, sheet.sizePx), x, y + i * 18, strong, ink),
  )
}

const SHAFT = { wide: 32, middle: 30, phone: 22 } as const

function arrowKey(at: { x: number; y: number }, given: BlockGiven, sheet: Sheet): Shape[] {
  if (given.pxPerLiter === null) return []
  const shapes: Shape[] = []
  let x = at.x
  const shaft = SHAFT[sheet.form]
  const sample = (w: number, dashed: boolean, text: string) => {
    const [half, long] = [w / 2 + 3.6, Math.max(9, 0.62 * w)]
    const head = poly(
      [
        { x: x + shaft, y: at.y - half },
        { x: x + shaft + long, y: at.y },
        { x: x + shaft, y: at.y + half },
      ],
      true,
    )
    shapes.push(
      {
        kind: 'path',
        part: 'key',
        d: line(x, at.y, x + shaft, at.y),
        stroke: 'water',
        width: w,
        ...(dashed ? { dash: '7 4.5' } : {}),
      },
      dashed
        ? { kind: 'path', part: 'key', d: head, stroke: 'water', width: 1.4, fill: 'sheet' }
        : { kind: 'path', part: 'key', d: head, fill: 'water' },
      words(sheet, text, x + shaft + long + 5, at.y + 5, false, 'ink2'),
    )
    x += shaft + long + 5 + textWidth(text, sheet.sizePx) + (sheet.form === 'phone' ? 8 : 14)
  }
  AMOUNTS.forEach((n, i) => {
    const last = i === AMOUNTS.length - 1
    sample(arrowWidth(n * given.litersPerUnit, given.pxPerLiter!), false, last ? `${n} ${given.unit}` : String(n))
  })
  sample(3, true, 'unsure')
  if (sheet.form === 'phone') return shapes
  const box = { x, y: at.y - 5, width: shaft - 8, height: 10 }
  const out = poly(
    [
      { x: box.x, y: box.y },
      { x: box.x + box.width, y: box.y },
      { x: box.x + box.width, y: box.y - 4 },
      { x: box.x + box.width + 10, y: at.y },
      { x: box.x + box.width, y: at.y + 9 },
      { x: box.x + box.width, y: at.y + 5 },
      { x: box.x, y: at.y + 5 },
    ],
    true,
  )
  shapes.push(
    { kind: 'path', part: 'key', d: out, stroke: 'water', width: 1.4, fill: 'water3' },
    words(sheet, 'leaves', x + shaft + 8, at.y + 5, false, 'ink2'),
  )
  return shapes
}

function keyWidth(given: BlockGiven, sheet: Sheet): number {
  const texts = arrowKey({ x: 0, y: 0 }, given, sheet).filter((shape) => shape.kind === 'text')
  return Math.max(...texts.map(({ x, text, sizePx }) => x + textWidth(text, sizePx)))
}

function levelKey(sheet: Sheet, x: number, y: number, rows: 1 | 2): { shapes: Shape[]; levels: LevelInKey[] } {
  const perRow = rows === 1 ? ORDER.length : 3
  const step = rows === 1 ? 96 : 82
  const levels = ORDER.map((level, i) => ({
    level,
    x: x + (i % perRow) * step,
    y: y - 12 + Math.floor(i / perRow) * 28,
  }))
  return { levels, shapes: levels.map((one) => words(sheet, one.level, one.x + 22, one.y + 13)) }
}
