/** What stands beside the chart of the record: which spots are drawn, the key of works, the same in figures. */
import { useMemo, useRef, useState } from 'preact/hooks'
import type { HousePage } from '../../server/http/contract/page.ts'
import type { RecordAnswer } from '../../server/http/contract/record.ts'
import { Scrolls } from '../base/parts.tsx'
import { momentText, shortDateText } from '../base/time.ts'
import { plain } from '../base/units.ts'
import type { Departure } from './picture.ts'
import { recordRows } from './table.ts'

const ROWS = 24

export interface ShownValue {
  unit: string
  digits: number
  of: (si: number) => number
}

export function LinesChoice({
  answer,
  main,
  hidden,
  onMain,
  onHidden,
}: {
  answer: RecordAnswer
  main: string | null
  hidden: ReadonlySet<string>
  onMain: (spot: string) => void
  onHidden: (hidden: ReadonlySet<string>) => void
}) {
  const toggle = (spot: string) => {
    const next = new Set(hidden)
    if (!next.delete(spot)) next.add(spot)
    onHidden(next)
  }
  return (
    <details class="no-print small">
      <summary>Which spots are drawn</summary>
      <ul class="record-lines">
        {answer.lines.map(({ spot, letter, name, role }) => (
          <li key={spot} class="row">
            <label class="row">
              <input type="checkbox" checked={!hidden.has(spot)} onChange={() => toggle(spot)} />
              <span>
                {role === 'inside' ? `${letter}, ` : ''}
                {name}
              </span>
            </label>
            {role === 'inside' && (
              <button type="button" class="plain" aria-pressed={main === spot} onClick={() => onMain(spot)}>
                {main === spot ? 'drawn strong' : 'draw strong'}
              </button>
            )}
          </li>
        ))}
      </ul>
    </details>
  )
}

export function WorksKey({ page, timeZone }: { page: HousePage; timeZone: string }) {
  if (page.works.length === 0) return null
  return (
    <ol class="works-key small" aria-label="Works marked in the chart">
      {page.works.map((work) => (
        <li key={work.key}>
          {work.words}, {shortDateText(work.at, timeZone)}
        </li>
      ))}
    </ol>
  )
}

/** Said to a screen reader with the chart; drawn there as open triangles with the letters of this list. */
export function DeparturesKey({ departures, timeZone }: { departures: readonly Departure[]; timeZone: string }) {
  if (departures.length === 0) return null
  return (
    <div id="record-departures" class="departures-key small">
      <p>
        Marked with an open triangle: what nobody entered and the readings tell of.{' '}
        <a href="#works">Why, and how likely</a>
      </p>
      <ol type="a" aria-label="Departures marked in the chart">
        {departures.map(({ kind, at, size }) => (
          <li key={`${kind} ${at}`}>
            {kind}, since about {shortDateText(at, timeZone)}
            {size && `: ${size}`}
          </li>
        ))}
      </ol>
    </div>
  )
}

export function RecordTable({
  answer,
  shown,
  rain,
  timeZone,
  name,
}: {
  answer: RecordAnswer
  shown: ShownValue
  rain: ShownValue
  timeZone: string
  name: string
}) {
  const [open, setOpen] = useState(false)
  const rows = useMemo(() => (open ? recordRows(answer, ROWS) : []), [open, answer])
  const details = useRef<HTMLDetailsElement>(null)
  return (
    <details ref={details} class="small" onToggle={() => setOpen(details.current?.open ?? false)}>
      <summary>The same in figures</summary>
      <Scrolls label="The record in figures">
        <table>
          <caption class="unseen">
            {name}, {shown.unit}
          </caption>
          <thead>
            <tr>
              <th scope="col">From</th>
              {answer.lines.map(({ spot, letter, role }) => (
                <th key={spot} scope="col" class="number">
                  {role === 'inside' ? letter : role}, {shown.unit}
                </th>
              ))}
              <th scope="col" class="number">
                rain, {rain.unit}
              </th>
            </tr>
          </thead>
          <tbody>
            {rows.map((row) => (
              <tr key={row.from}>
                <th scope="row">{momentText(row.from, timeZone)}</th>
                {row.means.map((mean, i) => (
                  <td key={answer.lines[i]!.spot} class="number">
                    {mean === null ? 'none' : plain(mean, shown)}
                  </td>
                ))}
                <td class="number">{row.rainMm === null ? 'not known' : plain(row.rainMm, rain)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </Scrolls>
    </details>
  )
}
