/** One open matter: what happened, since when, and the button that says it was read. */
import { useState } from 'preact/hooks'
import type { OwnerNoticeAnswer } from '../../server/http/contract/ownerPage.ts'
import { send, Trouble } from '../base/api.ts'
import { Chip } from '../base/parts.tsx'
import { momentText } from '../base/time.ts'

const URGENCY = { urgent: 'urgent', soon: 'within a few days', note: 'for the record' } as const

export function Matter({
  notice,
  timeZone,
  mayAct,
  again,
}: {
  notice: OwnerNoticeAnswer
  timeZone: string
  mayAct: boolean
  again: () => void
}) {
  const { id, headline, happened, urgency, acknowledgedAt, acknowledgedBy } = notice
  return (
    <article class="owner-matter">
      <h3>
        {headline} <Chip kind={urgency === 'urgent' ? 'firm' : 'open'}>{URGENCY[urgency]}</Chip>
      </h3>
      <p>{happened}</p>
      {acknowledgedAt === null ? (
        mayAct && <Seen id={id} again={again} />
      ) : (
        <p class="small quiet">
          {acknowledgedBy} has seen this, {momentText(acknowledgedAt, timeZone)}.
        </p>
      )}
    </article>
  )
}

function Seen({ id, again }: { id: number; again: () => void }) {
  const [state, setState] = useState<'resting' | 'sending' | string>('resting')
  async function acknowledge(): Promise<void> {
    setState('sending')
    try {
      await send('POST', `/api/notices/${id}/acknowledge`)
      again()
    } catch (error) {
      if (!(error instanceof Trouble)) throw error
      setState(`${error.answer.message} ${error.answer.hint}`)
    }
  }
  return (
    <>
      <button type="button" class="first owner-wide" disabled={state === 'sending'} onClick={() => void acknowledge()}>
        I have seen this
      </button>
      <p role="status" class="small">
        {state === 'resting' || state === 'sending' ? '' : state}
      </p>
    </>
  )
}
