/** Where things stand on the sheet, worked out for the width at hand so that nothing is ever scaled. Pure. */
import type { SectionFacts } from './facts.ts'
import type { Box } from './shapes.ts'

export type FormName = 'wide' | 'middle' | 'phone'

/** By the width there is for the drawing: a window of 1140 px leaves 1060, one of 900 leaves 820. */
export const formFor = (widthPx: number): FormName => (widthPx >= 1030 ? 'wide' : widthPx >= 790 ? 'middle' : 'phone')

const NARROWEST: Record<FormName, number> = { wide: 1030, middle: 790, phone: 300 }
const WIDEST: Record<FormName, number> = { wide: 1240, middle: 1030, phone: 640 }

export interface Sheet {
  form: FormName
  width: number
  height: number
  /** Bottom of the drawn soil; below it stand key and title. */
  soilBottom: number
  /** Foundation: outer faces of the walls and their thickness. */
  left: number
  right: number
  wall: number
  roofTop: number
  eaves: number
  /** How far the roof reaches beyond the walls. */
  over: number
  floorTop: number
  joistTop: number
  joistBottom: number
  ventTop: number
  ventHeight: number
  /** Floor of the space; the footing below it. */
  ground: number
  footing: Box & { out: number }
  /** Height of the ground outside, at the wall and at the edge of the sheet. */
  gradeAtWall: number
  gradeAtEdge: number
  /** Size of the words. */
  sizePx: number
}

const SILL = 7
const FALL = { wide: 20, middle: 16, phone: 8 } as const

export function sheetFor(
  form: FormName,
  widthPx: number,
  { grade, wall: kind }: Pick<SectionFacts, 'grade' | 'wall'>,
): Sheet {
  const width = Math.round(Math.min(WIDEST[form], Math.max(NARROWEST[form], widthPx)))
  const phone = form === 'phone'
  const side = phone ? width * 0.15 : width * (form === 'wide' ? 0.245 : 0.225)
  const wall = phone ? 14 : 28
  const floorTop = phone ? 104 : form === 'wide' ? 222 : 208
  const joistTop = floorTop + (phone ? 6 : 8)
  const joistBottom = joistTop + (phone ? 20 : 36)
  const space = phone ? Math.min(196, Math.max(142, width * 0.37)) : 178
  const ground = joistBottom + space
  const ventTop = joistBottom + SILL + (phone ? 7 : 12)
  const ventHeight = phone ? 16 : 26
  // Nothing holds soil back between piers: the ground runs on under the house.
  const gradeAtWall = kind === 'piers' ? ground - 5 : ventTop + ventHeight + (phone ? 16 : 30)
  const out = phone ? 8 : 14
  const footingTop = ground + (phone ? 8 : 12)
  const footingHeight = phone ? 16 : 26
  const soilBottom = footingTop + footingHeight + (phone ? 72 : 104)
  const fall = grade === 'falls away' ? FALL[form] : grade === 'falls toward' ? -FALL[form] : 0
  return {
    form,
    width,
    height: soilBottom + (phone ? 44 : form === 'wide' ? 96 : 138),
    soilBottom,
    left: side,
    right: width - side,
    wall,
    roofTop: phone ? 12 : 34,
    eaves: phone ? 60 : form === 'wide' ? 122 : 112,
    over: phone ? Math.min(18, side * 0.4) : 44,
    floorTop,
    joistTop,
    joistBottom,
    ventTop,
    ventHeight,
    ground,
    footing: { x: side - out, y: footingTop, width: wall + 2 * out, height: footingHeight, out },
    gradeAtWall,
    gradeAtEdge: gradeAtWall + fall,
    sizePx: phone ? 14 : 13,
  }
}

/** Left and right end of the space under the floor. */
export const inside = ({ left, right, wall }: Pick<Sheet, 'left' | 'right' | 'wall'>) => ({
  from: left + wall,
  to: right - wall,
})

export const sillOf = ({ joistBottom }: Pick<Sheet, 'joistBottom'>): { top: number; bottom: number } => ({
  top: joistBottom,
  bottom: joistBottom + SILL,
})

/** Ground outside, at a place left or right of the house. */
export function gradeAt({ left, right, gradeAtWall, gradeAtEdge, width }: Sheet, x: number): number {
  const [far, reach] = x < left ? [left - x, left] : [x - right, width - right]
  return gradeAtWall + (gradeAtEdge - gradeAtWall) * Math.min(1, Math.max(0, far / reach))
}

/** Where a spot hangs: its plan position along the house, its height between ground and joists. */
export function spotPlace(
  sheet: Sheet,
  { lengthM, heightM }: Pick<SectionFacts, 'lengthM' | 'heightM'>,
  spot: { x?: number; heightM?: number },
  order: { i: number; of: number },
): { x: number; y: number } {
  const { from, to } = inside(sheet)
  const margin = sheet.form === 'phone' ? 18 : 34
  const along = spot.x === undefined ? (order.i + 0.5) / order.of : spot.x / lengthM
  const up = Math.min(1, Math.max(0, (spot.heightM ?? heightM / 2) / heightM))
  const [low, high] = [sheet.ground - 20, sheet.joistBottom + 16]
  return { x: from + margin + Math.min(1, Math.max(0, along)) * (to - from - 2 * margin), y: low - up * (low - high) }
}
