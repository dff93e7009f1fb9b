/** An arrow's forms: brought, brought and unsure, or leaving. Pure. */
import type { WaterArrow } from './arrows.ts'
import type { PathShape } from './shapes.ts'

/** Half-wide and long, in line with the last of the path. */
export const headOf = (width: number) => ({ half: width / 2 + 3.6, long: Math.max(9, 0.62 * width) })
const HALO = 4
const DASHES = '7 4.5'

export function brought(arrow: WaterArrow, d: string, head: string): PathShape[] {
  const part = `water ${arrow.name}`
  const w = arrow.widthPx
  return [
    { kind: 'path', part, d, stroke: 'sheet', width: w + HALO },
    { kind: 'path', part, d: head, stroke: 'sheet', width: HALO, fill: 'sheet' },
    { kind: 'path', part, d, stroke: 'water', width: w, ...(arrow.unsure ? { dash: DASHES } : {}) },
    arrow.unsure
      ? { kind: 'path', part, d: head, stroke: 'water', width: 1.4, fill: 'sheet' }
      : { kind: 'path', part, d: head, fill: 'water' },
  ]
}

export function removed(arrow: WaterArrow, outline: string): PathShape[] {
  const part = `water ${arrow.name}`
  return [
    { kind: 'path', part, d: outline, stroke: 'sheet', width: HALO + 1.4, fill: 'sheet' },
    {
      kind: 'path',
      part,
      d: outline,
      stroke: 'water',
      width: 1.4,
      fill: 'water3',
      ...(arrow.unsure ? { dash: '4 3' } : {}),
    },
  ]
}
