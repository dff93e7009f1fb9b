/** A station's table as it came: what each column was taken for, what is asked, and which of its places is the station. */
import type { Answers } from '../../server/http/contract/files.ts'
import type { StationLook } from '../../server/http/contract/stations.ts'
import { Scrolls } from '../base/parts.tsx'
import { FirstLines } from '../bringin/firstLines.tsx'
import { Questions } from '../bringin/questions.tsx'
import '../bringin/bringin.css'

export function Mapping({
  look: looked,
  timeZone,
  fileProbes,
  onAnswers,
  onFileProbes,
}: {
  look: StationLook
  timeZone: string
  fileProbes: readonly string[]
  onAnswers: (answers: Answers) => void
  onFileProbes: (fileProbes: string[]) => void
}) {
  const { look, head, name, open, probes } = looked
  if (!look.ok) {
    return (
      <div class="stack">
        <p class="fault-line">
          <strong>This table cannot be read.</strong> {look.refusal.message} {look.refusal.hint}
        </p>
        {head.length > 0 && (
          <Scrolls label={`First lines of ${name}`} class="raw">
            <pre>{head.map(({ line, text }) => `${String(line).padStart(3)}  ${text}`).join('\n')}</pre>
          </Scrolls>
        )}
      </div>
    )
  }
  const found = look.understanding.probes
  // What is asked above is not told twice.
  const alsoOpen = open.filter((sentence) => !look.questions.some(({ why }) => why === sentence))
  return (
    <div class="stack-14">
      <h3>What was understood of its table</h3>
      <ul class="understood">
        {look.understanding.sentences.map((sentence) => (
          <li key={sentence}>{sentence}</li>
        ))}
      </ul>
      <FirstLines kept={looked} timeZone={timeZone} onAnswers={onAnswers} />
      {look.warnings.length > 0 && (
        <ul class="warnings" aria-label="Warnings">
          {look.warnings.map(({ message }) => (
            <li key={message}>{message}</li>
          ))}
        </ul>
      )}
      <Questions kept={looked} onAnswers={onAnswers} />
      {found.length > 1 && (
        <fieldset class="question">
          <legend>Places in the table</legend>
          <p>Which of them are this station? Several go together where each tells something else.</p>
          {found.map(({ probeKey, rows, quantities }) => (
            <label key={probeKey} class="choice">
              <input
                type="checkbox"
                checked={fileProbes.length === 0 ? probes.includes(probeKey) : fileProbes.includes(probeKey)}
                onChange={(event) => {
                  const present = fileProbes.length === 0 ? probes : fileProbes
                  onFileProbes(
                    event.currentTarget.checked ? [...present, probeKey] : present.filter((one) => one !== probeKey),
                  )
                }}
              />
              <span>
                {probeKey}{' '}
                <span class="small quiet">
                  {rows.toLocaleString('en-US')} rows; {quantities.map(({ quantity }) => quantity).join(', ')}
                </span>
              </span>
            </label>
          ))}
        </fieldset>
      )}
      {alsoOpen.length > 0 && (
        <div class="fault-line stack">
          <p>
            <strong>Open before it can be fetched by itself:</strong>
          </p>
          {alsoOpen.map((sentence) => (
            <p key={sentence}>{sentence}</p>
          ))}
        </div>
      )}
    </div>
  )
}
