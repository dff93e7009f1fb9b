/** The whole drawing as a list of shapes: building, soil, water, spots, words and title block. Pure. */
import type { ArrowName, WaterArrow } from './arrows.ts'
import { type BlockGiven, block, type LevelInKey } from './block.ts'
import { callouts } from './callouts.ts'
import { drainage } from './drainage.ts'
import { earth } from './earth.ts'
import type { SectionFacts } from './facts.ts'
import { foundation, spaceGround } from './foundation.ts'
import { floor, roof } from './frame.ts'
import { contains, type LabelLine, labelSize, labelText, placeLabels, type Try, type Wanted } from './labels.ts'
import { machine } from './machine.ts'
import { type Box, circle, grown, line, overlap, type Point, poly, type Shape, type TextShape, THIN } from './shapes.ts'
import type { Sheet } from './sheet.ts'
import { solids } from './solids.ts'
import { type DrawnSpot, type PlacedSpot, placeSpots } from './spots.ts'
import { stationsOf } from './stations.ts'
import { type Route, routes } from './waterPaths.ts'

export interface DrawingGiven extends BlockGiven {
  sheet: Sheet
  facts: SectionFacts
  arrows: readonly WaterArrow[]
  /** The number of an arrow as it is shown. */
  amount: (arrow: WaterArrow) => string
  spots: readonly DrawnSpot[]
  /** Values outdoors and above the floor; null: nobody measures there. */
  outdoor: string[] | null
  living: string[] | null
  dated: (at: number) => string
  /** Arrows of a drawing beside this one: what both show stands at one place. */
  alongside?: readonly ArrowName[]
}

export interface DrawnWater extends Route {
  words: TextShape[]
  /** Where a pointer or a finger finds it: a thin line alone would be missed. */
  reach: Box[]
}

export interface Drawing {
  sheet: Sheet
  /** In the order in which they are drawn, under water and spots. */
  building: Shape[]
  water: DrawnWater[]
  spots: PlacedSpot[]
  spotWords: TextShape[]
  words: Shape[]
  levels: LevelInKey[]
  /** Values of spots stand in the list alone. */
  crowded: boolean
}

const REACH = 9

export function compose(given: DrawingGiven): Drawing {
  const { sheet, facts, spots } = given
  const runs = routes(given.arrows, sheet, facts, given.alongside)
  const solid = [...solids(sheet, facts), ...runs.flatMap(({ boxes }) => boxes)]
  const stations = stationsOf(sheet, given.outdoor, given.living)
  solid.push(...stations.flatMap(({ covers }) => covers))
  const named = callouts(sheet, facts, given.dated)
  const area: Box = { x: 2, y: 4, width: sheet.width - 4, height: sheet.soilBottom - 8 }
  const full = runs.map((run) => ({ run, lines: numberLines(given, run.arrow, sheet.form !== 'phone') }))
  const wanted: Wanted[] = [
    ...full.map(({ run, lines }) => ({
      id: run.arrow.name,
      must: true,
      tries: run.labelTries(labelSize(lines, sheet.sizePx)),
    })),
    ...stations.map(({ id, tries }) => ({ id, tries, must: true })),
    ...named.map(({ id, tries }) => ({ id, tries, must: false })),
  ]
  const places = placeLabels(
    wanted,
    solid,
    area,
    runs.flatMap(({ boxes }) => boxes),
  )
  const placed = [...places.values()].map(({ box }) => box)
  const water: DrawnWater[] = []
  for (const { run, lines } of full) {
    const numbers = water.flatMap(({ words }) => words.map(wordBox))
    const said = numberWords(given, run, lines, places, [...solid, ...placed, ...numbers], area)
    water.push({ ...run, words: said, reach: [...run.boxes.map((box) => grown(box, REACH)), ...said.map(wordBox)] })
  }
  const taken = [...solid, ...placed, ...water.flatMap(({ words }) => words.map(wordBox))]
  const marks = placeSpots(spots, taken, sheet)
  const block1 = block(sheet, given)
  return {
    sheet,
    building: [
      ...earth(sheet, facts, [...placed, ...water.flatMap(({ words }) => words.map(wordBox))]),
      ...roof(sheet),
      ...foundation(sheet, facts),
      ...floor(sheet, facts),
      ...spaceGround(sheet, facts),
      ...drainage(sheet, facts),
      ...machine(sheet, facts),
      ...stations.flatMap(({ id, shapes }) => shapes(places.get(id))),
    ],
    water,
    spots: marks.spots,
    spotWords: marks.spots.flatMap(({ spot, label }) =>
      label ? labelText(`spot ${spot}`, label.lines, label.box, sheet.sizePx) : [],
    ),
    words: [
      ...named.flatMap(({ id, lines }) => calloutShapes(id, lines, places.get(id), sheet)),
      ...stations.flatMap(({ id, lines }) => {
        const at = places.get(id)
        return at ? labelText(id, lines, at.box, sheet.sizePx) : []
      }),
      ...block1.shapes,
    ],
    levels: block1.levels,
    crowded: marks.crowded,
  }
}

/** Name, then number and unit; on a phone the number alone. */
function numberLines({ amount, unit }: DrawingGiven, arrow: WaterArrow, full: boolean): LabelLine[] {
  const number: LabelLine = { text: amount(arrow), strong: true, ink: 'water', ...(full ? { after: ` ${unit}` } : {}) }
  return full ? [{ text: arrow.words, ink: 'water' }, number] : [number]
}

/** The label where it found its place, else the number alone where that finds one: no arrow stands without its number. */
function numberWords(
  given: DrawingGiven,
  run: Route,
  lines: readonly LabelLine[],
  places: Map<string, Try>,
  taken: readonly Box[],
  area: Box,
): TextShape[] {
  const part = `water ${run.arrow.name}`
  const { sizePx } = given.sheet
  const place = places.get(run.arrow.name)
  if (place) return labelText(part, lines, place.box, sizePx)
  const short = numberLines(given, run.arrow, false)
  const size = labelSize(short, sizePx)
  const found = [...run.labelTries(size), ...around(run.tail, size)].find(
    ({ box }) => contains(area, box) && !taken.some((other) => overlap(box, other)),
  )
  return found ? labelText(part, short, found.box, sizePx) : []
}

/** Rings of places about a point, the nearest first. */
function around({ x, y }: Point, { width, height }: { width: number; height: number }): Try[] {
  return [18, 28, 38, 50, 64].flatMap((far) =>
    Array.from({ length: 12 }, (_, i) => {
      const turn = (i * Math.PI) / 6
      return {
        box: { x: x + far * Math.cos(turn) - width / 2, y: y + far * Math.sin(turn) - height / 2, width, height },
      }
    }),
  )
}

function wordBox({ x, y, text, after = '', sizePx }: TextShape): Box {
  const { width, height } = labelSize([{ text, after }], sizePx)
  return { x, y: y - sizePx, width, height }
}

function calloutShapes(id: string, lines: readonly LabelLine[], place: Try | undefined, sheet: Sheet): Shape[] {
  if (place === undefined) return []
  const { box, leader } = place
  const target = leader?.at(-1)
  const anchor = leader && leader[0]!.x > box.x + box.width ? 'end' : 'start'
  return [
    ...(leader && target
      ? [
          {
            kind: 'path' as const,
            part: `leader ${id}`,
            d: leader.length === 2 ? line(leader[0]!.x, leader[0]!.y, target.x, target.y) : poly(leader),
            stroke: 'ink2' as const,
            width: THIN,
          },
          { kind: 'path' as const, part: `leader ${id}`, d: circle(target.x, target.y, 1.8), fill: 'ink2' as const },
        ]
      : []),
    ...labelText(id, lines, box, sheet.sizePx, anchor),
  ]
}
