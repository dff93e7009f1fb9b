/** What every part of the record is drawn on and with. */
import type { ChartArea, Scale } from 'chart.js'
import type { Picture } from './picture.ts'
import type { ChartTheme } from './theme.ts'

export const LABEL_PX = 13

export interface InkOptions {
  picture: Picture
  theme: ChartTheme
  /** Below this width works are numbered and named in a key under the chart. */
  narrow: boolean
  /** The instant a person points at, by mouse or keys; null for none. */
  cursorAt: () => number | null
}

export interface Paper {
  ctx: CanvasRenderingContext2D
  area: ChartArea
  x: Scale
  y: Scale
  /** None where rain is not known. */
  rainY: Scale | undefined
  options: InkOptions
}
