/** Where the building itself stands on the sheet, so that words keep clear of it. Pure. */
import { drainagePlaces } from './downspouts.ts'
import { basinBox, footingDrainBoxes } from './drainage.ts'
import type { SectionFacts } from './facts.ts'
import { innerPiers } from './foundation.ts'
import { breakY } from './frame.ts'
import { condensateY, hoseX, machineBox } from './machine.ts'
import type { Box } from './shapes.ts'
import { gradeAt, inside, type Sheet } from './sheet.ts'

/** What no word may cover. */
export function solids(sheet: Sheet, facts: SectionFacts): Box[] {
  const {
    left,
    right,
    wall,
    joistBottom,
    floorTop,
    eaves,
    over,
    roofTop,
    footing,
    ground,
    gradeAtWall,
    gradeAtEdge,
    width,
    form,
  } = sheet
  const phone = form === 'phone'
  const pipes = drainagePlaces(sheet)
  const walls = [left, right - wall].map((x) => ({
    x: x - 3,
    y: joistBottom,
    width: wall + 6,
    height: footing.y - joistBottom,
  }))
  const grades = [0, 0.25, 0.5, 0.75].flatMap((share) => [
    { x: left * share, y: gradeAt(sheet, left * (share + 0.12)) - 5, width: left / 4, height: 10 },
    {
      x: right + (width - right) * share,
      y: gradeAt(sheet, right + (width - right) * (share + 0.12)) - 5,
      width: (width - right) / 4,
      height: 10,
    },
  ])
  const hose = condensateY(sheet)
  const box = machineBox(sheet)
  const middle = (left + right) / 2
  // The roof as a stair of boxes, for words stand close under it.
  const roofs = Array.from({ length: 10 }, (_, i) => {
    const half = (middle - left + over) * ((i + 1) / 10)
    const y = roofTop + ((eaves - roofTop) * i) / 10
    return { x: middle - half, y, width: 2 * half, height: (eaves - roofTop) / 10 + 12 }
  })
  return [
    ...(phone ? [{ x: left - over, y: breakY(sheet) - 5, width: right - left + 2 * over, height: 10 }] : []),
    ...walls,
    ...innerPiers(sheet, facts),
    footing,
    { ...footing, x: right - wall - footing.out },
    ...grades,
    ...roofs,
    { x: left - 2, y: floorTop - 4, width: right - left + 4, height: joistBottom - floorTop + 5 },
    { x: left - 2, y: eaves, width: 18, height: floorTop - eaves },
    { x: right - 16, y: eaves, width: 18, height: floorTop - eaves },
    { x: inside(sheet).from, y: ground - 4, width: right - left - 2 * wall, height: 8 },
    { x: pipes.left - pipes.tube, y: eaves, width: 2 * pipes.tube, height: gradeAtWall - eaves + 4 },
    { x: pipes.right - pipes.tube, y: eaves, width: 2 * pipes.tube, height: gradeAtWall - eaves + 4 },
    ...(facts.dehumidifier
      ? [
          box,
          { x: left - 44, y: hose - 5, width: hoseX(sheet) - left + 50, height: 10 },
          { x: hoseX(sheet) - 5, y: hose, width: 10, height: box.y - hose },
        ]
      : []),
    ...(facts.yardDrain
      ? [basinBox(sheet), { x: 0, y: basinBox(sheet).y + basinBox(sheet).height - 22, width: pipes.basin, height: 24 }]
      : []),
    ...(facts.footingDrain ? footingDrainBoxes(sheet) : []),
    ...(facts.downspoutDrain
      ? [
          {
            x: 0,
            y: Math.min(gradeAtEdge, gradeAtWall) + (phone ? 4 : 10),
            width: pipes.left + 8,
            height: pipes.deep + (phone ? 8 : 26),
          },
          { x: pipes.right - 8, y: gradeAtWall, width: 16, height: pipes.deep + 12 },
        ]
      : []),
  ]
}
