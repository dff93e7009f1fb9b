/** The section drawing itself: building, water, spots, key and title block on one sheet. */
import { useId, useState } from 'preact/hooks'
import { plain, type Shown } from '../base/units.ts'
import { arrowWidth, type WaterArrow } from './arrows.ts'
import { Building } from './building.tsx'
import type { SectionFacts } from './facts.ts'
import { Hatches } from './hatch.tsx'
import type { Box } from './labels.ts'
import { gradeAt, type Sheet } from './sheet.ts'
import { type DrawnSpot, placedSpots, Spots } from './spots.tsx'
import { arrowBoxes, drawnArrows, WaterPaths } from './waterPaths.tsx'

export interface SectionGiven {
  sheet: Sheet
  facts: SectionFacts
  arrows: readonly WaterArrow[]
  pxPerLiter: number
  spots: readonly DrawnSpot[]
  outdoor: { lines: string[] } | null
  living: { lines: string[] } | null
  shown: Shown
  title: string[]
  /** Names the drawing for those who do not see it. */
  label: string
}

const KEY_LITERS = [0.5, 1, 5, 10]

export function Section({
  sheet,
  facts,
  arrows,
  pxPerLiter,
  spots,
  outdoor,
  living,
  shown,
  title,
  label,
}: SectionGiven) {
  const id = useId()
  const [focused, setFocused] = useState<string | null>(null)
  const drawn = drawnArrows(arrows, sheet)
  const named = arrows.find(({ name }) => name === focused)
  const placed = placedSpots(spots, [...arrowBoxes(drawn), ...machineBox(sheet, facts)], sheet)
  const phone = sheet.form === 'phone'
  return (
    <>
      {/* biome-ignore lint/a11y/noSvgWithoutTitle: named by aria-label, and told again as tables below */}
      <svg class="section-drawing" viewBox={`0 0 ${sheet.width} ${sheet.height}`} role="group" aria-label={label}>
        <Hatches id={id} />
        <Building id={id} sheet={sheet} facts={facts} />
        {living && !phone && (
          <Place
            x={(sheet.left + sheet.right) / 2 - 60}
            y={sheet.eaves + 34}
            name="living space"
            lines={living.lines}
          />
        )}
        {outdoor && !phone && (
          <Place
            x={sheet.left - (sheet.form === 'wide' ? 210 : 170)}
            y={gradeAt(sheet, 100) - 86}
            name="outdoors"
            lines={outdoor.lines}
          />
        )}
        <WaterPaths drawn={drawn} shown={shown} form={sheet.form} focused={focused} onFocus={setFocused} />
        <Spots spots={placed} />
        {!phone && <Key sheet={sheet} arrows={arrows} pxPerLiter={pxPerLiter} shown={shown} />}
        {!phone && <TitleBlock sheet={sheet} title={title} />}
      </svg>
      <p class="small drawing-named" aria-hidden="true">
        {named
          ? `${named.words}: ${plain(named.lPerDay.mid, shown)} ${shown.unit} (${plain(named.lPerDay.low, shown)} to ${plain(named.lPerDay.high, shown)}); ${named.why}.`
          : arrows.length > 0
            ? 'Point at an arrow for its number, interval and why.'
            : ' '}
      </p>
    </>
  )
}

function machineBox(sheet: Sheet, facts: SectionFacts): Box[] {
  if (!facts.dehumidifier) return []
  const size = sheet.form === 'phone' ? 30 : 54
  return [{ x: sheet.right - sheet.wall - size - 44, y: sheet.ground - size, width: size + 8, height: size }]
}

function Place({ x, y, name, lines }: { x: number; y: number; name: string; lines: string[] }) {
  return (
    <g>
      <circle cx={x} cy={y} r={5} fill="var(--sheet)" stroke="var(--ink)" stroke-width={1.4} />
      <text x={x + 12} y={y + 5} class="drawn-label strong">
        {name}
      </text>
      {lines.map((line, i) => (
        <text key={line} x={x + 12} y={y + 21 + i * 15} class="drawn-label second">
          {line}
        </text>
      ))}
    </g>
  )
}

/** Widths of whole amounts, in the person's unit. */
function Key({ sheet, arrows, pxPerLiter, shown }: Pick<SectionGiven, 'sheet' | 'arrows' | 'pxPerLiter' | 'shown'>) {
  if (arrows.length === 0) return null
  const most = Math.max(...arrows.map(({ lPerDay }) => lPerDay.mid))
  const perUnit = 1 / shown.of(1)
  const amounts = KEY_LITERS.map((n) => ({ n, width: arrowWidth(n * perUnit, pxPerLiter) })).filter(
    ({ n }, i) => i < 2 || n * perUnit <= most * 1.5,
  )
  const y = sheet.height - 22
  return (
    <g>
      <text x={16} y={y - 22} class="drawn-label second">
        Width of an arrow, {shown.unit}; dashes: the readings fixed less than half
      </text>
      {amounts.map(({ n, width }, i) => (
        <g key={n} transform={`translate(${16 + i * 92} ${y})`}>
          <path d="M0 0h34" stroke="var(--water)" stroke-width={width} />
          <path
            d={`M${34 + Math.max(9, 0.62 * width)} 0L34 ${width / 2 + 3.6}V${-(width / 2 + 3.6)}Z`}
            fill="var(--water)"
          />
          <text x={52} y={5} class="drawn-label second">
            {n}
          </text>
        </g>
      ))}
    </g>
  )
}

function TitleBlock({ sheet, title }: { sheet: Sheet; title: string[] }) {
  const [width, line] = [sheet.form === 'wide' ? 300 : 260, 17]
  const [x, y] = [sheet.width - width - 10, sheet.height - title.length * line - 18]
  return (
    <g>
      <rect
        x={x}
        y={y}
        width={width}
        height={title.length * line + 10}
        fill="var(--sheet)"
        stroke="var(--ink)"
        stroke-width={1.1}
      />
      {title.map((text, i) => (
        <text key={text} x={x + 10} y={y + 18 + i * line} class={`drawn-label ${i === 0 ? 'strong' : 'second'}`}>
          {text}
        </text>
      ))}
    </g>
  )
}
