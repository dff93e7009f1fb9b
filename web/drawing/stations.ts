/** The places outside the space where somebody measures: outdoors, and above the floor. Pure. */
import { type LabelLine, labelSize, type Try } from './labels.ts'
import { livingMark, outdoorStation } from './machine.ts'
import type { Box, Shape } from './shapes.ts'
import { gradeAt, type Sheet } from './sheet.ts'

export interface Station {
  id: string
  lines: LabelLine[]
  tries: Try[]
  /** Its mark, which may follow its words. */
  shapes: (at: Try | undefined) => Shape[]
  /** What its mark covers. */
  covers: Box[]
}

/** @param outdoor values there; null: nobody measures there */
export function stationsOf(sheet: Sheet, outdoor: string[] | null, living: string[] | null): Station[] {
  if (sheet.form === 'phone') return []
  const lines = (name: string, values: readonly string[]): LabelLine[] => [
    { text: name, strong: true },
    ...values.map((text) => ({ text, ink: 'ink2' as const })),
  ]
  const found: Station[] = []
  if (outdoor) {
    const x = sheet.left * 0.27
    const foot = gradeAt(sheet, x)
    const said = lines('outdoors', outdoor)
    const size = labelSize(said, sheet.sizePx)
    const top = foot - 132
    found.push({
      id: 'outdoors',
      lines: said,
      tries: [
        ...[0, -16, -34].map((rise) => ({ box: { ...size, x: x + 20, y: top - 4 + rise } })),
        { box: { ...size, x: Math.max(4, x - 40), y: top - size.height - 6 } },
      ],
      shapes: () => outdoorStation(x, top, foot),
      covers: [
        { x: x - 14, y: top - 4, width: 28, height: 26 },
        { x: x - 2, y: top, width: 4, height: foot - top },
      ],
    })
  }
  if (living) {
    const { left, right, eaves, floorTop } = sheet
    const said = lines('living space', living)
    const size = labelSize(said, sheet.sizePx)
    const y = (eaves + 20 + floorTop) / 2 - size.height / 2 + 2
    const places = [0.12, 0.3, 0.5, 0.66].map((share) => ({
      box: { ...size, x: left + (right - left) * share + 16, y },
    }))
    found.push({
      id: 'living space',
      lines: said,
      tries: places,
      shapes: (at) => (at ? livingMark(at.box.x - 14, at.box.y + 8) : []),
      covers: [],
    })
  }
  return found
}
