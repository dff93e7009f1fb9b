/** What an owner reads: is it dry, what happened, what to do, whom to call. The firm sees the same, without the buttons. */
import type { ComponentChildren } from 'preact'
import { useEffect } from 'preact/hooks'
import type { OwnerPageAnswer } from '../../server/http/contract/ownerPage.ts'
import { ofHouse } from '../base/api.ts'
import { useCaller } from '../base/caller.ts'
import { LevelSquare } from '../base/levelMark.tsx'
import { useLoad } from '../base/load.ts'
import { Awaiting, InventedStamp, Section } from '../base/parts.tsx'
import { usePerson } from '../base/person.ts'
import { ageText, dateText } from '../base/time.ts'
import { Choices } from './choices.tsx'
import { Matter } from './matter.tsx'
import { SeasonsPicture } from './seasonsPicture.tsx'
import './owner.css'

const ASK_AGAIN_MS = 5 * 60_000

/** @param children stand before it; @param turn when it grows, the page is asked for anew */
export function OwnersHouse({
  houseKey,
  turn = 0,
  children,
}: {
  houseKey: string
  turn?: number
  children: ComponentChildren
}) {
  const { units } = usePerson()
  const { caller } = useCaller()
  const loaded = useLoad<OwnerPageAnswer>(ofHouse(houseKey, `/owner-page?units=${units}`))
  const { body: page, again } = loaded
  const name = page?.house.name
  useEffect(() => {
    document.title = `${name ?? 'Your house'} · Underjoist`
  }, [name])
  useEffect(() => {
    if (turn > 0) again()
  }, [turn, again])
  // It may lie open on a table for days.
  useEffect(() => {
    const timer = setInterval(again, ASK_AGAIN_MS)
    return () => clearInterval(timer)
  }, [again])
  if (page === null) {
    return (
      <>
        <h1 tabIndex={-1}>Your house</h1>
        {children}
        <Awaiting loaded={loaded} what="your house" again={again} />
      </>
    )
  }
  return (
    <div class="owner">
      {children}
      <p class="row">
        <strong>{page.house.name}</strong> {page.house.invented && <InventedStamp />}
      </p>
      <State page={page} />
      {loaded.state === 'failed' && <Awaiting loaded={loaded} what="your house" again={again} />}
      <Happened page={page} mayAct={caller.role === 'owner'} again={again} />
      <Call call={page.call} />
      <Section id="seasons" title="Through the seasons">
        {page.weeks.length === 0 ? <p>Nothing has been measured yet.</p> : <SeasonsPicture seasons={page} />}
      </Section>
      <Letters page={page} isOwner={caller.role === 'owner'} />
      <Choices page={page} again={again} />
    </div>
  )
}

function State({ page: { state, lastHeardAt, asOf, house } }: { page: OwnerPageAnswer }) {
  const heard =
    lastHeardAt === null
      ? 'Nothing has been heard yet.'
      : house.invented
        ? `The record ends on ${dateText(lastHeardAt, house.timeZone)}.`
        : `Heard ${ageText(asOf - lastHeardAt)}.`
  return (
    <>
      <div class="owner-state">
        {state.level !== null && (
          <svg width={34} height={34} viewBox="0 0 16 16" aria-hidden="true">
            <LevelSquare level={state.level} />
          </svg>
        )}
        <h1 tabIndex={-1}>{state.sentence}</h1>
      </div>
      <p>
        {state.more.join(' ')} {heard}
      </p>
    </>
  )
}

/** Steps of the most urgent matter alone: nobody follows six at once. */
function Happened({ page, mayAct, again }: { page: OwnerPageAnswer; mayAct: boolean; again: () => void }) {
  const { notices, house } = page
  const [first] = notices
  if (first === undefined) {
    return (
      <Section id="to-do" title="What to do">
        <p>There is nothing you need to do. We watch the readings, and write to you only if something must be done.</p>
      </Section>
    )
  }
  return (
    <>
      <Section id="happened" title="What happened">
        {notices.map((notice) => (
          <Matter key={notice.id} notice={notice} timeZone={house.timeZone} mayAct={mayAct} again={again} />
        ))}
      </Section>
      <Section id="to-do" title={first.urgency === 'urgent' ? 'What to do now' : 'What to do'}>
        <ol class="owner-steps">
          {first.steps.map((step) => (
            <li key={step}>{step}</li>
          ))}
        </ol>
        {[...new Set(notices.flatMap(({ cautions }) => cautions))].map((caution) => (
          <p key={caution} class="owner-caution">
            {caution}
          </p>
        ))}
      </Section>
      <Section id="we-do" title="What we do">
        <p>{first.weDo}</p>
      </Section>
    </>
  )
}

function Call({ call: { name, phone, email } }: Pick<OwnerPageAnswer, 'call'>) {
  return (
    <Section id="call" title="Whom to call">
      <p>{name === '' ? 'Your contractor.' : name}</p>
      <div class="owner-call">
        {phone !== null && (
          <a class="button first owner-wide" href={`tel:${phone.replace(/[^0-9+]/g, '')}`}>
            Call {phone}
          </a>
        )}
        {email !== null && (
          <a class="button owner-wide" href={`mailto:${email}`}>
            {email}
          </a>
        )}
      </div>
    </Section>
  )
}

function Letters({ page: { letters, house }, isOwner }: { page: OwnerPageAnswer; isOwner: boolean }) {
  return (
    <Section id="letters" title={isOwner ? 'Letters sent to you' : 'Letters sent to the owner'}>
      {letters.length === 0 ? (
        <p>None yet.</p>
      ) : (
        <ul class="owner-letters small">
          {letters.map(({ id, at, subject, to }) => (
            <li key={id}>
              <span class="quiet">
                {dateText(at, house.timeZone)}
                {!isOwner && `, to ${to}`}
              </span>
              <br />
              {subject}
            </li>
          ))}
        </ul>
      )}
    </Section>
  )
}
