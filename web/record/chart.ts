/** The chart of the record: a pure configuration, and the only place here that touches a canvas. */
import { Chart, type ChartConfiguration, LinearScale } from 'chart.js'
import { AXIS_PX, STILL, timeAxis, valueAxis } from './axes.ts'
import { inkPlugin } from './ink.ts'
import { type Picture, rangeOf } from './picture.ts'
import type { Span } from './span.ts'
import type { ChartTheme } from './theme.ts'

// Axes alone: what lies on them is drawn by ink.ts.
Chart.register(LinearScale)

export interface RecordChartOptions {
  picture: Picture
  span: Span
  timeZone: string
  theme: ChartTheme
  /** Axis names with their units; the unit stands once, at the top left. */
  unit: string
  rainUnit: string
  /** Axis ends fall on whole multiples of this. */
  step: number
  width: number
  cursorAt: () => number | null
}

const NARROW_PX = 640
/** So little rain is drawn against this scale that a drizzle does not look like a storm [person's unit]. */
const LEAST_RAIN: Record<string, number> = { in: 0.5, mm: 12 }

export function recordChartConfig(options: RecordChartOptions): ChartConfiguration<'line'> {
  const { picture, span, timeZone, theme, unit, rainUnit, step, width, cursorAt } = options
  const narrow = width < NARROW_PX
  const range = rangeOf(picture.lines, step)
  const font = { family: theme.font, size: AXIS_PX }
  const rainMost = picture.rain
    ? Math.max(LEAST_RAIN[rainUnit] ?? 0, ...known(picture.rain.points.map(({ y }) => y)))
    : 0
  return {
    type: 'line',
    data: { datasets: [] },
    options: {
      ...STILL,
      layout: { padding: { top: 26, right: narrow ? 38 : 86 } },
      scales: {
        x: timeAxis(span, timeZone, width, theme),
        y: { ...valueAxis(range, { unit, step }, theme), stack: 'sheet', stackWeight: 5 },
        ...(picture.rain && {
          yRain: {
            type: 'linear' as const,
            axis: 'y' as const,
            min: 0,
            max: rainMost,
            reverse: true,
            stack: 'sheet',
            stackWeight: 1.1,
            offset: true,
            grid: { drawOnChartArea: false, color: theme.hair },
            border: { display: false },
            title: { display: true, text: `rain, ${rainUnit}`, color: theme.ink2, font },
            ticks: {
              color: theme.ink2,
              font,
              maxTicksLimit: 2,
              callback: (value) => (Number(value) === 0 ? '' : `${Math.round(Number(value) * 10) / 10}`),
            },
          },
        }),
      },
    },
    plugins: [inkPlugin({ picture, theme, narrow, cursorAt })],
  }
}

const known = (values: readonly number[]): number[] => values.filter((value) => !Number.isNaN(value))

export type RecordPlot = Chart<'line'>

/** The caller owns the chart and calls `destroy()` on leaving the page. */
export const drawRecordChart = (canvas: HTMLCanvasElement, config: ChartConfiguration<'line'>): RecordPlot =>
  new Chart(canvas, config)
