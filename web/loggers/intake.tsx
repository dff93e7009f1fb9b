/** How readings come in, in a sentence; and houses of which nothing at all is heard. */
import type { IntakeAnswer } from '../../server/http/contract/loggers.ts'
import { Link } from '../base/router.tsx'
import { Age } from './parts.tsx'
import { intakeSentences } from './words.ts'

export function IntakeState({ intake }: { intake: IntakeAnswer }) {
  const sentences = intakeSentences(intake)
  return (
    <div class="intake stack">
      {sentences
        .filter(({ trouble }) => !trouble)
        .map(({ text }) => (
          <p key={text} class="quiet">
            {text}
          </p>
        ))}
      {/* Told aloud; how many are connected is not, for it changes all the time. */}
      <div class="stack" role="status">
        {sentences
          .filter(({ trouble }) => trouble)
          .map(({ text }) => (
            <p key={text} class="alarm">
              {text}
            </p>
          ))}
      </div>
    </div>
  )
}

type SilentHouse = IntakeAnswer['silentHouses'][number]

/** One line for a whole house: one cause is likelier than as many faults. */
export function SilentHouseLine({ silent, now }: { silent: SilentHouse; now: () => number }) {
  return (
    <div class="alarm stack">
      <p>
        <strong>
          {silent.loggers === 2 ? 'Both loggers' : `All ${silent.loggers} loggers`} silent: last heard{' '}
          <Age at={silent.since} now={now} />.
        </strong>{' '}
        <Link class="tap" to={`/live?house=${encodeURIComponent(silent.house)}`}>
          Watch them come back
        </Link>
      </p>
      <p>{silent.sentence}</p>
    </div>
  )
}
