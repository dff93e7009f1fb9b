/** The canvas of the record: draws what it is handed, and tells what a pointer does on it. */
import { useEffect, useLayoutEffect, useRef } from 'preact/hooks'
import type { HousePage } from '../../server/http/contract/page.ts'
import type { RecordAnswer } from '../../server/http/contract/record.ts'
import type { Shown } from '../base/units.ts'
import { drawRecordChart, type RecordPlot, recordChartConfig } from './chart.ts'
import { type Departure, pictureOf } from './picture.ts'
import { followPointer } from './pointer.ts'
import type { Span } from './span.ts'
import { chartTheme } from './theme.ts'

export interface RecordChartGiven {
  record: RecordAnswer
  page: HousePage
  /** In order of time. */
  departures: readonly Departure[]
  span: Span
  /** The whole record, which no span leaves. */
  whole: Span
  main: string | null
  hidden: ReadonlySet<string>
  shown: Shown
  rain: Shown
  cursor: number | null
  onSpan: (span: Span) => void
  onCursor: (at: number | null) => void
  onDrawn: () => void
}

export function RecordChart(given: RecordChartGiven) {
  const canvas = useRef<HTMLCanvasElement>(null)
  const choosing = useRef<HTMLDivElement>(null)
  const chart = useRef<RecordPlot | null>(null)
  // What the listeners of the canvas look at; they are put on once.
  const latest = useRef(given)
  latest.current = given

  const { record, page, departures, span, main, hidden, shown, rain } = given
  // Before the page is painted: the frame that has the words of the chart has the chart too.
  useLayoutEffect(() => {
    const element = canvas.current!
    const draw = () => {
      chart.current?.destroy()
      const width = element.parentElement!.clientWidth
      const picture = pictureOf(record, page, { main, hidden, departures, convert: shown.of, convertRain: rain.of })
      chart.current = drawRecordChart(
        element,
        recordChartConfig({
          picture,
          span,
          timeZone: page.house.timeZone,
          theme: chartTheme(),
          unit: shown.unit,
          rainUnit: rain.unit,
          step: shown.step,
          width,
          cursorAt: () => latest.current.cursor,
        }),
      )
    }
    draw()
    latest.current.onDrawn()
    const scheme = matchMedia('(prefers-color-scheme: dark)')
    scheme.addEventListener('change', draw)
    addEventListener('beforeprint', draw)
    addEventListener('afterprint', draw)
    if (document.fonts.status === 'loading') void document.fonts.ready.then(() => chart.current?.draw())
    return () => {
      scheme.removeEventListener('change', draw)
      removeEventListener('beforeprint', draw)
      removeEventListener('afterprint', draw)
      chart.current?.destroy()
      chart.current = null
    }
  }, [record, page, departures, span, main, hidden, shown, rain])

  // Only the cursor moved: what is drawn stays.
  const cursorDrawn = useRef(given.cursor)
  useEffect(() => {
    if (cursorDrawn.current !== given.cursor) chart.current?.draw()
    cursorDrawn.current = given.cursor
  }, [given.cursor])

  useEffect(() => {
    const element = canvas.current!
    const ends = () => {
      const { left } = element.getBoundingClientRect()
      const area = chart.current?.chartArea
      return { left: left + (area?.left ?? 0), right: left + (area?.right ?? element.clientWidth) }
    }
    return followPointer(
      {
        element,
        span: () => latest.current.span,
        record: () => latest.current.whole,
        ends,
        instantAt: (clientX) => {
          const { left, right } = ends()
          const share = Math.min(1, Math.max(0, (clientX - left) / Math.max(1, right - left)))
          return latest.current.span.from + share * (latest.current.span.to - latest.current.span.from)
        },
      },
      {
        onSpan: (next) => latest.current.onSpan(next),
        onCursor: (at) => latest.current.onCursor(at),
        onChoosing: (chosen) => showChoice(choosing.current!, chosen, latest.current.span, element, chart.current),
      },
    )
  }, [])

  return (
    <div class="record-canvas">
      <canvas ref={canvas} aria-hidden="true" />
      <div ref={choosing} class="record-choosing" hidden />
    </div>
  )
}

/** The span that a mouse is dragging over, as a strip on the chart. */
function showChoice(
  strip: HTMLDivElement,
  chosen: Span | null,
  span: Span,
  canvas: HTMLCanvasElement,
  chart: RecordPlot | null,
): void {
  const area = chart?.chartArea
  strip.hidden = chosen === null || area === undefined
  if (chosen === null || area === undefined) return
  const place = (at: number) => area.left + ((at - span.from) / (span.to - span.from)) * (area.right - area.left)
  strip.style.left = `${canvas.offsetLeft + place(chosen.from)}px`
  strip.style.width = `${place(chosen.to) - place(chosen.from)}px`
  strip.style.top = `${area.top}px`
  strip.style.height = `${area.bottom - area.top}px`
}
