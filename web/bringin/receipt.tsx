/** What became of a file: counts in sentences, and every line that was not stored as it stands. */
import type { ImportLines, ImportProgress } from '../../server/http/contract/files.ts'
import { Scrolls } from '../base/parts.tsx'
import { Link } from '../base/router.tsx'

export function Receipt({ progress, lines }: { progress: ImportProgress; lines: ImportLines | null }) {
  const { import: row, state, message } = progress
  const n = (count: number) => count.toLocaleString('en-US')
  const sentences = [
    `${n(row.stored)} readings stored.`,
    ...(row.repeated > 0 ? [`${n(row.repeated)} were there already, with the same values.`] : []),
    ...(row.filled > 0 ? [`${n(row.filled)} filled in a quantity that was missing.`] : []),
    ...(row.differs > 0 ? [`${n(row.differs)} differ from what is stored: the first value stays.`] : []),
    ...(row.refused > 0 ? [`${n(row.refused)} lines or values were refused.`] : []),
  ]
  return (
    <div class="receipt stack">
      <h3>{state === 'failed' ? 'Not stored' : state === 'canceled' ? 'Canceled' : 'Stored'}</h3>
      <p role="status">
        {state === 'failed' ? message : sentences.join(' ')} {row.note}
      </p>
      {lines !== null && lines.total > 0 && (
        <>
          <Scrolls label="Lines that were not stored as they stand">
            <table class="small">
              <caption class="unseen">Lines that were not stored as they stand</caption>
              <thead>
                <tr>
                  <th scope="col">Line</th>
                  <th scope="col">What</th>
                  <th scope="col">How to fix</th>
                  <th scope="col">As it stands</th>
                </tr>
              </thead>
              <tbody>
                {lines.lines.map((line, i) => (
                  <tr key={i}>
                    <th scope="row">{line.line}</th>
                    <td>{line.problem}</td>
                    <td>{line.fix}</td>
                    <td class="as-it-stands">{line.text}</td>
                  </tr>
                ))}
              </tbody>
            </table>
          </Scrolls>
          <p class="small">
            {lines.lines.length < lines.total ? `The first ${lines.lines.length} of ${n(lines.total)}. ` : ''}
            <a href={`/api/imports/${row.id}/receipt.csv`}>Download all of them</a>
          </p>
        </>
      )}
      {row.houseId !== null && state !== 'failed' && <SeeIt />}
    </div>
  )
}

function SeeIt() {
  const key = location.pathname.split('/')[2] ?? ''
  return (
    <p>
      <Link to={`/houses/${key}`} class="button first">
        See it in the house
      </Link>
    </p>
  )
}
