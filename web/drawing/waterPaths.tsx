/** Water as arrows: from where it is to the space. Focus or hover one, and it is named with its number, interval and why. */
import { plain, type Shown } from '../base/units.ts'
import type { WaterArrow } from './arrows.ts'
import { machinePlace } from './building.tsx'
import { type Box, textWidth } from './labels.ts'
import { gradeAt, inside, type Sheet } from './sheet.ts'

interface Drawn {
  arrow: WaterArrow
  /** Points of the path; the last two give the head its direction. */
  d: string
  end: { x: number; y: number; angle: number }
  label: { x: number; y: number; anchor: 'start' | 'middle' | 'end' }
}

/** How far its head reaches before the end of its line, and how wide it opens. */
const headOf = (width: number): { long: number; half: number } => ({
  long: Math.max(9, 0.62 * width),
  half: width / 2 + 3.6,
})

export function drawnArrows(arrows: readonly WaterArrow[], sheet: Sheet): Drawn[] {
  const { left, right, wall, ventTop, ventHeight, ground, footing, joistBottom, floorTop, form } = sheet
  const phone = form === 'phone'
  const { from, to } = inside(sheet)
  const middle = ventTop + ventHeight / 2
  const at = (share: number) => from + (to - from) * share
  return arrows.flatMap((arrow): Drawn[] => {
    const w = arrow.widthPx
    const { long } = headOf(w)
    switch (arrow.name) {
      case 'outdoorAir': {
        const [start, end] = [right + (phone ? 52 : 130), right - wall - (phone ? 8 : 26)]
        return [
          {
            arrow,
            d: `M${start} ${middle}H${end + long}`,
            end: { x: end, y: middle, angle: 180 },
            label: { x: start - (phone ? 0 : 4), y: middle - w / 2 - 8, anchor: 'end' },
          },
        ]
      }
      case 'ground': {
        const [x, start, end] = [at(0.44), footing + (phone ? 40 : 62), ground - (phone ? 14 : 22)]
        return [
          {
            arrow,
            d: `M${x} ${start}V${end + long}`,
            end: { x, y: end, angle: 270 },
            label: { x: x + w / 2 + 8, y: start - 6, anchor: 'start' },
          },
        ]
      }
      case 'rain': {
        const start = { x: left - (phone ? 20 : 40), y: gradeAt(sheet, left - 30) + (phone ? 30 : 46) }
        const end = { x: at(0.12), y: ground - (phone ? 10 : 16) }
        const low = footing + (phone ? 16 : 26) + w / 2
        return [
          {
            arrow,
            d: `M${start.x} ${start.y}C${start.x} ${low + 24} ${end.x} ${low + 24} ${end.x} ${end.y + long}`,
            end: { ...end, angle: 270 },
            label: { x: start.x - w / 2 - 8, y: low - 4, anchor: 'end' },
          },
        ]
      }
      case 'leak': {
        const [x, start, end] = [at(0.62), floorTop - 4, joistBottom + (phone ? 26 : 48)]
        return [
          {
            arrow,
            d: `M${x} ${start}V${end - long}`,
            end: { x, y: end, angle: 90 },
            label: { x: x + w / 2 + 8, y: joistBottom + 22, anchor: 'start' },
          },
        ]
      }
      case 'house': {
        const [x, start, end] = [at(0.3), floorTop - (phone ? 22 : 36), joistBottom + (phone ? 12 : 20)]
        return [
          {
            arrow,
            d: `M${x} ${start}V${end - long}`,
            end: { x, y: end, angle: 90 },
            label: { x: x + w / 2 + 8, y: start + 10, anchor: 'start' },
          },
        ]
      }
      case 'wood': {
        const [x, start, end] = [at(0.8), joistBottom - 4, joistBottom + (phone ? 22 : 40)]
        return [
          {
            arrow,
            d: `M${x} ${start}V${end - long}`,
            end: { x, y: end, angle: 90 },
            label: { x: x - w / 2 - 8, y: end - 6, anchor: 'end' },
          },
        ]
      }
      case 'machine': {
        const box = machinePlace(sheet)
        const [x, end] = [box.x + box.width / 2, right + (phone ? 44 : 96)]
        const y = footing + (phone ? 22 : 34)
        return [
          {
            arrow,
            d: `M${x} ${box.y + box.height}V${y}H${end - long}`,
            end: { x: end, y, angle: 0 },
            label: { x: end + 4, y: y + (phone ? 18 : w / 2 + 18), anchor: 'end' },
          },
        ]
      }
    }
  })
}

/** Where arrows and their numbers lie, so that labels of spots keep clear of them. */
export function arrowBoxes(drawn: readonly Drawn[]): Box[] {
  return [...drawn.map(labelBox), ...drawn.flatMap(lineBox)]
}

const LABEL_PX = 13

function labelBox({ arrow, label: { x, y, anchor } }: Drawn): Box {
  const width = textWidth(`${arrow.words} 00.0`, LABEL_PX)
  const left = anchor === 'end' ? x - width : anchor === 'middle' ? x - width / 2 : x
  return { x: left, y: y - LABEL_PX, width, height: LABEL_PX + 5 }
}

function lineBox({ d, arrow }: Drawn): Box[] {
  if (d.includes('C')) return [] // it runs below the floor, where no spot hangs
  const [x, y, last] = [...d.matchAll(/-?\d+(?:\.\d+)?/g)].map((match) => Number(match[0])) as [number, number, number]
  const half = arrow.widthPx / 2 + 6
  const across = /^M[^VH]*H/.test(d)
  return [
    across
      ? { x: Math.min(x, last) - 14, y: y - half, width: Math.abs(x - last) + 28, height: 2 * half }
      : { x: x - half, y: Math.min(y, last) - 14, width: 2 * half, height: Math.abs(y - last) + 28 },
  ]
}

export interface WaterPathsGiven {
  drawn: readonly Drawn[]
  shown: Shown
  form: Sheet['form']
  focused: string | null
  onFocus: (name: string | null) => void
}

export function WaterPaths({ drawn, shown, form, focused, onFocus }: WaterPathsGiven) {
  return (
    <g class="water-paths">
      {drawn.map(({ arrow, d, end, label }, i) => {
        const { widthPx: w, removed, unsure } = arrow
        const { long, half } = headOf(w)
        const head = `M0 0L${-long} ${half}V${-half}Z`
        const words = `${arrow.words}: ${plain(arrow.lPerDay.mid, shown)} ${shown.unit}, 90 % interval ${plain(arrow.lPerDay.low, shown)} to ${plain(arrow.lPerDay.high, shown)}; ${arrow.why}`
        const fill = removed ? 'var(--water3)' : 'var(--water)'
        return (
          // biome-ignore lint/a11y/useSemanticElements: an arrow in a drawing; its words are also in the table below
          <g
            key={arrow.name}
            class="water-path"
            role="img"
            // biome-ignore lint/a11y/noNoninteractiveTabindex: focusing it shows its number, interval and why
            tabIndex={0}
            aria-label={words}
            data-path={arrow.name}
            onFocus={() => onFocus(arrow.name)}
            onBlur={() => onFocus(null)}
            onPointerEnter={() => onFocus(arrow.name)}
            onPointerLeave={() => onFocus(null)}
          >
            <path d={d} fill="none" stroke="var(--sheet)" stroke-width={w + 4} stroke-linejoin="round" />
            {removed && <path d={d} fill="none" stroke="var(--water)" stroke-width={w + 2} stroke-linejoin="round" />}
            <path
              d={d}
              fill="none"
              stroke={fill}
              stroke-width={w}
              stroke-linejoin="round"
              stroke-dasharray={unsure && !removed ? '7 4.5' : undefined}
              opacity={focused !== null && focused !== arrow.name ? 0.45 : 1}
            />
            <path
              d={head}
              transform={`translate(${end.x} ${end.y}) rotate(${end.angle})`}
              fill={unsure && !removed ? 'var(--sheet)' : fill}
              stroke={removed || unsure ? 'var(--water)' : 'var(--sheet)'}
              stroke-width={removed || unsure ? 1.4 : 1}
            />
            <text x={label.x} y={label.y} text-anchor={label.anchor} class="drawn-label water">
              {form === 'phone' ? (
                <tspan class="strong">{i + 1}</tspan>
              ) : (
                <>
                  {arrow.words} <tspan class="strong">{plain(arrow.lPerDay.mid, shown)}</tspan>
                </>
              )}
            </text>
          </g>
        )
      })}
    </g>
  )
}
