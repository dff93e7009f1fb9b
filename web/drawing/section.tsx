/** Puts a composed drawing into an SVG. An arrow that is pointed at or focused is named with its number, interval and why. */
import { useId, useState } from 'preact/hooks'
import { LevelSquare } from '../base/levelMark.tsx'
import type { WaterArrow } from './arrows.ts'
import type { Drawing } from './compose.ts'
import type { Filling, Shape } from './shapes.ts'
import { MARK } from './spots.ts'

export interface SectionGiven {
  drawing: Drawing
  /** Names the drawing for those who do not see it. */
  label: string
  /** "7.7 pints a day, 90 % interval 5.2 to 10.8" */
  amountWords: (arrow: WaterArrow) => string
  /** Said where there are no arrows. */
  withoutArrows: string
}

export function Section({ drawing, label, amountWords, withoutArrows }: SectionGiven) {
  const id = useId()
  const [focused, setFocused] = useState<string | null>(null)
  const { sheet, building, water, spots, spotWords, words, levels } = drawing
  const named = water.find(({ arrow }) => arrow.name === focused)?.arrow
  const drawn = (shapes: readonly Shape[]) =>
    shapes.map((shape, i) => <Drawn key={`${shape.part}${i}`} shape={shape} id={id} />)
  return (
    <>
      <svg
        class="section-drawing"
        viewBox={`0 0 ${sheet.width} ${sheet.height}`}
        style={{ maxWidth: `${sheet.width}px` }}
        role="group"
        aria-label={label}
      >
        <Defs id={id} top={sheet.gradeAtWall} bottom={sheet.soilBottom} />
        {drawn(building)}
        {water.map(({ arrow, shapes, words: label, reach }) => (
          // biome-ignore lint/a11y/noInteractiveElementToNoninteractiveRole: focusing an arrow only names it with its number, interval and why
          <g
            key={arrow.name}
            class="water-path"
            role="img"
            tabIndex={0}
            aria-label={`${arrow.words}: ${amountWords(arrow)}; ${arrow.why}`}
            data-path={arrow.name}
            opacity={focused !== null && focused !== arrow.name ? 0.4 : 1}
            onFocus={() => setFocused(arrow.name)}
            onBlur={() => setFocused(null)}
            onPointerEnter={() => setFocused(arrow.name)}
            onPointerLeave={() => setFocused(null)}
          >
            {reach.map((box) => (
              <rect key={`${box.x} ${box.y}`} {...box} fill="transparent" />
            ))}
            {drawn(shapes)}
            {drawn(label)}
          </g>
        ))}
        {spots.map(({ spot, letter, name, level, lines, place }) => (
          <g key={spot} data-spot={spot}>
            <title>
              {letter}, {name}: {[level ?? 'not judged', ...lines].join(', ')}
            </title>
            <rect
              x={place.x - MARK / 2 - 1}
              y={place.y - MARK / 2 - 1}
              width={MARK + 2}
              height={MARK + 2}
              fill="var(--sheet)"
            />
            {level ? (
              <LevelSquare level={level} x={place.x - MARK / 2} y={place.y - MARK / 2} />
            ) : (
              <circle cx={place.x} cy={place.y} r={6} fill="var(--sheet)" stroke="var(--ink2)" stroke-width={1.4} />
            )}
            <text
              x={place.x + MARK / 2 + 3}
              y={place.y + 5}
              class="drawn strong halo"
              fill="var(--ink)"
              font-size={sheet.sizePx + 1}
            >
              {letter}
            </text>
          </g>
        ))}
        {drawn(spotWords)}
        {drawn(words)}
        {levels.map(({ level, x, y }) => (
          <LevelSquare key={level} level={level} x={x} y={y} />
        ))}
      </svg>
      <p class="small drawing-named" aria-hidden="true">
        {named
          ? `${named.words}: ${amountWords(named)}; ${named.why}.`
          : water.length > 0
            ? 'Point at an arrow, or tap it, for its number, interval and why.'
            : withoutArrows}
      </p>
    </>
  )
}

const fillOf = (fill: Filling | undefined, id: string): string =>
  fill === undefined ? 'none' : fill === 'masonry' || fill === 'earth' ? `url(#${id}-${fill})` : `var(--${fill})`

function Drawn({ shape, id }: { shape: Shape; id: string }) {
  if (shape.kind === 'path') {
    const { d, stroke, width, fill, dash, opacity } = shape
    return (
      <path
        d={d}
        fill={fillOf(fill, id)}
        stroke={stroke ? `var(--${stroke})` : 'none'}
        stroke-width={width}
        stroke-dasharray={dash}
        stroke-linejoin="round"
        opacity={opacity}
      />
    )
  }
  const { x, y, text, after, ink, anchor, strong, sizePx } = shape
  return (
    <text
      x={x}
      y={y}
      fill={`var(--${ink})`}
      text-anchor={anchor}
      font-size={sizePx}
      class={strong ? 'drawn strong' : 'drawn'}
    >
      {text}
      {after && <tspan class="light">{after}</tspan>}
    </text>
  )
}

/** Ids carry the drawing's own name, for several stand on one page. */
function Defs({ id, top, bottom }: { id: string; top: number; bottom: number }) {
  return (
    <defs>
      <pattern id={`${id}-masonry`} width={7} height={7} patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
        <path d="M0 0v7" stroke="var(--ink2)" stroke-width={0.8} />
      </pattern>
      <linearGradient id={`${id}-earth`} gradientUnits="userSpaceOnUse" x1={0} x2={0} y1={top - 20} y2={bottom}>
        <stop offset="0" stop-color="var(--soilFill)" />
        <stop offset="0.45" stop-color="var(--soilFill)" />
        <stop offset="1" stop-color="var(--sheet)" />
      </linearGradient>
    </defs>
  )
}
