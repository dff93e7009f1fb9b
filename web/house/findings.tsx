/** Everything else that was found, each with what speaks for and against it. */
import type { HousePage } from '../../server/http/contract/page.ts'
import { Chip, Evidence, Section } from '../base/parts.tsx'

const CERTAINTY = { shown: 'firm', likely: 'open', weak: 'unsure', 'cannot tell': 'unsure' } as const

export function FindingsSection({ page: { findings } }: { page: HousePage }) {
  if (findings.length === 0) return null
  return (
    <Section id="findings" title="Findings" note="One conclusion a line, with how far to trust it.">
      {findings.map(({ heading, findings: own }) => (
        <details key={heading} class="finding-group">
          <summary>
            {heading} ({own.length})
          </summary>
          <ul>
            {own.map((finding) => (
              <li key={finding.sentence}>
                <p>
                  {finding.sentence} <Chip kind={CERTAINTY[finding.certainty]}>{finding.certainty}</Chip>
                </p>
                <Evidence given={finding} />
              </li>
            ))}
          </ul>
        </details>
      ))}
    </Section>
  )
}
