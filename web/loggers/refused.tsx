/** Messages that were not stored: how many for which reason, the last one to look at, and how to mend it. */
import { useEffect } from 'preact/hooks'
import type { Logger, RefusedMessagesAnswer } from '../../server/http/contract/loggers.ts'
import { useActing } from '../base/acting.ts'
import { send } from '../base/api.ts'
import { useLoad } from '../base/load.ts'
import { Awaiting, Scrolls, Section, TroubleBox } from '../base/parts.tsx'
import { Link } from '../base/router.tsx'
import { momentText } from '../base/time.ts'
import { fullName, OWN_ZONE, refusedByReason, zoneOf } from './words.ts'

type Refused = RefusedMessagesAnswer['refused'][number]

/** @param loggers as they are known now: another count of refusals has this asked again */
export function RefusedSection({ loggers }: { loggers: readonly Logger[] }) {
  const loaded = useLoad<RefusedMessagesAnswer>('/api/refused-messages')
  const { again } = loaded
  const count = loggers.reduce((sum, { refused }) => sum + refused, 0)
  useEffect(again, [count, again])
  const known = loaded.body !== null
  useEffect(() => {
    // Nobody could be led here by the address while it was not here yet.
    if (known && location.hash === '#refused') document.getElementById('refused')?.scrollIntoView()
  }, [known])
  const reasons = refusedByReason(loaded.body?.refused ?? [])
  return (
    <Section
      id="refused"
      title="Refused messages"
      note="What loggers sent and could not be stored, counted by reason; of each the last is kept to look at."
    >
      {loaded.body === null ? (
        <Awaiting loaded={loaded} what="the refused messages" again={again} />
      ) : reasons.length === 0 ? (
        <p>None.</p>
      ) : (
        reasons.map(({ reason, count: times, of }) => (
          <details key={reason} class="refusals">
            <summary>
              <strong>{reason}</strong>, {times === 1 ? 'once' : `${times.toLocaleString('en-US')} times`}
            </summary>
            <ul>
              {of.map((one) => (
                <RefusedMessage
                  key={one.id}
                  message={one}
                  logger={loggers.find(({ key }) => key === one.logger)}
                  onLookedAt={again}
                />
              ))}
            </ul>
          </details>
        ))
      )}
    </Section>
  )
}

function RefusedMessage({
  message,
  logger,
  onLookedAt,
}: {
  message: Refused
  logger: Logger | undefined
  onLookedAt: () => void
}) {
  const { id, count, firstAt, lastAt, topic, payload, payloadBytes, problem, fix } = message
  const { busy, trouble, run } = useActing()
  const zone = logger === undefined ? OWN_ZONE : zoneOf(logger)
  const who = logger === undefined ? message.logger || 'somebody unknown here' : fullName(logger)
  async function lookedAt(): Promise<void> {
    const done = await run(async () => {
      await send('DELETE', `/api/refused-messages/${id}`)
      return ''
    })
    if (done) onLookedAt()
  }
  return (
    <li class="refusal stack">
      <p>
        {logger === undefined ? (
          <strong>{who}</strong>
        ) : (
          <Link class="tap" to={`/loggers/${encodeURIComponent(logger.key)}`}>
            {who}
          </Link>
        )}
        :{' '}
        {count === 1
          ? momentText(lastAt, zone)
          : `${count.toLocaleString('en-US')} from ${momentText(firstAt, zone)} to ${momentText(lastAt, zone)}`}
      </p>
      <p>
        <strong>{problem}</strong> {fix}
      </p>
      <p class="small quiet">
        To <code>{topic}</code>, {payloadBytes.toLocaleString('en-US')} bytes
        {payload.length < payloadBytes && '; its beginning'}:
      </p>
      <Scrolls label={`What ${who} sent`} class="payload">
        <pre>{payload}</pre>
      </Scrolls>
      {trouble && <TroubleBox trouble={trouble} />}
      <button
        type="button"
        disabled={busy}
        aria-label={`Looked at, count anew: ${message.reason} of ${who}`}
        onClick={() => void lookedAt()}
      >
        Looked at, count anew
      </button>
    </li>
  )
}
