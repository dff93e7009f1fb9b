/** What Chart.js does not draw by itself: works, harm lines, names at line ends, tints and bands. Drafting rules of the house. */
import type { Chart, ChartArea, Plugin, Scale } from 'chart.js'
import { apart, type DrawnLine, type Mark, type Picture, type Points } from './picture.ts'
import type { ChartTheme } from './theme.ts'

export interface InkOptions {
  picture: Picture
  theme: ChartTheme
  /** Below this width works are numbered and named in a key under the chart. */
  narrow: boolean
  /** The instant a person points at, by mouse or keys; null for none. */
  cursorAt: () => number | null
}

interface Paper {
  ctx: CanvasRenderingContext2D
  area: ChartArea
  x: Scale
  y: Scale
  options: InkOptions
}

export const LABEL_PX = 13
const LABEL_GAP_PX = 16

/** Draws under the lines (tints, bands, harm lines) and over them (works, names, cursor). */
export const inkPlugin = (options: InkOptions): Plugin<'line' | 'bar'> => ({
  id: 'underjoistInk',
  beforeDatasetsDraw(chart) {
    const paper = paperOf(chart, options)
    paper.ctx.save()
    clip(paper)
    leftOut(paper)
    tint(paper)
    band(paper)
    harmLines(paper)
    paper.ctx.restore()
  },
  afterDatasetsDraw(chart) {
    const paper = paperOf(chart, options)
    paper.ctx.save()
    events(paper)
    works(paper)
    cursor(paper)
    lineNames(paper)
    paper.ctx.restore()
  },
})

const paperOf = (chart: Chart<'line' | 'bar'>, options: InkOptions): Paper => ({
  ctx: chart.ctx,
  area: chart.chartArea,
  x: chart.scales.x!,
  y: chart.scales.y!,
  options,
})

function clip({ ctx, area, y }: Paper): void {
  ctx.beginPath()
  ctx.rect(area.left, y.top, area.right - area.left, y.bottom - y.top)
  ctx.clip()
}

const STRIP_PX = 5

/** Hours that no analysis uses: a strip on the time axis. */
function leftOut({ ctx, x, y, options: { picture, theme } }: Paper): void {
  ctx.fillStyle = theme.ink2
  for (const { from, to } of picture.leftOut) {
    const left = x.getPixelForValue(from)
    ctx.fillRect(left, y.bottom - STRIP_PX, Math.max(2, x.getPixelForValue(to) - left), STRIP_PX)
  }
}

/** Inside above outdoors is the water that the house itself brings. */
function tint({ ctx, x, y, options: { picture, theme } }: Paper): void {
  const main = picture.lines.find(({ style }) => style === 'main')
  const outdoor = picture.lines.find(({ style }) => style === 'outdoor')
  if (!main || !outdoor) return
  ctx.fillStyle = theme.water3
  ctx.globalAlpha = 0.75
  for (let i = 1; i < main.mean.length; i++) {
    const [a, b, c, d] = [main.mean[i - 1]!, main.mean[i]!, outdoor.mean[i]!, outdoor.mean[i - 1]!]
    if (!(a.y > d.y && b.y > c.y)) continue // also when one is missing
    ctx.beginPath()
    ctx.moveTo(x.getPixelForValue(a.x), y.getPixelForValue(a.y))
    for (const point of [b, c, d]) ctx.lineTo(x.getPixelForValue(point.x), y.getPixelForValue(point.y))
    ctx.fill()
  }
  ctx.globalAlpha = 1
}

/** From the lowest to the highest reading of each bucket, so that a thinned line hides no peak. */
function band(paper: Paper): void {
  const main = paper.options.picture.lines.find(({ style }) => style === 'main')
  if (!main) return
  fillBetween(paper, main.low, main.high, paper.options.theme.water2, 0.45)
}

export function fillBetween(
  { ctx, x, y }: Pick<Paper, 'ctx' | 'x' | 'y'>,
  low: Points,
  high: Points,
  color: string,
  alpha: number,
): void {
  ctx.fillStyle = color
  ctx.globalAlpha = alpha
  for (let start = 0; start < low.length; ) {
    let end = start
    while (end < low.length && !Number.isNaN(low[end]!.y) && !Number.isNaN(high[end]!.y)) end++
    if (end - start > 1) {
      ctx.beginPath()
      for (let i = start; i < end; i++) ctx.lineTo(x.getPixelForValue(high[i]!.x), y.getPixelForValue(high[i]!.y))
      for (let i = end - 1; i >= start; i--) ctx.lineTo(x.getPixelForValue(low[i]!.x), y.getPixelForValue(low[i]!.y))
      ctx.fill()
    }
    start = end + 1
  }
  ctx.globalAlpha = 1
}

function harmLines({ ctx, area, y, options: { picture, theme } }: Paper): void {
  ctx.strokeStyle = theme.ink2
  ctx.fillStyle = theme.ink2
  ctx.lineWidth = 1.2
  ctx.font = `${LABEL_PX - 1}px ${theme.font}`
  ctx.textAlign = 'left'
  ctx.textBaseline = 'bottom'
  for (const { value, text } of picture.thresholds) {
    if (value < y.min || value > y.max) continue
    const height = y.getPixelForValue(value)
    ctx.setLineDash([2, 3])
    ctx.beginPath()
    ctx.moveTo(area.left, height)
    ctx.lineTo(area.right, height)
    ctx.stroke()
    ctx.setLineDash([])
    ctx.fillText(text, area.left + 6, height - 3)
  }
}

const DIAMOND_PX = 6

/** Works closer than this share one label. */
const TOGETHER_PX = 16

function works({ ctx, area, x, options: { theme, picture, narrow } }: Paper): void {
  ctx.strokeStyle = theme.rust
  ctx.fillStyle = theme.rust
  ctx.lineWidth = 1.4
  ctx.font = `600 ${LABEL_PX}px ${theme.font}`
  ctx.textBaseline = 'middle'
  const top = area.top - 12
  const groups: { at: number; works: Mark[] }[] = []
  for (const work of picture.works) {
    const at = x.getPixelForValue(work.at)
    if (at < area.left - 1 || at > area.right + 1) continue
    ctx.beginPath()
    ctx.moveTo(at, area.top - 4)
    ctx.lineTo(at, area.bottom)
    ctx.stroke()
    diamond(ctx, at, top)
    const last = groups.at(-1)
    if (last && at - last.at < TOGETHER_PX) {
      last.works.push(work)
      last.at = at
    } else groups.push({ at, works: [work] })
  }
  groups.forEach(({ at, works: own }, i) => {
    const room = (groups[i + 1]?.at ?? area.right + 80) - at - 2 * DIAMOND_PX - 8
    const numbers = own.map(({ number }) => number).join(', ')
    const names = own.map(({ text }) => text).join(', ')
    const label = narrow || ctx.measureText(names).width > room ? numbers : names
    const left = at + DIAMOND_PX + 4 + ctx.measureText(label).width > area.right + 84
    ctx.textAlign = left ? 'right' : 'left'
    ctx.fillText(label, left ? at - DIAMOND_PX - 4 : at + DIAMOND_PX + 4, top)
  })
}

function diamond(ctx: CanvasRenderingContext2D, at: number, height: number): void {
  ctx.beginPath()
  ctx.moveTo(at, height - DIAMOND_PX)
  ctx.lineTo(at + DIAMOND_PX, height)
  ctx.lineTo(at, height + DIAMOND_PX)
  ctx.lineTo(at - DIAMOND_PX, height)
  ctx.closePath()
  ctx.fill()
}

/** Events explain days: a bracket at the foot, with its kind where there is room. */
function events({ ctx, area, x, y, options: { picture, theme, narrow } }: Paper): void {
  ctx.strokeStyle = theme.ink2
  ctx.fillStyle = theme.ink2
  ctx.lineWidth = 1.4
  ctx.font = `${LABEL_PX - 1}px ${theme.font}`
  ctx.textAlign = 'left'
  ctx.textBaseline = 'bottom'
  for (const { at, to, text } of picture.events) {
    const left = Math.max(area.left, x.getPixelForValue(at))
    const right = Math.min(area.right, Math.max(left + 3, to === null ? left + 3 : x.getPixelForValue(to)))
    const foot = y.bottom - STRIP_PX - 3
    ctx.beginPath()
    ctx.moveTo(left, foot + 3)
    ctx.lineTo(left, foot)
    ctx.lineTo(right, foot)
    ctx.lineTo(right, foot + 3)
    ctx.stroke()
    if (!narrow && right - left > ctx.measureText(text).width) ctx.fillText(text, left + 2, foot - 2)
  }
}

function cursor({ ctx, x, y, options: { cursorAt, theme } }: Paper): void {
  const at = cursorAt()
  if (at === null) return
  const pixel = x.getPixelForValue(at)
  ctx.strokeStyle = theme.ink
  ctx.lineWidth = 1
  ctx.setLineDash([1, 2])
  ctx.beginPath()
  ctx.moveTo(pixel, y.top)
  ctx.lineTo(pixel, y.bottom)
  ctx.stroke()
  ctx.setLineDash([])
}

/** Lines are named at their right ends, in the margin, in their own color. */
function lineNames({ ctx, area, y, options: { picture, theme, narrow } }: Paper): void {
  const named = picture.lines
    .map((line) => ({ line, last: line.mean.findLast((point) => !Number.isNaN(point.y)) }))
    .filter((one): one is { line: DrawnLine; last: { x: number; y: number } } => one.last !== undefined)
  const heights = apart(
    named.map(({ last }) => y.getPixelForValue(last.y)),
    LABEL_GAP_PX,
    { top: y.top + 6, bottom: y.bottom - 6 },
  )
  ctx.textAlign = 'left'
  ctx.textBaseline = 'middle'
  named.forEach(({ line }, i) => {
    ctx.font = `${line.style === 'main' ? 640 : 400} ${LABEL_PX}px ${theme.font}`
    ctx.fillStyle = colorOf(line, theme)
    ctx.fillText(nameAtEnd(line, narrow), area.right + 8, heights[i]!)
  })
}

const nameAtEnd = ({ letter, style }: DrawnLine, narrow: boolean): string => {
  if (style === 'outdoor') return narrow ? 'out' : 'outdoors'
  if (style === 'living') return narrow ? 'room' : 'living space'
  return letter
}

export const colorOf = ({ style }: Pick<DrawnLine, 'style'>, theme: ChartTheme): string =>
  style === 'outdoor' ? theme.soil : style === 'living' ? theme.ink2 : theme.water
