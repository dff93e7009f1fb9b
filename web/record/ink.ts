/** All that lies on the axes of the record: values, harm lines, works and other marks, names at line ends. Drafting rules of the house. */
import type { Chart, Plugin } from 'chart.js'
import { fillAbove, fillBars, fillBetween, strokeLine } from './lines.ts'
import { departures, works } from './marks.ts'
import { type InkOptions, LABEL_PX, type Paper } from './paper.ts'
import { apart, type DrawnLine } from './picture.ts'
import type { ChartTheme } from './theme.ts'

const LABEL_GAP_PX = 16

export const inkPlugin = (options: InkOptions): Plugin<'line'> => ({
  id: 'underjoistInk',
  beforeDatasetsDraw(chart) {
    const paper = paperOf(chart, options)
    paper.ctx.save()
    clip(paper)
    leftOut(paper)
    tint(paper)
    band(paper)
    harmLines(paper)
    lines(paper)
    paper.ctx.restore()
    paper.ctx.save()
    rain(paper)
    events(paper)
    departures(paper)
    works(paper)
    cursor(paper)
    lineNames(paper)
    paper.ctx.restore()
  },
})

const paperOf = (chart: Chart<'line'>, options: InkOptions): Paper => ({
  ctx: chart.ctx,
  area: chart.chartArea,
  x: chart.scales.x!,
  y: chart.scales.y!,
  rainY: chart.scales.yRain,
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
function tint(paper: Paper): void {
  const main = paper.options.picture.lines.find(({ style }) => style === 'main')
  const outdoor = paper.options.picture.lines.find(({ style }) => style === 'outdoor')
  if (main && outdoor) fillAbove(paper, main.mean, outdoor.mean, paper.options.theme.water3, 0.75)
}

/** From the lowest to the highest reading of each bucket, so that a thinned line hides no peak. */
function band(paper: Paper): void {
  const main = paper.options.picture.lines.find(({ style }) => style === 'main')
  if (main) fillBetween(paper, main.low, main.high, paper.options.theme.water2, 0.45)
}

const ESTIMATED_DASH = [8, 3]

function lines(paper: Paper): void {
  const { picture, theme } = paper.options
  for (const line of picture.lines) {
    const width = line.style === 'main' ? 2.3 : 1.2
    strokeLine(paper, line.mean, {
      color: colorOf(line, theme),
      width,
      ...(line.estimated && { dash: ESTIMATED_DASH }),
    })
  }
}

function rain({ ctx, x, rainY, options: { picture, theme } }: Paper): void {
  if (picture.rain && rainY) fillBars({ ctx, x, y: rainY }, picture.rain.points, picture.rain.bucketMs, theme.bar)
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
