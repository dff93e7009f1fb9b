/** Every browser one is signed in with. One that is not one's own is ended here, and the password changed. */
import type { SessionsAnswer } from '../../server/http/contract/people.ts'
import { useActing } from '../base/acting.ts'
import { send } from '../base/api.ts'
import { useLoad } from '../base/load.ts'
import { Awaiting, Chip, Section, TroubleBox } from '../base/parts.tsx'
import { momentText, shortDateText } from '../base/time.ts'
import { OWN_ZONE } from '../loggers/words.ts'
import { browserWords } from './browser.ts'

export function Sessions() {
  const loaded = useLoad<SessionsAnswer>('/api/account/sessions')
  const acting = useActing()
  const sessions = [...(loaded.body?.sessions ?? [])].sort(
    (a, b) => Number(b.thisOne) - Number(a.thisOne) || b.seenAt - a.seenAt,
  )
  const end = (id: number, what: string) =>
    acting.run(async () => {
      await send('DELETE', `/api/account/sessions/${id}`)
      loaded.again()
      return `Ended: ${what}.`
    })
  const endOthers = () =>
    acting.run(async () => {
      const { ended } = await send<{ ended: number }>('DELETE', '/api/account/sessions')
      loaded.again()
      return ended === 1 ? 'One session ended.' : `${ended} sessions ended.`
    })
  return (
    <Section
      class="part"
      id="sessions"
      title="Where you are signed in"
      note="End what you do not know, and change the password then."
    >
      {loaded.body === null && <Awaiting loaded={loaded} what="your sessions" again={loaded.again} />}
      <ul class="lines">
        {sessions.map(({ id, agent, address, createdAt, seenAt, endsAt, thisOne }) => {
          const what = browserWords(agent)
          return (
            <li key={id} class="line">
              <div>
                <p>
                  <strong>{what}</strong> {thisOne && <Chip kind="open">this one</Chip>}
                </p>
                <p class="small quiet">
                  From {address}, since {shortDateText(createdAt, OWN_ZONE)}. Last seen {momentText(seenAt, OWN_ZONE)}
                  {'; '}
                  ends by itself {shortDateText(endsAt, OWN_ZONE)}.
                </p>
              </div>
              {!thisOne && (
                <button
                  type="button"
                  disabled={acting.busy}
                  aria-label={`End: ${what}, last seen ${momentText(seenAt, OWN_ZONE)}`}
                  onClick={() => void end(id, what)}
                >
                  End
                </button>
              )}
            </li>
          )
        })}
      </ul>
      {sessions.length > 1 && (
        <p>
          <button type="button" disabled={acting.busy} onClick={() => void endOthers()}>
            End all others
          </button>
        </p>
      )}
      {acting.trouble && <TroubleBox trouble={acting.trouble} />}
      <p role="status">{acting.said}</p>
    </Section>
  )
}
