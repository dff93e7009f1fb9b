/** Soil and the ground outside, hatched as a draftsman does: three strokes, two directions, fewer with depth. Pure. */

import type { SectionFacts } from './facts.ts'
import { type Box, CUT, grown, overlap, poly, px, type Shape, scatter, THIN } from './shapes.ts'
import { gradeAt, inside, type Sheet } from './sheet.ts'

const GROUP = { x: 34, y: 19 } as const
const BANDS = [0.85, 0.6, 0.4, 0.22] as const

/** @param free boxes that stay free of hatch, for words stand there */
export function earth(sheet: Sheet, { grade }: Pick<SectionFacts, 'grade'>, free: readonly Box[]): Shape[] {
  const { width, left, right, ground, gradeAtWall, gradeAtEdge, soilBottom } = sheet
  const outline = [
    { x: 0, y: gradeAtEdge },
    { x: left, y: gradeAtWall },
    { x: left, y: ground },
    { x: right, y: ground },
    { x: right, y: gradeAtWall },
    { x: width, y: gradeAtEdge },
    { x: width, y: soilBottom },
    { x: 0, y: soilBottom },
  ]
  const surface = poly(outline.slice(0, 2)) + poly(outline.slice(4, 6))
  return [
    { kind: 'path', part: 'soil', d: poly(outline, true), fill: 'earth' },
    ...hatch(sheet, free),
    {
      kind: 'path',
      part: 'grade',
      d: surface,
      stroke: 'ink',
      width: CUT,
      ...(grade === 'not recorded' ? { dash: '9 5' } : {}),
    },
    { kind: 'path', part: 'grass', d: grass(sheet), stroke: 'ink2', width: THIN },
  ]
}

function hatch(sheet: Sheet, free: readonly Box[]): Shape[] {
  const { width, left, right, ground, footing, wall, gradeAtWall, gradeAtEdge, soilBottom } = sheet
  const top = Math.min(gradeAtWall, gradeAtEdge)
  const spaces: Box[] = [
    { x: left, y: 0, width: right - left, height: ground },
    footing,
    { ...footing, x: right - wall - footing.out },
    ...free.map((box) => grown(box, 3)),
  ]
  const next = scatter(7)
  const bands = BANDS.map(() => '')
  for (let row = 0; top + row * GROUP.y < soilBottom - 10; row++) {
    for (let x = -10; x < width; x += GROUP.x) {
      const place = { x: x + next() * 22 + (row % 2) * 18, y: top + row * GROUP.y + next() * 12, width: 20, height: 9 }
      const keeps = next()
      const rising = next() < 0.5
      const depth = (place.y - top) / (soilBottom - top)
      const fits = place.x > 2 && place.x + 20 < width - 2 && place.y > gradeAt(sheet, place.x + 10) + 6
      if (!fits || place.y + 9 > soilBottom || keeps < depth * 0.5) continue
      if (spaces.some((box) => overlap(box, place))) continue
      const band = Math.min(BANDS.length - 1, Math.floor(depth * BANDS.length))
      bands[band] += [0, 6, 12]
        .map((dx) =>
          rising
            ? `M${px(place.x + dx)} ${px(place.y + 8)}L${px(place.x + dx + 8)} ${px(place.y)}`
            : `M${px(place.x + dx)} ${px(place.y)}L${px(place.x + dx + 8)} ${px(place.y + 8)}`,
        )
        .join('')
    }
  }
  return bands.map((d, i) => ({ kind: 'path', part: 'earth', d, stroke: 'soil', width: THIN, opacity: BANDS[i]! }))
}

function grass(sheet: Sheet): string {
  const next = scatter(3)
  const { from, to } = inside(sheet)
  let d = ''
  for (let x = 10; x < sheet.width - 10; x += 26 + next() * 30) {
    if (x > from - 60 && x < to + 60) continue
    const y = gradeAt(sheet, x)
    d += `M${px(x)} ${px(y - 1)}L${px(x - 2)} ${px(y - 6)}M${px(x + 2)} ${px(y - 1)}L${px(x + 3)} ${px(y - 7)}`
  }
  return d
}

/** Concrete: dots and small triangles. */
export function stipple({ x, y, width, height }: Box, seed: number): Shape {
  const next = scatter(seed)
  let d = ''
  const cell = 8
  for (let row = 0; row + 1 <= height / cell; row++) {
    for (let column = 0; column + 1 <= width / cell; column++) {
      const [cx, cy] = [x + column * cell + 2 + next() * 4, y + row * cell + 2 + next() * 4]
      d +=
        next() < 0.3
          ? poly(
              [
                { x: cx - 2, y: cy + 1.6 },
                { x: cx, y: cy - 1.8 },
                { x: cx + 2, y: cy + 1.6 },
              ],
              true,
            )
          : `M${px(cx)} ${px(cy)}L${px(cx + 0.8)} ${px(cy + 0.4)}`
    }
  }
  return { kind: 'path', part: 'concrete', d, stroke: 'ink2', width: THIN }
}
