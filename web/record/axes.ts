/** What every chart of a house shares: how it behaves, its time axis on the house's own clock, its value axis with the unit. */
import type { Scale } from 'chart.js'
import type { Span } from './span.ts'
import type { ChartTheme } from './theme.ts'
import { timeTicks } from './ticks.ts'

export const AXIS_PX = 12
const TICK_ROOM_PX = 84

/** Values are drawn by lines.ts; the pointer is followed by pointer.ts. */
export const STILL = {
  animation: false,
  responsive: true,
  maintainAspectRatio: false,
  events: [] as never[],
} as const

const fontOf = (theme: ChartTheme) => ({ family: theme.font, size: AXIS_PX })

/** @param width of the chart [px]: as many ticks as there is room for */
export const timeAxis = (span: Span, timeZone: string, width: number, theme: ChartTheme) => ({
  type: 'linear' as const,
  min: span.from,
  max: span.to,
  grid: { drawOnChartArea: false, offset: false, color: theme.hair },
  border: { color: theme.ink },
  afterBuildTicks: (axis: Scale) => {
    const most = Math.max(3, Math.floor(width / TICK_ROOM_PX))
    axis.ticks = timeTicks(span, timeZone, most).map(({ at, label }) => ({ value: at, label }))
  },
  ticks: {
    color: theme.ink2,
    font: fontOf(theme),
    maxRotation: 0,
    autoSkip: false,
    callback: (_: unknown, i: number, ticks: { label?: unknown }[]) => ticks[i]?.label as string,
  },
})

/** @param range null when nothing is drawn */
export const valueAxis = (
  range: { min: number; max: number } | null,
  { unit, step }: { unit: string; step: number },
  theme: ChartTheme,
) => ({
  type: 'linear' as const,
  min: range?.min ?? 0,
  max: range?.max ?? step,
  grid: { color: theme.line },
  border: { display: false },
  title: { display: true, text: unit, color: theme.ink2, font: fontOf(theme) },
  ticks: { color: theme.ink2, font: fontOf(theme), maxTicksLimit: 7, autoSkip: false, includeBounds: false },
})
