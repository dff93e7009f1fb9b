/** The plan of a space: tap where a spot is. Positions are meters from the corner at the lower left. */
import { useState } from 'preact/hooks'
import type { HouseTree } from '../../server/http/contract/house.ts'

type Space = HouseTree['spaces'][number]

const WIDTH = 300
const EDGE = 14
const USUAL_ASPECT = 1.4
const USUAL_AREA_M2 = 120

/** A rectangle of the recorded area and perimeter, stretched to hold every spot; a usual house where they are not recorded. */
export function planSize({ floorAreaM2, perimeterM, spots }: Pick<Space, 'floorAreaM2' | 'perimeterM' | 'spots'>): {
  lengthM: number
  widthM: number
} {
  const area = floorAreaM2 ?? USUAL_AREA_M2
  const quarter = (perimeterM ?? 0) / 4
  const root = quarter ** 2 - area
  const usual = Math.sqrt(area / USUAL_ASPECT)
  const [long, short] =
    root >= 0 ? [quarter + Math.sqrt(root), quarter - Math.sqrt(root)] : [usual * USUAL_ASPECT, usual]
  return {
    lengthM: Math.max(long, ...spots.map(({ x }) => x ?? 0)),
    widthM: Math.max(short, ...spots.map(({ y }) => y ?? 0)),
  }
}

export function SpotPlan({
  space,
  onPlace,
}: {
  space: Space
  onPlace: (spot: number, place: { x: number; y: number }) => void
}) {
  const [chosen, setChosen] = useState(0)
  if (space.spots.length === 0) return null
  const { lengthM, widthM } = planSize(space)
  const scale = (WIDTH - 2 * EDGE) / lengthM
  const height = widthM * scale + 2 * EDGE
  const at = ({ x, y }: { x: number; y: number }) => ({ cx: EDGE + x * scale, cy: height - EDGE - y * scale })
  const place = (x: number, y: number) =>
    onPlace(chosen, {
      x: Math.round(Math.min(lengthM, Math.max(0, x)) * 10) / 10,
      y: Math.round(Math.min(widthM, Math.max(0, y)) * 10) / 10,
    })
  const spot = space.spots[Math.min(chosen, space.spots.length - 1)]!
  return (
    <div class="plan">
      <div class="row" role="group" aria-label="Spot to place on the plan">
        {space.spots.map((one, i) => (
          <button key={one.key} type="button" aria-pressed={chosen === i} onClick={() => setChosen(i)}>
            {i + 1}. {one.name}
          </button>
        ))}
      </div>
      <svg
        class="sheet"
        width={WIDTH}
        height={height}
        viewBox={`0 0 ${WIDTH} ${height}`}
        role="application"
        aria-roledescription="plan"
        tabIndex={0}
        aria-label={`Plan of ${space.name}: tap where ${spot.name} is, or move it with the arrow keys`}
        onClick={(event) => {
          const box = event.currentTarget.getBoundingClientRect()
          place((event.clientX - box.left - EDGE) / scale, (height - EDGE - (event.clientY - box.top)) / scale)
        }}
        onKeyDown={(event) => {
          const step = { ArrowLeft: [-0.5, 0], ArrowRight: [0.5, 0], ArrowUp: [0, 0.5], ArrowDown: [0, -0.5] }[
            event.key
          ]
          if (!step) return
          event.preventDefault()
          place((spot.x ?? lengthM / 2) + step[0]!, (spot.y ?? widthM / 2) + step[1]!)
        }}
      >
        <rect
          x={EDGE}
          y={EDGE}
          width={lengthM * scale}
          height={widthM * scale}
          fill="var(--soilFill)"
          stroke="var(--ink)"
          stroke-width={2}
        />
        {space.spots.map((one, i) => {
          if (one.x === undefined || one.y === undefined) return null
          const { cx, cy } = at({ x: one.x, y: one.y })
          return (
            <g key={one.key}>
              <circle cx={cx} cy={cy} r={11} fill={i === chosen ? 'var(--ink)' : 'var(--sheet)'} stroke="var(--ink)" />
              <text
                x={cx}
                y={cy + 4.5}
                text-anchor="middle"
                font-size={13}
                fill={i === chosen ? 'var(--paper)' : 'var(--ink)'}
              >
                {i + 1}
              </text>
            </g>
          )
        })}
      </svg>
    </div>
  )
}
