/** What had been seen before the first work, and what one more would add. */
import type { HousePage } from '../../server/http/contract/page.ts'

export function Baseline({ page: { baseline } }: { page: HousePage }) {
  if (baseline === null) return null
  return (
    <section class="baseline" aria-labelledby="baseline-head">
      <h2 id="baseline-head">What the record before the work can carry</h2>
      <table class="small">
        <caption class="unseen">Days and storms seen before the first work</caption>
        <tbody>
          {baseline.counts.map(({ what, have, need }) => (
            <tr key={what}>
              <th scope="row">{what}</th>
              <td class="number">{have ?? 'not known'}</td>
              <td class="baseline-bar">
                <Bar have={have ?? 0} need={need} />
              </td>
              <td>{need === null ? 'enough' : `of ${need}`}</td>
            </tr>
          ))}
        </tbody>
      </table>
      <details class="small">
        <summary>Enough for: {baseline.stage}</summary>
        <p>{baseline.sentence}</p>
      </details>
    </section>
  )
}

function Bar({ have, need }: { have: number; need: number | null }) {
  const share = need === null ? 1 : Math.min(1, have / need)
  return (
    <svg viewBox="0 0 100 10" preserveAspectRatio="none" aria-hidden="true">
      <rect x={0.5} y={1} width={99} height={8} fill="none" stroke="var(--hair)" vector-effect="non-scaling-stroke" />
      <rect x={0.5} y={1} width={99 * share} height={8} fill="var(--bar)" />
    </svg>
  )
}
