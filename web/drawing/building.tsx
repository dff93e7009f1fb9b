/** The cut through the house: roof to soil, from its own facts. */
import type { Part, SectionFacts } from './facts.ts'
import { gradeAt, inside, type Sheet } from './sheet.ts'

const CUT = 1.9
const LINE = 1.1
const color = (part: Part | null): string => (part?.fresh ? 'var(--rust)' : 'var(--ink)')

interface Given {
  id: string
  sheet: Sheet
  facts: SectionFacts
}

export function Building({ id, sheet, facts }: Given) {
  return (
    <g fill="none" stroke="var(--ink)" stroke-linejoin="round">
      <Soil id={id} sheet={sheet} facts={facts} />
      <Roof sheet={sheet} />
      <Floor sheet={sheet} facts={facts} />
      <Foundation id={id} sheet={sheet} facts={facts} />
      <Ground sheet={sheet} facts={facts} />
      <Downspouts sheet={sheet} facts={facts} />
      <Drains sheet={sheet} facts={facts} />
      <Machine sheet={sheet} facts={facts} />
    </g>
  )
}

function Soil({ id, sheet }: Given) {
  const { width, height, left, right, ground, gradeAtWall, gradeAtEdge } = sheet
  const shape = `M0 ${gradeAtEdge}L${left} ${gradeAtWall}V${ground}H${right}V${gradeAtWall}L${width} ${gradeAtEdge}V${height}H0Z`
  return (
    <g stroke="none">
      <path d={shape} fill={`url(#${id}-fade)`} />
      <path d={shape} fill={`url(#${id}-earth)`} />
      <path d={shape} fill={`url(#${id}-deep)`} />
      <path
        d={`M0 ${gradeAtEdge}L${left} ${gradeAtWall}M${right} ${gradeAtWall}L${width} ${gradeAtEdge}`}
        stroke="var(--ink)"
        stroke-width={CUT}
      />
    </g>
  )
}

function Roof({ sheet: { left, right, roofTop, eaves, floorTop, form } }: Pick<Given, 'sheet'>) {
  const over = form === 'phone' ? 16 : 36
  const middle = (left + right) / 2
  const [a, b] = [left - over, right + over]
  return (
    <g>
      <path d={`M${a} ${eaves}L${middle} ${roofTop}L${b} ${eaves}`} stroke-width={CUT} />
      <path
        d={`M${a + 6} ${eaves + 5}L${middle} ${roofTop + 7}L${b - 6} ${eaves + 5}M${a} ${eaves}l6 5M${b} ${eaves}l-6 5`}
        stroke-width={LINE}
      />
      <path d={`M${left + 4} ${eaves - 6}V${floorTop}M${right - 4} ${eaves - 6}V${floorTop}`} stroke-width={LINE} />
      <path d={`M${left + 4} ${eaves}H${right - 4}`} stroke-width={0.8} />
      <path d={`M${a - 5} ${eaves - 1}a5 5 0 0 0 10 0M${b - 5} ${eaves - 1}a5 5 0 0 0 10 0`} stroke-width={LINE} />
    </g>
  )
}

function Floor({ sheet, facts }: Omit<Given, 'id'>) {
  const { left, right, floorTop, joistBottom, form } = sheet
  const gap = form === 'phone' ? 29 : 40
  const size = joistBottom - floorTop - 6
  const wide = form === 'phone' ? 6 : 9
  const { from, to } = inside(sheet)
  const joists: number[] = []
  for (let x = from + gap / 2; x < to - wide; x += gap) joists.push(x)
  return (
    <g>
      <path d={`M${left} ${floorTop}H${right}V${floorTop + 6}H${left}Z`} stroke-width={LINE} fill="var(--sheet)" />
      {joists.map((x) => (
        <path
          key={x}
          d={`M${x} ${floorTop + 6}h${wide}v${size}h${-wide}zl${wide} ${size}m0 ${-size}l${-wide} ${size}`}
          stroke-width={0.8}
          fill="var(--sheet)"
        />
      ))}
      {facts.insulated &&
        joists.map((x) => {
          const [start, room] = [x + wide + 2, gap - wide - 4]
          const [top, low] = [floorTop + 9, floorTop + 6 + size * 0.75]
          const wave = (up: number, down: number) =>
            `M${start} ${up}${[0.25, 0.5, 0.75, 1].map((share, i) => `Q${start + room * (share - 0.125)} ${i % 2 === 0 ? down : up} ${start + room * share} ${i % 2 === 0 ? down : up}`).join('')}`
          return <path key={x} d={`${wave(top, low)}${wave(low, top)}`} stroke-width={0.7} stroke="var(--ink2)" />
        })}
    </g>
  )
}

function Foundation({ id, sheet, facts }: Given) {
  const { left, right, wall, floorTop, ground, footing, ventTop, ventHeight } = sheet
  const fill =
    facts.wall === 'block' ? `url(#${id}-masonry)` : facts.wall === 'concrete' ? `url(#${id}-concrete)` : 'var(--sheet)'
  const piers = facts.wall === 'piers'
  const one = (x: number) => (
    <g key={x}>
      <rect x={x} y={floorTop + 6} width={wall} height={ground - floorTop + 8} fill="var(--sheet)" stroke="none" />
      <rect x={x} y={floorTop + 6} width={wall} height={ground - floorTop + 8} fill={fill} stroke-width={CUT} />
      <rect
        x={x - 9}
        y={ground + 14}
        width={wall + 18}
        height={footing - ground - 14}
        fill="var(--sheet)"
        stroke="none"
      />
      <rect
        x={x - 9}
        y={ground + 14}
        width={wall + 18}
        height={footing - ground - 14}
        fill={`url(#${id}-concrete)`}
        stroke-width={CUT}
      />
      {!piers && facts.vents !== 'not recorded' && (
        <Vent x={x} width={wall} top={ventTop} height={ventHeight} facts={facts} />
      )}
    </g>
  )
  return <g>{[left, right - wall].map(one)}</g>
}

/** Open: a hole with louvers. Sealed: a lid with a cross. */
function Vent({
  x,
  width,
  top,
  height,
  facts,
}: {
  x: number
  width: number
  top: number
  height: number
  facts: SectionFacts
}) {
  const sealed = facts.vents === 'sealed'
  const stroke = color(facts.ventLids)
  return (
    <g stroke={sealed ? stroke : 'var(--ink)'}>
      <rect x={x - 1} y={top} width={width + 2} height={height} fill="var(--sheet)" stroke-width={sealed ? 2 : LINE} />
      {sealed ? (
        <path d={`M${x} ${top}l${width} ${height}m0 ${-height}l${-width} ${height}`} stroke-width={1.4} />
      ) : (
        <path
          d={[0.3, 0.55, 0.8].map((share) => `M${x + 2} ${top + height * share - 3}l${width - 4} 4`).join('')}
          stroke-width={0.9}
        />
      )}
      {facts.ventFan && (
        <circle
          cx={x + width / 2}
          cy={top + height / 2}
          r={height * 0.36}
          stroke={color(facts.ventFan)}
          stroke-width={1.6}
        />
      )}
    </g>
  )
}

/** Cover over its share of the ground; what is bare stays bare. */
function Ground({ sheet, facts }: Omit<Given, 'id'>) {
  const { ground } = sheet
  const { from, to } = inside(sheet)
  const end = from + (to - from) * (facts.coverShare ?? 0)
  return (
    <g>
      <path
        d={`M${from} ${ground}H${to}`}
        stroke-width={facts.coverShare === null ? LINE : 1.4}
        stroke-dasharray={facts.coverShare === null ? '6 4' : undefined}
      />
      {end > from + 2 && (
        <path d={`M${from} ${ground - 8}v5H${end}`} stroke={color(facts.newCover)} stroke-width={2.6} />
      )}
    </g>
  )
}

function Downspouts({ sheet, facts }: Omit<Given, 'id'>) {
  const { left, right, eaves, form } = sheet
  const over = form === 'phone' ? 16 : 36
  const away = form === 'phone' ? 6 : 12
  const ends = [
    { top: left - over, x: left - away },
    { top: right + over, x: right + away },
  ]
  return (
    <g stroke-width={LINE}>
      {ends.map(({ top, x }) => {
        const foot = gradeAt(sheet, x) - 3
        const elbow = x < left ? -1 : 1
        return (
          <g key={x}>
            <path d={`M${top} ${eaves + 4}L${x} ${eaves + 22}V${foot}`} />
            {!facts.downspoutDrain && facts.downspouts === 'end at the wall' && (
              <path d={`M${x} ${foot}q0 3 ${elbow * 7} 3`} />
            )}
            {facts.downspouts === 'led away' && !facts.downspoutDrain && (
              <path d={`M${x} ${foot}h${elbow * (form === 'phone' ? 26 : 60)}`} />
            )}
            {facts.downspouts === 'not recorded' && <path d={`M${x} ${foot}v3`} stroke-dasharray="2 3" />}
          </g>
        )
      })}
    </g>
  )
}

function Drains({ sheet, facts }: Omit<Given, 'id'>) {
  const { left, right, footing, form, wall } = sheet
  const phone = form === 'phone'
  const start = { x: left - (phone ? 6 : 12), y: gradeAt(sheet, left - 12) }
  const outlet = phone ? 6 : 30
  const depth = phone ? 14 : 26
  const pipe = facts.downspoutDrain ?? facts.yardDrain
  const basin = { x: (left + outlet) / 2, y: gradeAt(sheet, (left + outlet) / 2) }
  return (
    <g>
      {facts.downspoutDrain && (
        <path d={`M${start.x} ${start.y}v${depth}`} stroke={color(facts.downspoutDrain)} stroke-width={2.4} />
      )}
      {pipe && (
        <g stroke={color(pipe)}>
          <path
            d={`M${start.x} ${start.y + depth - 2}L${outlet} ${start.y + depth + (phone ? 8 : 14)}`}
            stroke-width={2}
          />
          <path
            d={`M${start.x} ${start.y + depth + 4}L${outlet} ${start.y + depth + (phone ? 14 : 20)}`}
            stroke-width={2}
          />
          <path d={`M${outlet} ${start.y + depth + (phone ? 6 : 10)}v${phone ? 12 : 16}`} stroke-width={2.6} />
        </g>
      )}
      {facts.yardDrain && (
        <g stroke={color(facts.yardDrain)}>
          <rect
            x={basin.x - (phone ? 6 : 10)}
            y={basin.y}
            width={phone ? 12 : 20}
            height={depth + (phone ? 12 : 20)}
            stroke-width={2}
            fill="var(--sheet)"
          />
          <path
            d={`M${basin.x - (phone ? 6 : 10)} ${basin.y + 3}h${phone ? 12 : 20}`}
            stroke-width={1}
            stroke-dasharray="3 2"
          />
        </g>
      )}
      {facts.footingDrain &&
        [left - 24, right - wall + wall + 24].map((x) => (
          <g key={x} stroke={color(facts.footingDrain)}>
            <circle cx={x} cy={footing - 8} r={phone ? 5 : 8} stroke-width={2} fill="var(--sheet)" />
            {[-12, -4, 4, 12].map((dx) => (
              <circle key={dx} cx={x + dx} cy={footing - 22} r={3} stroke="var(--ink2)" stroke-width={0.8} />
            ))}
          </g>
        ))}
    </g>
  )
}

export const machinePlace = (sheet: Sheet): { x: number; y: number; width: number; height: number } => {
  const { to } = inside(sheet)
  const [width, height] = sheet.form === 'phone' ? [26, 20] : [48, 34]
  return { x: to - width - (sheet.form === 'phone' ? 8 : 40), y: sheet.ground - height - 6, width, height }
}

function Machine({ sheet, facts }: Omit<Given, 'id'>) {
  if (!facts.dehumidifier) return null
  const { x, y, width, height } = machinePlace(sheet)
  return (
    <g stroke={color(facts.dehumidifier)} fill="var(--sheet)">
      <rect x={x} y={y} width={width} height={height} stroke-width={2} />
      <circle cx={x + width * 0.36} cy={y + height / 2} r={height * 0.3} stroke-width={LINE} />
      <path d={`M${x + width * 0.72} ${y + 5}v${height - 10}m5 ${10 - height}v${height - 10}`} stroke-width={LINE} />
    </g>
  )
}
