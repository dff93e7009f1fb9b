/** The file's own first lines, with what each column was taken for at its head, to be corrected there. */
import type { Answers, Column, KeptFile } from '../../server/http/contract/files.ts'
import { Scrolls } from '../base/parts.tsx'
import { usePerson } from '../base/person.ts'
import { momentText } from '../base/time.ts'
import { valueWords } from './quantityWords.ts'

type Understood = Extract<KeptFile['look'], { ok: true }>

const QUANTITIES = [
  ['tempC °C', 'temperature, °C'],
  ['tempC °F', 'temperature, °F'],
  ['rhPct %', 'RH, %'],
  ['dewPointC °C', 'dew point, °C'],
  ['dewPointC °F', 'dew point, °F'],
  ['woodMcPct %', 'wood moisture, %'],
  ['surfaceTempC °C', 'surface temperature, °C'],
  ['surfaceTempC °F', 'surface temperature, °F'],
  ['rainMm mm', 'rain, mm'],
  ['rainMm in', 'rain, in'],
  ['powerW W', 'power, W'],
  ['condensateL L', 'condensate, L'],
  ['condensateL pt', 'condensate, pints'],
  ['batteryV V', 'battery, V'],
  ['waterPresent 0 or 1', 'water present'],
] as const
/** Parts of a time are seldom wrong and hard to name; they are shown and left. */
const CORRECTABLE = ['quantity', 'ignored'] as const

export function FirstLines({
  kept,
  timeZone,
  onAnswers,
}: {
  kept: KeptFile
  timeZone: string
  onAnswers: (answers: Answers) => void
}) {
  const { units } = usePerson()
  const look = kept.look as Understood
  const { columns } = look.understanding
  const rows = look.preview.slice(0, 6)
  return (
    <Scrolls label={`First lines of ${kept.name}`} class="first-lines">
      <table class="small">
        <caption class="unseen">First lines of {kept.name}, with what each column was taken for</caption>
        <thead>
          <tr>
            <th scope="col">Line</th>
            <th scope="col">Becomes</th>
            {columns.map((column) => (
              <th key={column.key} scope="col">
                <ColumnHead column={column} answers={kept.answers} onAnswers={onAnswers} />
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => (
            <tr key={row.line}>
              <th scope="row">{row.line}</th>
              <td class="becomes">
                {row.readings.map(({ at, probeKey, values }) => (
                  <span key={probeKey}>
                    {momentText(at, timeZone)}:{' '}
                    {Object.entries(values)
                      .map(([quantity, value]) => valueWords(quantity, value ?? 0, units))
                      .join(', ')}{' '}
                  </span>
                ))}
              </td>
              {cells(row.text, look.understanding.delimiter, columns.length).map((cell, i) => (
                <td key={columns[i]!.key} class={columns[i]!.role === 'ignored' ? 'quiet' : ''}>
                  {cell}
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </Scrolls>
  )
}

function ColumnHead({
  column,
  answers,
  onAnswers,
}: {
  column: Column
  answers: Answers
  onAnswers: (answers: Answers) => void
}) {
  const name = column.name === '' ? `column ${column.index + 1}` : column.name
  const correctable = CORRECTABLE.some((role) => role === column.role)
  if (!correctable) {
    return (
      <>
        {name}
        <br />
        <span class="taken-for">{column.role}</span>
      </>
    )
  }
  const value = column.role === 'ignored' ? '' : `${column.quantity} ${column.unit ?? ''}`.trim()
  const known = QUANTITIES.some(([own]) => own === value)
  return (
    <label title={column.because}>
      {name}
      <select
        value={value}
        onChange={(event) => {
          const [quantity, ...unit] = event.currentTarget.value.split(' ')
          const role =
            event.currentTarget.value === ''
              ? { role: 'ignored' }
              : { role: 'quantity', quantity, unit: unit.join(' '), probeKey: column.probeKey }
          onAnswers({ ...answers, columnRoles: { ...answers.columnRoles, [column.key]: role } } as Answers)
        }}
      >
        <option value="">left out</option>
        {!known && value !== '' && (
          <option value={value}>{`${column.quantity}, ${column.unit ?? 'unit not known'}`}</option>
        )}
        {QUANTITIES.map(([own, words]) => (
          <option key={own} value={own}>
            {words}
          </option>
        ))}
      </select>
      <span class="quiet because">{column.because}</span>
    </label>
  )
}

/** A line cut as the importer cuts it, good enough to look at: quotes hold delimiters together. */
export function cells(text: string, delimiter: string, count: number): string[] {
  const parts =
    delimiter === ' '
      ? text.trim().split(/\s+/)
      : (text.match(pattern(delimiter)) ?? []).map((part) => part.replace(/^"|"$/g, '').replaceAll('""', '"'))
  return Array.from({ length: count }, (_, i) => parts[i] ?? '')
}

/** Each match is one cell; an empty cell is one too. */
function pattern(delimiter: string): RegExp {
  const mark = delimiter === '|' ? '\\|' : delimiter
  return new RegExp(`(?<=^|${mark})(?:"(?:[^"]|"")*"|[^${mark}]*)(?=${mark}|$)`, 'g')
}
