/** Labels that do not cover one another: each is tried at a few places, and left out where none is free. Pure. */
export interface Box {
  x: number
  y: number
  width: number
  height: number
}

export interface Wanted {
  /** Middle of what is labeled. */
  x: number
  y: number
  width: number
  height: number
}

export const overlap = (a: Box, b: Box): boolean =>
  a.x < b.x + b.width && b.x < a.x + a.width && a.y < b.y + b.height && b.y < a.y + a.height

/** Right, left, above, below; the first that lies on the sheet and covers nothing that is taken. */
export function placeLabel(
  { x, y, width, height }: Wanted,
  gap: number,
  taken: readonly Box[],
  sheet: Box,
): Box | null {
  const tries: Box[] = [
    { x: x + gap, y: y - height / 2, width, height },
    { x: x - gap - width, y: y - height / 2, width, height },
    { x: x - width / 2, y: y - gap - height, width, height },
    { x: x - width / 2, y: y + gap, width, height },
  ]
  return tries.find((box) => contains(sheet, box) && !taken.some((other) => overlap(box, other))) ?? null
}

const contains = (outer: Box, inner: Box): boolean =>
  inner.x >= outer.x &&
  inner.y >= outer.y &&
  inner.x + inner.width <= outer.x + outer.width &&
  inner.y + inner.height <= outer.y + outer.height

/** Width of a line of text, good enough to keep labels apart: the font's figures are 0.56 em wide at most. */
export const textWidth = (text: string, sizePx: number): number => text.length * sizePx * 0.56

/** Moves marks apart until none covers another, never further than they must. */
export function spread(places: readonly { x: number; y: number }[], least: number): { x: number; y: number }[] {
  const placed: { x: number; y: number }[] = []
  for (const { x, y } of places) {
    let next = { x, y }
    for (let turn = 0; turn < 24; turn++) {
      const other = placed.find((one) => Math.abs(one.x - next.x) < least && Math.abs(one.y - next.y) < least)
      if (!other) break
      next = { x: other.x + least * (turn % 2 === 0 ? 1 : -1) * (1 + Math.floor(turn / 2)), y: next.y }
    }
    placed.push(next)
  }
  return placed
}
