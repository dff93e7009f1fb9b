/** The draftsman's square of a level, in one place; always with its word, or beside a letter that the list explains. */
import type { Level } from '../../server/http/contract/words.ts'

const SIZE = 16

/** Shapes alone, to be put into a drawing at x, y (its upper left corner). */
export function LevelSquare({
  level,
  x = 0,
  y = 0,
  size = SIZE,
}: {
  level: Level
  x?: number
  y?: number
  size?: number
}) {
  const scale = size / SIZE
  return (
    <g transform={`translate(${x} ${y}) scale(${scale})`} fill="none" aria-hidden="true">
      {level === 'wet' && <rect x={1} y={1} width={14} height={14} fill="var(--deep)" />}
      {level === 'wet' && (
        <path d="M1 8 8 1M1 15 15 1M8 15l7-7M1 8l7 7M1 1l14 14M8 1l7 7" stroke="var(--sheet)" stroke-width={1.1} />
      )}
      {level === 'damp' && (
        <path d="M1 6 6 1M1 11 11 1M2 15 15 2M6 15l9-9M11 15l4-4" stroke="var(--water)" stroke-width={1.5} />
      )}
      {level === 'drying' && <path d="M1 1v14h14z" fill="var(--water3)" />}
      {level === 'drying' && <path d="m1 1 14 14" stroke="var(--water)" stroke-width={1.8} />}
      <rect
        x={1}
        y={1}
        width={14}
        height={14}
        stroke={
          level === 'silent'
            ? 'var(--ink2)'
            : level === 'wet'
              ? 'var(--deep)'
              : level === 'damp' || level === 'drying'
                ? 'var(--water)'
                : 'var(--ink)'
        }
        stroke-width={1.4}
        stroke-dasharray={level === 'silent' ? '3 2.2' : undefined}
      />
    </g>
  )
}

export function LevelMark({ level, word = true }: { level: Level; word?: boolean }) {
  return (
    <span class="level">
      <svg width={SIZE} height={SIZE} viewBox={`0 0 ${SIZE} ${SIZE}`} aria-hidden="true">
        <LevelSquare level={level} />
      </svg>
      {word && <span>{level}</span>}
    </span>
  )
}
