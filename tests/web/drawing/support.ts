import type { WaterArrow } from '../../../web/drawing/arrows.ts'
import { compose, type Drawing } from '../../../web/drawing/compose.ts'
import type { SectionFacts } from '../../../web/drawing/facts.ts'
import { labelSize } from '../../../web/drawing/labels.ts'
import type { Box, PathShape, Shape, TextShape } from '../../../web/drawing/shapes.ts'
import { type FormName, sheetFor } from '../../../web/drawing/sheet.ts'
import type { DrawnSpot } from '../../../web/drawing/spots.ts'

export const FACTS: SectionFacts = {
  wall: 'block',
  grade: 'falls toward',
  downspouts: 'end at the wall',
  downspoutDrain: null,
  yardDrain: null,
  footingDrain: null,
  vents: 'open',
  ventLids: null,
  ventFan: null,
  coverShare: 0.6,
  newCover: null,
  wallsLined: false,
  dehumidifier: null,
  insulated: true,
  lengthM: 13,
  heightM: 0.9,
  notRecorded: [],
}

const NEW = { fresh: true, since: 1_750_000_000_000 }
/** Everything that can be drawn at once. */
export const FULL: SectionFacts = {
  ...FACTS,
  downspoutDrain: NEW,
  yardDrain: NEW,
  footingDrain: NEW,
  vents: 'sealed',
  ventLids: NEW,
  ventFan: NEW,
  newCover: NEW,
  wallsLined: true,
  dehumidifier: NEW,
}
export const UNKNOWN: SectionFacts = {
  ...FACTS,
  wall: 'not recorded',
  grade: 'not recorded',
  downspouts: 'not recorded',
  vents: 'not recorded',
  coverShare: null,
  insulated: null,
}

export const arrow = (name: WaterArrow['name'], widthPx: number, more: Partial<WaterArrow> = {}): WaterArrow => ({
  name,
  words: name,
  lPerDay: { low: 1, mid: 2, high: 3 },
  widthPx,
  unsure: false,
  removed: ['outdoorAirLeaves', 'houseLeaves', 'woodTakes', 'machine', 'condenses'].includes(name),
  why: 'told',
  ...more,
})

/** Spots spread over the space, some of them close to one another. */
export const spotsIn = (count: number, form: FormName, width: number): DrawnSpot[] => {
  const { left, right, joistBottom, ground } = sheetFor(form, width, FACTS)
  return Array.from({ length: count }, (_, i) => ({
    spot: `crawl/${i}`,
    letter: 'ABCDEFGHJ'[i]!,
    name: `Spot ${i}`,
    level: 'dry',
    lines: ['12.3 % wood', 'dew point 61.6 °F'],
    place: {
      x: left + 60 + ((right - left - 120) * ((i * 5) % 8)) / 8,
      y: joistBottom + 20 + ((ground - joistBottom - 44) * ((i * 3) % 4)) / 4,
    },
  }))
}

export interface Asked {
  form: FormName
  width: number
  facts?: SectionFacts
  arrows?: readonly WaterArrow[]
  spots?: readonly DrawnSpot[]
  pxPerLiter?: number | null
}

export function drawingOf({ form, width, facts = FACTS, arrows = [], spots = [], pxPerLiter = 2.3 }: Asked): Drawing {
  return compose({
    sheet: sheetFor(form, width, facts),
    facts,
    arrows,
    amount: () => '12.3',
    spots,
    outdoor: ['dew point 63.1 °F', '83 % RH'],
    living: ['dew point 56.1 °F', '51 % RH'],
    dated: () => 'Sep 30, 2025',
    pxPerLiter,
    unit: 'pints a day',
    litersPerUnit: 0.473,
    title: {
      name: 'A house with a long name on a long road, rear',
      date: 'September 30, 2025',
      basis: 'as it is',
      invented: true,
    },
  })
}

export const shapesOf = ({ building, water, spotWords, words }: Drawing): Shape[] => [
  ...building,
  ...water.flatMap((one) => [...one.shapes, ...one.words]),
  ...spotWords,
  ...words,
]
export const textsOf = (drawing: Drawing): TextShape[] => shapesOf(drawing).filter((shape) => shape.kind === 'text')
export const pathsOf = (drawing: Drawing, part: string): PathShape[] =>
  shapesOf(drawing).filter((shape): shape is PathShape => shape.kind === 'path' && shape.part === part)

/** Where a line of words stands, from its baseline. */
export function textBox({ x, y, text, after = '', anchor, sizePx }: TextShape): Box {
  const { width } = labelSize([{ text, after }], sizePx)
  const left = anchor === 'start' ? x : anchor === 'end' ? x - width : x - width / 2
  return { x: left, y: y - sizePx * 0.8, width, height: sizePx }
}

const PAIRS: Record<string, number> = { M: 2, L: 2, C: 6, Q: 4, A: 7, H: 1, V: 1, Z: 0 }

/** Every point that a path names: ends and handles. */
export function pointsOf(d: string): { x: number; y: number }[] {
  const points: { x: number; y: number }[] = []
  let [x, y] = [0, 0]
  for (const [, command, rest] of d.matchAll(/([A-Za-z])([^A-Za-z]*)/g)) {
    const size = PAIRS[command!]
    if (size === undefined) throw new Error(`a relative or unknown command in a path: ${command}`)
    const numbers = (rest!.match(/-?\d+(?:\.\d+)?/g) ?? []).map(Number)
    for (let i = 0; i + size <= numbers.length && size > 0; i += size) {
      const part = numbers.slice(i, i + size)
      if (command === 'H') x = part[0]!
      else if (command === 'V') y = part[0]!
      else {
        const pairs = command === 'A' ? part.slice(5) : part
        for (let k = 0; k + 2 < pairs.length; k += 2) points.push({ x: pairs[k]!, y: pairs[k + 1]! })
        ;[x, y] = pairs.slice(-2) as [number, number]
      }
      points.push({ x, y })
    }
  }
  return points
}
