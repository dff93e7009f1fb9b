/**
 * Lines, bands and bars of values on the axes of a chart. Drawn here and not as datasets of Chart.js, which makes an
 * element of every point first: on a phone that takes longer than all the rest of the chart.
 */
import type { Scale } from 'chart.js'
import type { Points } from './picture.ts'

/** The two axes that values are drawn on. */
export interface Axes {
  ctx: CanvasRenderingContext2D
  x: Scale
  y: Scale
}

export interface Stroke {
  color: string
  width: number
  dash?: readonly number[]
}

/** Both axes are straight, so two places tell all others. */
export function placesOn(scale: Scale): (value: number) => number {
  const { min, max } = scale
  const first = scale.getPixelForValue(min)
  const pxPerUnit = (scale.getPixelForValue(max) - first) / (max - min || 1)
  return (value) => first + (value - min) * pxPerUnit
}

/** A gap stays a gap, and one value between two gaps is a dot. */
export function strokeLine({ ctx, x, y }: Axes, points: Points, { color, width, dash = [] }: Stroke): void {
  const [left, top] = [placesOn(x), placesOn(y)]
  ctx.strokeStyle = color
  ctx.lineWidth = width
  ctx.lineJoin = 'round'
  ctx.lineCap = dash.length > 0 ? 'butt' : 'round'
  ctx.setLineDash([...dash])
  ctx.beginPath()
  let drawing = false
  for (const point of points) {
    if (Number.isNaN(point.y)) drawing = false
    else {
      if (!drawing) ctx.moveTo(left(point.x), top(point.y))
      ctx.lineTo(left(point.x), top(point.y))
      drawing = true
    }
  }
  ctx.stroke()
  ctx.setLineDash([])
  ctx.lineCap = 'butt'
}

export function fillBetween({ ctx, x, y }: Axes, low: Points, high: Points, color: string, alpha: number): void {
  const [left, top] = [placesOn(x), placesOn(y)]
  ctx.fillStyle = color
  ctx.globalAlpha = alpha
  for (let start = 0; start < low.length; ) {
    let end = start
    while (end < low.length && !Number.isNaN(low[end]!.y) && !Number.isNaN(high[end]!.y)) end++
    if (end - start > 1) {
      ctx.beginPath()
      for (let i = start; i < end; i++) ctx.lineTo(left(high[i]!.x), top(high[i]!.y))
      for (let i = end - 1; i >= start; i--) ctx.lineTo(left(low[i]!.x), top(low[i]!.y))
      ctx.fill()
    }
    start = end + 1
  }
  ctx.globalAlpha = 1
}

/** Where one line lies above another, and both are known. */
export function fillAbove({ ctx, x, y }: Axes, upper: Points, lower: Points, color: string, alpha: number): void {
  const [left, top] = [placesOn(x), placesOn(y)]
  ctx.fillStyle = color
  ctx.globalAlpha = alpha
  ctx.beginPath()
  for (let i = 1; i < upper.length; i++) {
    const [a, b, c, d] = [upper[i - 1]!, upper[i]!, lower[i]!, lower[i - 1]!]
    if (!(a.y > d.y && b.y > c.y)) continue // also when one is missing
    ctx.moveTo(left(a.x), top(a.y))
    for (const point of [b, c, d]) ctx.lineTo(left(point.x), top(point.y))
    ctx.closePath()
  }
  ctx.fill()
  ctx.globalAlpha = 1
}

const LEAST_BAR_PX = 1.5
const BAR_SHARE = 0.8

/** Bars from zero, each standing in the middle of its time; none where nothing is known. */
export function fillBars({ ctx, x, y }: Axes, points: Points, eachMs: number, color: string): void {
  const [left, top] = [placesOn(x), placesOn(y)]
  const width = Math.max(LEAST_BAR_PX, (left(eachMs) - left(0)) * BAR_SHARE)
  ctx.fillStyle = color
  for (const point of points) {
    if (point.y > 0) ctx.fillRect(left(point.x) - width / 2, top(0), width, top(point.y) - top(0))
  }
}
