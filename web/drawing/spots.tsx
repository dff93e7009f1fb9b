/** Spots of the space at their places: letter, level, and values where there is room. */
import type { Level } from '../../server/http/contract/words.ts'
import { LevelSquare } from '../base/levelMark.tsx'
import { type Box, placeLabel, spread, textWidth } from './labels.ts'
import type { Sheet } from './sheet.ts'

export interface DrawnSpot {
  spot: string
  letter: string
  name: string
  level: Level | null
  /** Lines beside the mark, the first in bold; empty when nothing is known on that day. */
  lines: string[]
  place: { x: number; y: number }
}

const MARK = 16
const LETTER_WIDTH = 12
const LINE_PX = 15
const LEAST_APART = 34
const LABEL_PX = 13

export interface PlacedSpot extends DrawnSpot {
  label: Box | null
}

/** Marks first, for they must all be there; then the labels that fit. On a phone the values stand in the list. */
export function placedSpots(spots: readonly DrawnSpot[], taken: readonly Box[], sheet: Sheet): PlacedSpot[] {
  const places = spread(
    spots.map(({ place }) => place),
    LEAST_APART,
  )
  const boxes: Box[] = [
    ...taken,
    ...places.map(({ x, y }) => ({
      x: x - MARK / 2 - 2,
      y: y - MARK / 2 - 2,
      width: MARK + LETTER_WIDTH + 6,
      height: MARK + 4,
    })),
  ]
  const { left, right, wall, joistBottom, ground } = sheet
  const room = {
    x: left + wall + 2,
    y: joistBottom + 2,
    width: right - left - 2 * wall - 4,
    height: ground - joistBottom - 4,
  }
  return spots.map((spot, i) => {
    const place = places[i]!
    if (sheet.form === 'phone' || spot.lines.length === 0) return { ...spot, place, label: null }
    const width = Math.max(...spot.lines.map((line) => textWidth(line, LABEL_PX)))
    const wanted = { x: place.x + LETTER_WIDTH / 2 + 3, y: place.y, width, height: spot.lines.length * LINE_PX }
    const label = placeLabel(wanted, MARK / 2 + LETTER_WIDTH / 2 + 5, boxes, room)
    if (label) boxes.push(label)
    return { ...spot, place, label }
  })
}

export function Spots({ spots }: { spots: readonly PlacedSpot[] }) {
  return (
    <g class="spots">
      {spots.map(({ spot, letter, name, level, lines, place, label }) => (
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
            <circle cx={place.x} cy={place.y} r={5} fill="var(--sheet)" stroke="var(--ink)" stroke-width={1.4} />
          )}
          <text x={place.x + MARK / 2 + 4} y={place.y + 5} class="drawn-label strong halo">
            {letter}
          </text>
          {label &&
            lines.map((line, i) => (
              <text
                key={line}
                x={label.x}
                y={label.y + 11 + i * LINE_PX}
                class={`drawn-label halo ${i === 0 ? 'strong' : 'second'}`}
              >
                {line}
              </text>
            ))}
        </g>
      ))}
    </g>
  )
}
