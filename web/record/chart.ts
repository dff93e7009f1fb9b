/** The chart of the record: a pure configuration, and the only place here that touches a canvas. */
import {
  BarController,
  BarElement,
  Chart,
  type ChartConfiguration,
  type ChartDataset,
  LinearScale,
  LineController,
  LineElement,
  PointElement,
} from 'chart.js'
import { colorOf, inkPlugin, LABEL_PX } from './ink.ts'
import { type DrawnLine, type Picture, rangeOf } from './picture.ts'
import type { Span } from './span.ts'
import type { ChartTheme } from './theme.ts'
import { timeTicks } from './ticks.ts'

Chart.register(BarController, BarElement, LineController, LineElement, LinearScale, PointElement)

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
const TICK_ROOM_PX = 84
/** So little rain is drawn against this scale that a drizzle does not look like a storm [person's unit]. */
const LEAST_RAIN: Record<string, number> = { in: 0.5, mm: 12 }

export function recordChartConfig(options: RecordChartOptions): ChartConfiguration<'line' | 'bar'> {
  const { picture, span, timeZone, theme, unit, rainUnit, step, width, cursorAt } = options
  const narrow = width < NARROW_PX
  const range = rangeOf(picture.lines, step)
  const most = Math.max(3, Math.floor(width / TICK_ROOM_PX))
  const font = { family: theme.font, size: LABEL_PX - 1 }
  const rainMost = picture.rain
    ? Math.max(LEAST_RAIN[rainUnit] ?? 0, ...known(picture.rain.points.map(({ y }) => y)))
    : 0
  return {
    type: 'line',
    data: {
      datasets: [
        ...picture.lines.map((line) => lineDataset(line, theme)),
        ...(picture.rain ? [rainDataset(picture.rain, theme, span, width)] : []),
      ],
    },
    options: {
      animation: false,
      parsing: false,
      normalized: true,
      responsive: true,
      maintainAspectRatio: false,
      events: [], // pointer.ts follows the pointer
      layout: { padding: { top: 26, right: narrow ? 38 : 86 } },
      scales: {
        x: {
          type: 'linear',
          min: span.from,
          max: span.to,
          grid: { drawOnChartArea: false, color: theme.hair },
          border: { color: theme.ink },
          afterBuildTicks: (axis) => {
            axis.ticks = timeTicks(span, timeZone, most).map(({ at, label }) => ({ value: at, label }))
          },
          ticks: {
            color: theme.ink2,
            font,
            maxRotation: 0,
            autoSkip: false,
            callback: (_, i, ticks) => ticks[i]?.label as string,
          },
        },
        y: {
          type: 'linear',
          min: range?.min ?? 0,
          max: range?.max ?? step,
          stack: 'sheet',
          stackWeight: 5,
          grid: { color: theme.line },
          border: { display: false },
          title: { display: true, text: unit, color: theme.ink2, font },
          ticks: { color: theme.ink2, font, maxTicksLimit: 7, includeBounds: false },
        },
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

function lineDataset(line: DrawnLine, theme: ChartTheme): ChartDataset<'line'> {
  const main = line.style === 'main'
  return {
    type: 'line',
    label: line.name,
    data: line.mean,
    borderColor: colorOf(line, theme),
    borderWidth: main ? 2.3 : 1.2,
    ...(line.estimated && { borderDash: [8, 3] }),
    pointRadius: 0,
    spanGaps: false,
    yAxisID: 'y',
    order: main ? 0 : 1,
  }
}

function rainDataset(
  { points, bucketMs }: NonNullable<Picture['rain']>,
  theme: ChartTheme,
  span: Span,
  width: number,
): ChartDataset<'bar'> {
  const bucketPx = (bucketMs / (span.to - span.from)) * width
  return {
    type: 'bar',
    label: 'rain',
    data: points as unknown as number[],
    backgroundColor: theme.bar,
    barThickness: Math.max(1.5, bucketPx * 0.8),
    yAxisID: 'yRain',
    order: 2,
  }
}

/** The caller owns the chart and calls `destroy()` on leaving the page. */
export const drawRecordChart = (canvas: HTMLCanvasElement, config: ChartConfiguration<'line' | 'bar'>): Chart =>
  new Chart(canvas, config) as unknown as Chart
