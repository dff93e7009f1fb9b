import { expect, test } from 'vitest'
import type { ArrowName } from '../../../web/drawing/arrows.ts'
import type { SectionFacts } from '../../../web/drawing/facts.ts'
import { overlap } from '../../../web/drawing/shapes.ts'
import type { FormName } from '../../../web/drawing/sheet.ts'
import { markBox } from '../../../web/drawing/spots.ts'
import {
  arrow,
  drawingOf,
  FACTS,
  FULL,
  pathsOf,
  pointsOf,
  shapesOf,
  spotsIn,
  textBox,
  textsOf,
  UNKNOWN,
} from './support.ts'

const SHEETS = [
  { form: 'wide', width: 1170 },
  { form: 'wide', width: 1060 },
  { form: 'middle', width: 890 },
  { form: 'middle', width: 820 },
  { form: 'phone', width: 640 },
  { form: 'phone', width: 390 },
  { form: 'phone', width: 360 },
] as const
const HOUSES = {
  plain: FACTS,
  full: FULL,
  unknown: UNKNOWN,
  piers: { ...FULL, wall: 'piers', grade: 'falls away' },
  closed: { ...FULL, wall: 'concrete', grade: 'level', vents: 'none', ventLids: null },
} as const
const SUMMER: ArrowName[] = ['outdoorAir', 'ground', 'rain', 'woodTakes', 'houseLeaves', 'machine']
const ALL: ArrowName[] = [...SUMMER, 'leak', 'house', 'woodGives', 'outdoorAirLeaves', 'condenses']

const cases = SHEETS.flatMap((sheet) =>
  Object.entries(HOUSES).flatMap(([name, facts]) =>
    [0, 4, 8].map((count) => ({ ...sheet, house: name, facts, count })),
  ),
)
const drawn = (
  { form, width, facts, count }: { form: FormName; width: number; facts: SectionFacts; count: number },
  names = SUMMER,
) =>
  drawingOf({
    form,
    width,
    facts,
    arrows: names.map((name) => arrow(name, name === 'ground' ? 24 : 6)),
    spots: spotsIn(count, form, width),
  })

test.each(cases)('nothing stands outside the sheet: $house, $form $width, $count spots', (given) => {
  const drawing = drawn(given)
  const { width, height } = drawing.sheet
  const outside = shapesOf(drawing).flatMap((shape) => {
    if (shape.kind === 'text') {
      const box = textBox(shape)
      return box.x < 0 || box.x + box.width > width || box.y + box.height > height ? [`text: ${shape.text}`] : []
    }
    const points = pointsOf(shape.d)
    return points.some(({ x, y }) => x < -1 || x > width + 1 || y < 0 || y > height + 1) ? [shape.part] : []
  })
  expect(outside).toEqual([])
})

test.each(cases)('no words cover others, nor a mark: $house, $form $width, $count spots', (given) => {
  const drawing = drawn(given)
  const texts = textsOf(drawing)
  const boxes = texts.map(textBox)
  const clashes = boxes.flatMap((box, i) =>
    boxes
      .slice(i + 1)
      .flatMap((other, k) => (overlap(box, other) ? [`${texts[i]!.text} / ${texts[i + 1 + k]!.text}`] : [])),
  )
  expect(clashes).toEqual([])
  const marks = drawing.spots.map(({ place }) => markBox(place))
  expect(texts.filter((_, i) => marks.some((mark) => overlap(mark, boxes[i]!))).map(({ text }) => text)).toEqual([])
  expect(marks.filter((mark, i) => marks.slice(i + 1).some((other) => overlap(mark, other)))).toEqual([])
})

test.each(SHEETS)('every arrow has its number, even with all of them at once: $form $width', ({ form, width }) => {
  const drawing = drawn({ form, width, facts: FULL, count: 8 }, ALL)
  expect(drawing.water.map(({ arrow: { name }, words }) => [name, words.some(({ text }) => text === '12.3')])).toEqual(
    ALL.map((name) => [name, true]),
  )
})

test.each(SHEETS)('nothing is scaled down and no word is smaller than 12 px: $form $width', ({ form, width }) => {
  const drawing = drawn({ form, width, facts: FULL, count: 8 })
  expect(drawing.sheet.width).toBeLessThanOrEqual(width)
  expect(Math.min(...textsOf(drawing).map(({ sizePx }) => sizePx))).toBeGreaterThanOrEqual(12)
})

test('values stand beside all spots or beside none; then they are in the list alone', () => {
  for (const count of [1, 2, 4, 6, 8]) {
    const { spots, crowded } = drawn({ form: 'wide', width: 1170, facts: FACTS, count })
    expect([count, spots.every(({ label }) => (label === null) === crowded)]).toEqual([count, true])
  }
  expect(drawn({ form: 'wide', width: 1170, facts: FACTS, count: 2 }).crowded).toBe(false)
  expect(drawn({ form: 'phone', width: 360, facts: FACTS, count: 1 }).crowded).toBe(true)
})

test('what the data fixed less than half of is dashed with an open head; what leaves is a form of its own', () => {
  const { water } = drawingOf({
    form: 'wide',
    width: 1170,
    arrows: [arrow('ground', 12), arrow('outdoorAir', 12, { unsure: true }), arrow('houseLeaves', 12)],
  })
  const [sure, unsure, leaves] = water.map(({ shapes }) => shapes)
  expect(sure!.some(({ dash }) => dash !== undefined)).toBe(false)
  expect(sure!.at(-1)).toMatchObject({ fill: 'water' })
  expect(unsure!.filter(({ stroke, dash }) => stroke === 'water' && dash !== undefined)).toHaveLength(1)
  expect(unsure!.at(-1)).toMatchObject({ fill: 'sheet', stroke: 'water' })
  expect(leaves!.at(-1)).toMatchObject({ fill: 'water3', stroke: 'water' })
})

test('an arrow is drawn as wide as it is, in line or in outline', () => {
  const { water } = drawingOf({ form: 'wide', width: 1170, arrows: [arrow('ground', 17), arrow('houseLeaves', 13)] })
  expect(water[0]!.shapes.find(({ stroke }) => stroke === 'water')?.width ?? 0).toBe(17)
  const xs = pointsOf(water[1]!.shapes.at(-1)!.d)
    .slice(0, 1)
    .concat(pointsOf(water[1]!.shapes.at(-1)!.d).slice(-1))
  expect(Math.abs(xs[0]!.x - xs[1]!.x)).toBeCloseTo(13, 0)
})

test('the cover reaches over its share of the ground', () => {
  const { left, right, wall } = drawingOf({ form: 'wide', width: 1170 }).sheet
  const end = (coverShare: number) =>
    Math.max(
      ...pathsOf(drawingOf({ form: 'wide', width: 1170, facts: { ...FACTS, coverShare } }), 'ground cover').flatMap(
        ({ d }) => pointsOf(d).map(({ x }) => x),
      ),
    )
  const room = right - left - 2 * wall
  for (const share of [0.25, 0.5, 0.75]) expect(end(share) - left - wall).toBeCloseTo(share * room + 10, 0)
  expect(pathsOf(drawingOf({ form: 'wide', width: 1170, facts: { ...FACTS, coverShare: 0 } }), 'ground cover')).toEqual(
    [],
  )
})

test('the grade falls as it is recorded, and is dashed and level where it is not', () => {
  const grade = (kind: (typeof FACTS)['grade']) =>
    pathsOf(drawingOf({ form: 'wide', width: 1170, facts: { ...FACTS, grade: kind } }), 'grade')[0]!
  const fall = (kind: (typeof FACTS)['grade']) => {
    const [edge, wall] = pointsOf(grade(kind).d)
    return wall!.y - edge!.y
  }
  expect(fall('falls toward')).toBeGreaterThan(5)
  expect(fall('falls away')).toBeLessThan(-5)
  expect(fall('level')).toBe(0)
  expect(fall('not recorded')).toBe(0)
  expect(grade('not recorded').dash).toBeDefined()
  expect(grade('level').dash).toBeUndefined()
})

test('vents are lidded in the color of works, open with louvers, and dashed where nobody recorded them', () => {
  const of = (facts: Partial<typeof FACTS>) => drawingOf({ form: 'wide', width: 1170, facts: { ...FACTS, ...facts } })
  const lids = pathsOf(of({ vents: 'sealed', ventLids: { fresh: true, since: 1 } }), 'vent lid')
  expect(lids.length).toBeGreaterThan(0)
  expect(new Set(lids.map(({ stroke }) => stroke))).toEqual(new Set(['rust']))
  expect(pathsOf(of({ vents: 'sealed', ventLids: { fresh: false, since: 1 } }), 'vent lid')[0]?.stroke).toBe('ink')
  expect(pathsOf(of({ vents: 'open' }), 'vent louvers')).toHaveLength(2)
  expect(pathsOf(of({ vents: 'not recorded' }), 'vent').every(({ dash }) => dash !== undefined)).toBe(true)
  expect(pathsOf(of({ wall: 'piers' }), 'vent')).toEqual([])
})

test('between piers nothing holds soil back: the ground outside is that under the house', () => {
  const { ground, gradeAtWall } = drawingOf({ form: 'wide', width: 1170, facts: { ...FACTS, wall: 'piers' } }).sheet
  expect(Math.abs(ground - gradeAtWall)).toBeLessThan(8)
})

test('earth is not hatched behind words', () => {
  const drawing = drawn({ form: 'wide', width: 1170, facts: FULL, count: 4 })
  const words = [
    ...drawing.water.flatMap((one) => one.words),
    ...drawing.words.filter((shape) => shape.kind === 'text'),
  ]
    .map(textBox)
    .filter(({ y }) => y < drawing.sheet.soilBottom)
  const strokes = pathsOf(drawing, 'earth').flatMap(({ d }) => pointsOf(d))
  const inWords = strokes.filter(({ x, y }) =>
    words.some((box) => x > box.x && x < box.x + box.width && y > box.y && y < box.y + box.height),
  )
  expect(strokes.length).toBeGreaterThan(200)
  expect(inWords).toEqual([])
})

test('the key stands for 1, 5 and 10 of the unit at the scale of the arrows, and is left out without arrows', () => {
  const keyWidths = (pxPerLiter: number | null) =>
    pathsOf(drawingOf({ form: 'wide', width: 1170, pxPerLiter }), 'key')
      .filter(({ stroke, dash, fill }) => stroke === 'water' && !dash && !fill)
      .map(({ width }) => width)
  const [one, five, ten] = keyWidths(4.6) as [number, number, number]
  expect([five / one, ten / one].map((ratio) => Math.round(ratio * 100) / 100)).toEqual([5, 10])
  expect(ten).toBeCloseTo(10 * 0.473 * 4.6)
  expect(keyWidths(null)).toEqual([])
})
