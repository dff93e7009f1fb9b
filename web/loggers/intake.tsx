/** How readings come in, in a sentence; and houses of which nothing at all is heard. */
import type { IntakeAnswer } from '../../server/http/contract/loggers.ts'
import { Link } from '../base/router.tsx'
import { Age } from './parts.tsx'
import { intakeSentences } from './words.ts'

export function IntakeState({ intake }: { intake: IntakeAnswer }) {
  return (
    <div class="intake stack" role="status">
      {intakeSentences(intake).map(({ trouble, text }) => (
        <p key={text} class={trouble ? 'alarm' : 'quiet'}>
          {text}
        </p>
      ))}
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
          All {silent.loggers} silent: last heard <Age at={silent.since} now={now} />.
        </strong>{' '}
        <Link to={`/live?house=${encodeURIComponent(silent.house)}`}>Watch them come back</Link>
      </p>
      <p>{silent.sentence}</p>
    </div>
  )
}
