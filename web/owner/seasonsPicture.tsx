/** The seasons drawn: a strip of levels, hatched as everywhere, over the band of the wood. Words stay at their size. */
import { useEffect, useRef, useState } from 'preact/hooks'
import type { Level } from '../../server/http/contract/words.ts'
import { LevelMark } from '../base/levelMark.tsx'
import { localDateText } from '../base/time.ts'
import {
  alongRow,
  rowsOf,
  runsOf,
  type SeasonRow,
  type Seasons,
  seasonsInWords,
  weekInYear,
  woodRuns,
  woodScale,
} from './seasons.ts'

const [LEFT, RIGHT] = [40, 10]
const [MARK, STRIP, WORDS, WOOD, MONTHS] = [20, 16, 20, 112, 22]
const TITLE = 22
/** A letter of 12 px, roughly. */
const LETTER = 6.6

export function SeasonsPicture({ seasons }: { seasons: Seasons }) {
  const box = useRef<HTMLDivElement>(null)
  const width = useWidth(box)
  const rows = rowsOf(seasons.weeks)
  const scale = woodScale(seasons)
  const knowsWood = seasons.weeks.some(({ wood }) => wood !== null)
  const heights = rows.map(
    ({ year }) => (year === null ? 0 : TITLE) + MARK + STRIP + WORDS + (knowsWood ? WOOD : 0) + MONTHS,
  )
  const words = seasonsInWords(seasons)
  const levels = [...new Set(seasons.weeks.map(({ level }) => level))]
  return (
    <figure class="seasons">
      <div ref={box} class="sheet seasons-sheet">
        <svg
          width={width}
          height={heights.reduce((sum, height) => sum + height + 8, 0)}
          role="img"
          aria-label={`Through the seasons. ${words.join(' ')}`}
        >
          <Hatches />
          {rows.map((row, i) => (
            <g key={row.year ?? 'all'} transform={`translate(0 ${heights.slice(0, i).reduce((a, b) => a + b + 8, 0)})`}>
              <Row row={row} seasons={seasons} width={width} scale={knowsWood ? scale : null} />
            </g>
          ))}
        </svg>
      </div>
      <figcaption class="small">
        <p class="row seasons-key">
          {levels.map((level) => (
            <LevelMark key={level} level={level} />
          ))}
        </p>
        <p class="quiet">
          {`Each week shows the wettest place that was heard. `}
          {knowsWood &&
            `The band is the moisture of the wood where it is wettest, ${seasons.woodMeasured ? 'read by pins and estimated between' : 'estimated from the air'}: it lies somewhere in the band.`}
        </p>
        {seasons.works.length > 0 && (
          <ol class="seasons-works" aria-label="Works">
            {seasons.works.map(({ date, words: work }, n) => (
              <li key={`${date} ${work}`}>
                <Diamond n={n + 1} /> {localDateText(date)}: {work}
              </li>
            ))}
          </ol>
        )}
        <details>
          <summary>The picture in words</summary>
          {words.map((text) => (
            <p key={text}>{text}</p>
          ))}
        </details>
      </figcaption>
    </figure>
  )
}

function useWidth(box: { current: HTMLDivElement | null }): number {
  const [width, setWidth] = useState(320)
  useEffect(() => {
    const watcher = new ResizeObserver(([entry]) => setWidth(Math.max(240, Math.floor(entry!.contentRect.width))))
    watcher.observe(box.current!)
    return () => watcher.disconnect()
  }, [box])
  return width
}

/** The draftsman's hatches of the level squares, to fill a strip of any length. */
function Hatches() {
  return (
    <defs>
      <pattern id="season-drying" width="8" height="8" patternUnits="userSpaceOnUse">
        <rect width="8" height="8" fill="var(--water3)" />
        <path d="M-2-2 10 10" stroke="var(--water)" stroke-width="1.6" />
      </pattern>
      <pattern id="season-damp" width="5" height="5" patternUnits="userSpaceOnUse">
        <path d="M-1 6 6-1M-1 1 1-1M4 6 6 4" stroke="var(--water)" stroke-width="1.4" />
      </pattern>
      <pattern id="season-wet" width="7" height="7" patternUnits="userSpaceOnUse">
        <rect width="7" height="7" fill="var(--deep)" />
        <path d="M-1 8 8-1M-1-1 8 8" stroke="var(--sheet)" stroke-width="1.1" />
      </pattern>
    </defs>
  )
}

const FILL: Partial<Record<Level, string>> = {
  wet: 'url(#season-wet)',
  damp: 'url(#season-damp)',
  drying: 'url(#season-drying)',
}
const EDGE: Record<Level, string> = {
  wet: 'var(--deep)',
  damp: 'var(--water)',
  drying: 'var(--water)',
  silent: 'var(--ink2)',
  dry: 'var(--ink)',
}

interface RowDrawn {
  row: SeasonRow
  seasons: Seasons
  width: number
  /** null: the wood is not known. */
  scale: { from: number; to: number } | null
}

function Row({ row, seasons, width, scale }: RowDrawn) {
  const weekPx = (width - LEFT - RIGHT) / row.length
  const x = (week: number) => LEFT + week * weekPx
  const top = (row.year === null ? 0 : TITLE) + MARK
  const woodTop = top + STRIP + WORDS
  const bottom = woodTop + (scale === null ? 0 : WOOD)
  return (
    <>
      {row.year !== null && (
        <text x={LEFT} y={15} class="seasons-year">
          {row.year}
        </text>
      )}
      {runsOf(row).map(({ level, from, to }) => (
        <rect
          key={from}
          x={x(from) + 0.5}
          y={top}
          width={Math.max(1.5, (to - from) * weekPx - 1)}
          height={STRIP}
          fill={FILL[level] ?? 'none'}
          stroke={EDGE[level]}
          stroke-width={1.2}
          stroke-dasharray={level === 'silent' ? '3 2.2' : undefined}
        />
      ))}
      <RunWords row={row} x={x} y={top + STRIP + 14} end={width} />
      {scale !== null && <Wood row={row} seasons={seasons} x={x} top={woodTop} width={width} scale={scale} />}
      <Months row={row} x={x} y={bottom + 15} end={width} />
      {worksAlong(row, seasons.works, x).map(({ n, at, mark }) => (
        <g key={n} class="seasons-work">
          <path d={`M${mark} ${top - 10}L${at} ${top - 1}V${bottom}`} />
          <DiamondAt x={mark} y={top - 10} n={n} />
        </g>
      ))}
    </>
  )
}

/** Works of a row, each with its number; diamonds of works days apart stand beside each other. */
function worksAlong(row: SeasonRow, works: Seasons['works'], x: (week: number) => number) {
  let free = 0
  return works.flatMap(({ date }, i) => {
    const along = alongRow(row, date)
    if (along === null) return []
    const mark = Math.max(x(along), free)
    free = mark + 19
    return [{ n: i + 1, at: x(along), mark }]
  })
}

/** Each run named under its beginning, where there is room for the word. */
function RunWords({ row, x, y, end }: { row: SeasonRow; x: (week: number) => number; y: number; end: number }) {
  let free = 0
  return (
    <>
      {runsOf(row).map(({ level, from, to }) => {
        const wide = level.length * LETTER
        const at = Math.max(x(from), free)
        if (at - x(from) > 8 || x(to) - x(from) < wide * 0.8 || at + wide > end) return null
        free = at + wide + 6
        return (
          <text key={from} x={at} y={y}>
            {level}
          </text>
        )
      })}
    </>
  )
}

function Wood({
  row,
  seasons: { woodLines },
  x,
  top,
  width,
  scale,
}: Omit<RowDrawn, 'scale'> & { x: (week: number) => number; top: number; scale: { from: number; to: number } }) {
  const y = (pct: number) => top + WOOD - 4 - ((pct - scale.from) / (scale.to - scale.from)) * (WOOD - 10)
  const lines = [
    { pct: woodLines.wetPct, words: 'wet above' },
    { pct: woodLines.dampPct, words: 'damp above' },
  ]
  return (
    <>
      {woodRuns(row).map((run) => {
        const upper = run.map(({ at, high }) => `${x(at).toFixed(1)} ${y(high).toFixed(1)}`)
        const lower = run.map(({ at, low }) => `${x(at).toFixed(1)} ${y(low).toFixed(1)}`).reverse()
        const middle = run.map(({ at, mid }) => `${x(at).toFixed(1)} ${y(mid).toFixed(1)}`)
        return (
          <g key={run[0]!.at}>
            <path d={`M${[...upper, ...lower].join('L')}Z`} fill="var(--water3)" />
            <path d={`M${middle.join('L')}`} fill="none" stroke="var(--water)" stroke-width={2} />
          </g>
        )
      })}
      {lines.map(({ pct, words }) => (
        <g key={pct}>
          <path d={`M${LEFT} ${y(pct)}H${width - RIGHT}`} class="seasons-line" />
          <text x={LEFT - 5} y={y(pct) + 4} text-anchor="end">
            {pct} %
          </text>
          <text x={width - RIGHT} y={y(pct) - 4} text-anchor="end" class="seasons-halo">
            {words}
          </text>
        </g>
      ))}
      <path d={`M${LEFT} ${top + WOOD}H${width - RIGHT}`} stroke="var(--hair)" />
    </>
  )
}

const MONTH_NAMES = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec']

function Months({ row, x, y, end }: { row: SeasonRow; x: (week: number) => number; y: number; end: number }) {
  const marks = monthsOf(row)
  let free = 0
  return (
    <>
      {marks.map(({ at, name }) => {
        const wide = name.length * LETTER
        if (x(at) < free || x(at) + wide > end) return null
        free = x(at) + wide + 5
        return (
          <text key={at} x={x(at)} y={y} class="quiet">
            {name}
          </text>
        )
      })}
    </>
  )
}

function monthsOf(row: SeasonRow): { at: number; name: string }[] {
  if (row.year !== null) {
    return MONTH_NAMES.map((name, m) => ({
      at: weekInYear(`${row.year}-${String(m + 1).padStart(2, '0')}-01`),
      name,
    }))
  }
  return row.weeks.flatMap(({ date }, at) => {
    const month = Number(date.slice(5, 7)) - 1
    const before = row.weeks[at - 1]
    return before !== undefined && Number(before.date.slice(5, 7)) - 1 === month
      ? []
      : [{ at, name: MONTH_NAMES[month]! }]
  })
}

function DiamondAt({ x, y, n }: { x: number; y: number; n: number }) {
  return (
    <g transform={`translate(${x} ${y})`}>
      <path d="M0-9 9 0 0 9-9 0Z" fill="var(--rust)" />
      <text y={4.2} text-anchor="middle" class="seasons-number">
        {n}
      </text>
    </g>
  )
}

function Diamond({ n }: { n: number }) {
  return (
    <svg width={20} height={20} viewBox="-10 -10 20 20" role="img" aria-label={`${n}`}>
      <DiamondAt x={0} y={0} n={n} />
    </svg>
  )
}
