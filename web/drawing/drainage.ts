/** Everything that leads water away outside: downspouts, catch basin, footing drain. Pure. */
import { downspout, downspoutPipe, drainagePlaces } from './downspouts.ts'
import type { SectionFacts } from './facts.ts'
import { inkOf } from './foundation.ts'
import { type Box, CUT, circle, LINE, line, pipe, rectangle, type Shape, scatter, THIN } from './shapes.ts'
import { gradeAt, type Sheet } from './sheet.ts'

export function drainage(sheet: Sheet, facts: SectionFacts): Shape[] {
  return [
    ...footingDrain(sheet, facts),
    ...yardDrain(sheet, facts),
    ...downspoutPipe(sheet, facts),
    ...basin(sheet, facts),
    ...[-1, 1].flatMap((way) => downspout(sheet, facts, way as -1 | 1)),
  ]
}

function yardDrain(sheet: Sheet, { yardDrain }: SectionFacts): Shape[] {
  if (yardDrain === null) return []
  const { tube, basin } = drainagePlaces(sheet)
  const bottom = basinBox(sheet)
  const y = bottom.y + bottom.height - (sheet.form === 'phone' ? 5 : 10)
  const d = pipe(
    [
      { x: basin, y },
      { x: 3, y: y + (sheet.form === 'phone' ? 2 : 6) },
    ],
    tube,
  )
  return [{ kind: 'path', part: 'yard drain', d, stroke: inkOf(yardDrain), width: LINE + 0.4 }]
}

export function basinBox(sheet: Sheet): Box {
  const { basin } = drainagePlaces(sheet)
  const phone = sheet.form === 'phone'
  const width = phone ? 12 : 30
  return { x: basin - width / 2, y: gradeAt(sheet, basin) - 1, width, height: phone ? 34 : 72 }
}

function basin(sheet: Sheet, { yardDrain }: SectionFacts): Shape[] {
  if (yardDrain === null) return []
  const box = basinBox(sheet)
  const stroke = inkOf(yardDrain)
  const bars = [0.2, 0.4, 0.6, 0.8].map((share) =>
    line(box.x + box.width * share, box.y - 2, box.x + box.width * share, box.y + 3),
  )
  const sump = box.y + box.height - (sheet.form === 'phone' ? 4 : 8)
  return [
    { kind: 'path', part: 'catch basin', d: rectangle(box), stroke, width: CUT, fill: 'sheet' },
    { kind: 'path', part: 'grate', d: line(box.x - 3, box.y, box.x + box.width + 3, box.y), stroke, width: 3 },
    { kind: 'path', part: 'grate', d: bars.join(''), stroke: 'sheet', width: LINE },
    {
      kind: 'path',
      part: 'water in the basin',
      d: line(box.x + 3, sump, box.x + box.width - 3, sump),
      stroke: 'water',
      width: LINE,
    },
  ]
}

/** A pipe in gravel beside each footing. */
function footingDrain(sheet: Sheet, { footingDrain }: SectionFacts): Shape[] {
  if (footingDrain === null) return []
  const stroke = inkOf(footingDrain)
  return footingDrainBoxes(sheet).flatMap((box, i): Shape[] => {
    const next = scatter(21 + i)
    const [cx, cy] = [box.x + box.width / 2, box.y + box.height / 2]
    const r = sheet.form === 'phone' ? 4.5 : 8
    const stones: string[] = []
    for (let y = box.y + 3; y < box.y + box.height - 2; y += 6) {
      for (let x = box.x + 3; x < box.x + box.width - 2; x += 6) {
        const [sx, sy] = [x + next() * 2, y + next() * 2]
        const off = Math.hypot(sx - cx, sy - cy)
        if (off > r + 3.4 && off < box.width / 2 + 1) stones.push(circle(sx, sy, 2 + next() * 0.8))
      }
    }
    return [
      { kind: 'path', part: 'gravel', d: circle(cx, cy, box.width / 2 + 3), fill: 'sheet' },
      { kind: 'path', part: 'gravel', d: stones.join(''), stroke: 'ink2', width: THIN },
      { kind: 'path', part: 'footing drain', d: circle(cx, cy, r), stroke, width: CUT, fill: 'sheet' },
      { kind: 'path', part: 'footing drain', d: circle(cx, cy, r * 0.6), stroke, width: THIN, dash: '2 2' },
    ]
  })
}

export function footingDrainBoxes({ footing, right, wall, form }: Sheet): Box[] {
  const size = form === 'phone' ? 22 : 38
  const y = footing.y + footing.height - size
  const rightEdge = right - wall - footing.out + footing.width
  return [
    { x: footing.x - size - 2, y, width: size, height: size },
    { x: rightEdge + 2, y, width: size, height: size },
  ]
}
