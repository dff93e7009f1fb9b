/** Where things stand on the sheet: one set of places, in three forms for three widths. Pure. */
import type { SectionFacts } from './facts.ts'

export type FormName = 'wide' | 'middle' | 'phone'

/** Widths in CSS px at which a form is drawn one to one, so that no letter shrinks. */
export const formFor = (widthPx: number): FormName => (widthPx >= 1060 ? 'wide' : widthPx >= 740 ? 'middle' : 'phone')

export interface Sheet {
  form: FormName
  width: number
  height: number
  /** Foundation walls: outer faces. */
  left: number
  right: number
  wall: number
  roofTop: number
  eaves: number
  floorTop: number
  joistBottom: number
  /** Floor of the space and bottom of the footing. */
  ground: number
  footing: number
  /** Grade outside at the wall and at the edge of the sheet. */
  gradeAtWall: number
  gradeAtEdge: number
  ventTop: number
  ventHeight: number
}

const FORMS: Record<FormName, Omit<Sheet, 'form' | 'gradeAtWall' | 'gradeAtEdge'>> = {
  wide: {
    width: 1140,
    height: 610,
    left: 290,
    right: 850,
    wall: 26,
    roofTop: 44,
    eaves: 138,
    floorTop: 232,
    joistBottom: 262,
    ground: 420,
    footing: 456,
    ventTop: 286,
    ventHeight: 24,
  },
  middle: {
    width: 800,
    height: 574,
    left: 190,
    right: 610,
    wall: 22,
    roofTop: 40,
    eaves: 120,
    floorTop: 206,
    joistBottom: 234,
    ground: 388,
    footing: 420,
    ventTop: 256,
    ventHeight: 22,
  },
  phone: {
    width: 360,
    height: 380,
    left: 64,
    right: 296,
    wall: 14,
    roofTop: 22,
    eaves: 74,
    floorTop: 126,
    joistBottom: 146,
    ground: 272,
    footing: 298,
    ventTop: 162,
    ventHeight: 18,
  },
}
const FALL = { wide: 16, middle: 14, phone: 9 } as const

export function sheetFor(form: FormName, grade: SectionFacts['grade']): Sheet {
  const places = FORMS[form]
  const middle = places.ventTop + places.ventHeight + (form === 'phone' ? 14 : 26)
  const fall = grade === 'falls away' ? FALL[form] : grade === 'falls toward' ? -FALL[form] : 0
  return { form, ...places, gradeAtWall: middle, gradeAtEdge: middle + fall }
}

export const inside = ({ left, right, wall }: Sheet) => ({ from: left + wall, to: right - wall })

/** Grade outside, at a distance from the wall. */
export function gradeAt({ left, right, gradeAtWall, gradeAtEdge, width }: Sheet, x: number): number {
  const [far, reach] = x < left ? [left - x, left] : [x - right, width - right]
  return gradeAtWall + (gradeAtEdge - gradeAtWall) * Math.min(1, Math.max(0, far / reach))
}

/** Where a spot of the space hangs: its plan position along the house, its height between ground and joists. */
export function spotPlace(
  sheet: Sheet,
  { lengthM, heightM }: Pick<SectionFacts, 'lengthM' | 'heightM'>,
  spot: { x?: number; heightM?: number },
  order: { i: number; of: number },
): { x: number; y: number } {
  const { from, to } = inside(sheet)
  const margin = sheet.form === 'phone' ? 16 : 26
  const along = spot.x === undefined ? (order.i + 0.5) / order.of : spot.x / lengthM
  const up = Math.min(1, Math.max(0, (spot.heightM ?? heightM / 2) / heightM))
  return {
    x: from + margin + Math.min(1, Math.max(0, along)) * (to - from - 2 * margin),
    y: sheet.ground - 14 - up * (sheet.ground - 14 - (sheet.joistBottom + 14)),
  }
}
