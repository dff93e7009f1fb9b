/** What each logger needs, told this once: its secret is kept nowhere but in the logger. */
import type { EnrolledAnswer, IntakeAnswer } from '../../server/http/contract/loggers.ts'
import { Copy } from '../base/copy.tsx'
import { useLoad } from '../base/load.ts'
import { Link } from '../base/router.tsx'
import { fullName, isThisMachine } from './words.ts'

type One = EnrolledAnswer['enrolled'][number]

export function Enrolled({ enrolled, onMore }: { enrolled: readonly One[]; onMore: () => void }) {
  const broker = useBroker()
  const withSecret = enrolled.some(({ secret }) => secret !== null)
  const labels = `/loggers/labels?keys=${enrolled.map(({ logger }) => encodeURIComponent(logger.key)).join(',')}`
  return (
    <>
      {withSecret && (
        <p class="alarm under-head">
          <strong>
            {enrolled.length === 1 ? 'The secret is shown this once.' : 'The secrets are shown this once.'}
          </strong>{' '}
          Only a fingerprint is kept here: put it into the logger now. If it is lost, make a new one on the logger’s
          page.
        </p>
      )}
      <ol class="enrolled">
        {enrolled.map((one) => (
          <li key={one.logger.key}>
            <h2>
              <Link to={`/loggers/${encodeURIComponent(one.logger.key)}`}>{fullName(one.logger)}</Link>
            </h2>
            {one.secret === null ? (
              <p>It has no radio: hang it, pick it up, and bring its file in.</p>
            ) : (
              <SignIn loggerKey={one.logger.key} secret={one.secret} broker={broker} />
            )}
          </li>
        ))}
      </ol>
      <div class="row no-print after-enrolling">
        {/* In a page of its own, so that the secrets stay where they are. */}
        <a class="button first" href={labels} target="_blank" rel="noreferrer">
          Print {enrolled.length === 1 ? 'the label' : 'labels'} <span class="unseen">(opens beside this page)</span>
        </a>
        {enrolled.length === 1 && (
          <a
            class="button"
            href={`/loggers/${encodeURIComponent(enrolled[0]!.logger.key)}`}
            target="_blank"
            rel="noreferrer"
          >
            Place it <span class="unseen">(opens beside this page)</span>
          </a>
        )}
        {enrolled.length > 1 && withSecret && <Copy text={secretLines(enrolled)} what="all secrets" all />}
        <button type="button" onClick={onMore}>
          Enroll more
        </button>
      </div>
    </>
  )
}

/** User name and secret of each, as a table to paste. */
const secretLines = (enrolled: readonly One[]): string =>
  ['user name\tsecret', ...enrolled.map(({ logger, secret }) => `${logger.key}\t${secret ?? ''}`)].join('\n')

type Broker = IntakeAnswer['broker']

/** Where loggers send to; undefined while it is asked for. */
export const useBroker = (): Broker | undefined => useLoad<IntakeAnswer>('/api/intake').body?.broker

/** What the firmware is told. */
export function SignIn({
  loggerKey,
  secret,
  broker,
}: {
  loggerKey: string
  secret: string
  broker: Broker | undefined
}) {
  const lines: [string, string][] = [
    ...(broker !== undefined && broker.address !== '' ? [['Broker', broker.address] as [string, string]] : []),
    ['User name and client id', loggerKey],
    ['Secret (password)', secret],
    ['Topic of its readings', `underjoist/${loggerKey}/readings`],
  ]
  return (
    <div class="sign-in stack">
      <dl>
        {lines.map(([term, text]) => (
          <div key={term} class="sign-in-line">
            <dt>{term}</dt>
            <dd>
              <code>{text}</code> <Copy text={text} what={`${term} of ${loggerKey}`} />
            </dd>
          </div>
        ))}
      </dl>
      {broker?.kind === 'none' && <p class="small">No broker is set up: it can sign in once one listens.</p>}
      {broker?.kind === 'outside' && (
        <p class="small">Enter this user name and secret at that broker, too: it alone lets the logger in there.</p>
      )}
      {broker?.kind === 'own' && isThisMachine(broker.address) && (
        <p class="small">
          The broker listens to programs on this machine only. For loggers of a network, start the service with its
          address there as MQTT_HOST.
        </p>
      )}
    </div>
  )
}
