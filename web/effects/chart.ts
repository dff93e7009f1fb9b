/** "As it was" against "as it would have been": one work, day by day, with the band of what is not known. */
import { Chart, type ChartConfiguration, LinearScale, type Plugin } from 'chart.js'
import type { EffectSeries } from '../../server/http/contract/effectSeries.ts'
import { STILL, timeAxis, valueAxis } from '../record/axes.ts'
import { fillBetween, strokeLine } from '../record/lines.ts'
import { LABEL_PX } from '../record/paper.ts'
import { apart, type Convert, type Points, rangeOf } from '../record/picture.ts'
import { DAY_MS } from '../record/span.ts'
import type { ChartTheme } from '../record/theme.ts'

Chart.register(LinearScale)

export interface EffectPicture {
  /** Measured, in the person's unit. */
  asItWas: Points
  /** The model's middle without the work, from the work on. */
  without: Points
  low: Points
  high: Points
  workAt: number
  from: number
  to: number
  excluded: { from: number; to: number; reason: string }[]
}

/** Days at their noon; before the work there is nothing that "would have been". */
export function effectPicture(series: EffectSeries, workAt: number, convert: Convert): EffectPicture {
  const column = (values: readonly (number | null)[], fromWork: boolean): Points =>
    values.map((value, i) => {
      const x = series.at[i]! + DAY_MS / 2
      return { x, y: value === null || (fromWork && x < workAt) ? Number.NaN : convert(value) }
    })
  return {
    asItWas: column(series.measuredDewPointC, false),
    without: column(series.withoutDewPointC.mid, true),
    low: column(series.withoutDewPointC.low, true),
    high: column(series.withoutDewPointC.high, true),
    workAt,
    from: series.at[0] ?? workAt,
    to: (series.at.at(-1) ?? workAt) + DAY_MS,
    excluded: series.excluded,
  }
}

export interface EffectChartOptions {
  picture: EffectPicture
  timeZone: string
  theme: ChartTheme
  unit: string
  step: number
  width: number
  showExcluded: boolean
}

const NARROW_PX = 640

export function effectChartConfig(options: EffectChartOptions): ChartConfiguration<'line'> {
  const { picture, timeZone, theme, unit, step, width } = options
  const narrow = width < NARROW_PX
  const { from, to } = picture
  const drawn = [picture.asItWas, picture.without, picture.low, picture.high]
  const range = rangeOf(
    drawn.map((mean) => ({ spot: '', letter: '', name: '', style: 'main', estimated: false, mean, low: [], high: [] })),
    step,
  )
  return {
    type: 'line',
    data: { datasets: [] },
    options: {
      ...STILL,
      layout: { padding: { top: 24, right: narrow ? 12 : 172 } },
      scales: {
        x: timeAxis({ from, to }, timeZone, width, theme),
        y: valueAxis(range, { unit, step }, theme),
      },
    },
    plugins: [effectInk(options, narrow)],
  }
}

const effectInk = ({ picture, theme, showExcluded }: EffectChartOptions, narrow: boolean): Plugin<'line'> => ({
  id: 'underjoistEffectInk',
  beforeDatasetsDraw({ ctx, chartArea: area, scales }) {
    const [x, y] = [scales.x!, scales.y!]
    ctx.save()
    ctx.beginPath()
    ctx.rect(area.left, area.top, area.right - area.left, area.bottom - area.top)
    ctx.clip()
    if (showExcluded) {
      ctx.fillStyle = theme.line
      ctx.globalAlpha = 0.7
      for (const span of picture.excluded) {
        const left = x.getPixelForValue(span.from)
        ctx.fillRect(left, area.top, Math.max(2, x.getPixelForValue(span.to) - left), area.bottom - area.top)
      }
      ctx.globalAlpha = 1
    }
    fillBetween({ ctx, x, y }, picture.low, picture.high, theme.rust2, 1)
    strokeLine({ ctx, x, y }, picture.low, { color: theme.rust, width: 0.7 })
    strokeLine({ ctx, x, y }, picture.high, { color: theme.rust, width: 0.7 })
    strokeLine({ ctx, x, y }, picture.without, { color: theme.rust, width: 1.8, dash: [6, 4] })
    strokeLine({ ctx, x, y }, picture.asItWas, { color: theme.water, width: 2.3 })
    ctx.restore()
  },
  afterDatasetsDraw({ ctx, chartArea: area, scales }) {
    const [x, y] = [scales.x!, scales.y!]
    ctx.save()
    ctx.strokeStyle = theme.rust
    ctx.fillStyle = theme.rust
    ctx.lineWidth = 1.4
    const at = x.getPixelForValue(picture.workAt)
    ctx.beginPath()
    ctx.moveTo(at, area.top - 4)
    ctx.lineTo(at, area.bottom)
    ctx.stroke()
    ctx.beginPath()
    for (const [dx, dy] of [
      [0, -6],
      [6, 0],
      [0, 6],
      [-6, 0],
    ] as const)
      ctx.lineTo(at + dx, area.top - 11 + dy)
    ctx.fill()
    if (!narrow) names(ctx, picture, theme, area, (value) => y.getPixelForValue(value))
    ctx.restore()
  },
})

function names(
  ctx: CanvasRenderingContext2D,
  picture: EffectPicture,
  theme: ChartTheme,
  area: { right: number; top: number; bottom: number },
  pixel: (value: number) => number,
): void {
  const last = (points: Points) => points.findLast(({ y }) => !Number.isNaN(y))
  const ends = [
    { text: 'as it was', color: theme.water, end: last(picture.asItWas) },
    { text: 'as it would have been', color: theme.rust, end: last(picture.without) },
  ].filter(({ end }) => end !== undefined)
  const heights = apart(
    ends.map(({ end }) => pixel(end!.y)),
    18,
    { top: area.top + 8, bottom: area.bottom - 8 },
  )
  ctx.font = `600 ${LABEL_PX}px ${theme.font}`
  ctx.textBaseline = 'middle'
  ends.forEach(({ text, color }, i) => {
    ctx.fillStyle = color
    ctx.fillText(text, area.right + 8, heights[i]!)
  })
}

/** The caller owns the chart and calls `destroy()` on leaving the page. */
export const drawEffectChart = (canvas: HTMLCanvasElement, config: ChartConfiguration<'line'>): Chart<'line'> =>
  new Chart(canvas, config)
