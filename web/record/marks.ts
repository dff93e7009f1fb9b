/** What happened on a day, marked in the chart: works that were entered, departures that only the readings tell of. */
import { LABEL_PX, type Paper } from './paper.ts'
import { letterOf, type Mark } from './picture.ts'

const MARK_PX = 6
const LABEL_ASIDE_PX = MARK_PX + 4
/** Marks closer than this share one label. */
const TOGETHER_PX = 16
/** What a label may reach into, right of the drawn area. */
const MARGIN_PX = 84

interface Group {
  /** Of the last mark of the group. */
  px: number
  marks: Mark[]
}

/** Marks that lie in the drawn area, with those together that stand too close for two labels; in order of time. */
function groupsOf(marks: readonly Mark[], { area, x }: Paper): Group[] {
  const groups: Group[] = []
  for (const mark of marks) {
    const px = x.getPixelForValue(mark.at)
    if (px < area.left - 1 || px > area.right + 1) continue
    const last = groups.at(-1)
    if (last && px - last.px < TOGETHER_PX) {
      last.marks.push(mark)
      last.px = px
    } else groups.push({ px, marks: [mark] })
  }
  return groups
}

/** Beside each group: names where there is room, else what the key below calls them. */
function labels(paper: Paper, groups: readonly Group[], height: number, short: (mark: Mark) => string): void {
  const { ctx, area, options } = paper
  ctx.textBaseline = 'middle'
  groups.forEach(({ px, marks }, i) => {
    const room = (groups[i + 1]?.px ?? area.right + MARGIN_PX) - px - 2 * LABEL_ASIDE_PX
    const names = marks.map(({ text }) => text).join(', ')
    const label = options.narrow || ctx.measureText(names).width > room ? marks.map(short).join(', ') : names
    const toLeft = px + LABEL_ASIDE_PX + ctx.measureText(label).width > area.right + MARGIN_PX
    ctx.textAlign = toLeft ? 'right' : 'left'
    const at = toLeft ? px - LABEL_ASIDE_PX : px + LABEL_ASIDE_PX
    ctx.strokeText(label, at, height)
    ctx.fillText(label, at, height)
  })
}

function upright({ ctx, x }: Paper, marks: readonly Mark[], from: number, to: number): void {
  ctx.beginPath()
  for (const { at } of marks) {
    ctx.moveTo(x.getPixelForValue(at), from)
    ctx.lineTo(x.getPixelForValue(at), to)
  }
  ctx.stroke()
}

function corners(ctx: CanvasRenderingContext2D, places: readonly (readonly [number, number])[]): void {
  ctx.beginPath()
  for (const [left, top] of places) ctx.lineTo(left, top)
  ctx.closePath()
}

/** Above the drawn area, each with a full line and a full diamond: somebody did this. */
export function works(paper: Paper): void {
  const { ctx, area, options } = paper
  const groups = groupsOf(options.picture.works, paper)
  const drawn = groups.flatMap(({ marks }) => marks)
  const top = area.top - 12
  ctx.strokeStyle = options.theme.rust
  ctx.fillStyle = options.theme.rust
  ctx.lineWidth = 1.4
  ctx.font = `600 ${LABEL_PX}px ${options.theme.font}`
  upright(paper, drawn, area.top - 4, area.bottom)
  for (const { at } of drawn) {
    const px = paper.x.getPixelForValue(at)
    corners(ctx, [
      [px, top - MARK_PX],
      [px + MARK_PX, top],
      [px, top + MARK_PX],
      [px - MARK_PX, top],
    ])
    ctx.fill()
  }
  ctx.strokeStyle = 'transparent'
  labels(paper, groups, top, ({ number }) => `${number}`)
}

/** Inside the drawn area, each with dots and an open triangle: nobody entered this, and it is only likely. */
export function departures(paper: Paper): void {
  const { ctx, y, options } = paper
  const groups = groupsOf(options.picture.departures, paper)
  const drawn = groups.flatMap(({ marks }) => marks)
  const middle = y.top + 2 * MARK_PX
  ctx.strokeStyle = options.theme.ink
  ctx.lineWidth = 1.4
  ctx.setLineDash([2, 3])
  upright(paper, drawn, middle + MARK_PX, y.bottom)
  ctx.setLineDash([])
  ctx.fillStyle = options.theme.sheet
  for (const { at } of drawn) {
    const px = paper.x.getPixelForValue(at)
    corners(ctx, [
      [px - MARK_PX, middle - MARK_PX],
      [px + MARK_PX, middle - MARK_PX],
      [px, middle + MARK_PX],
    ])
    ctx.fill()
    ctx.stroke()
  }
  ctx.font = `600 ${LABEL_PX}px ${options.theme.font}`
  ctx.strokeStyle = options.theme.sheet // a halo, because lines pass here
  ctx.lineWidth = 4
  ctx.fillStyle = options.theme.ink
  labels(paper, groups, middle, ({ number }) => letterOf(number))
}
