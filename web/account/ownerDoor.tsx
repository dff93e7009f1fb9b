/** The door of an owner: a link opens it, or whoever is signed in already goes through. */
import { useCallback, useEffect, useState } from 'preact/hooks'
import type { ErrorAnswer } from '../../server/http/contract/error.ts'
import type { CallerAnswer, SignInState } from '../../server/http/contract/people.ts'
import { send, Trouble } from '../base/api.ts'
import { TroubleBox } from '../base/parts.tsx'
import { goTo } from '../base/router.tsx'
import './account.css'
import { useSecret } from './secret.ts'
import { verified } from './verified.ts'

/** Where a link was refused, and nobody is signed in: no password would help. */
const ASK_FOR_ANOTHER = 'Ask your contractor for a new link; the readings of your house are kept.'

export default function OwnerDoor({
  caller,
  onSignedIn,
  children,
}: {
  caller: CallerAnswer | null
  onSignedIn: (state: SignInState) => void
  /** What stands behind it. */
  children: preact.ComponentChildren
}) {
  const link = useSecret()
  const [opened, setOpened] = useState('')
  const [trouble, setTrouble] = useState<ErrorAnswer | null>(null)
  const enter = useCallback(async () => {
    setTrouble(null)
    try {
      await send('POST', '/api/sign-in/link', { link })
      const state = await verified()
      setOpened(link)
      onSignedIn(state)
    } catch (error) {
      if (!(error instanceof Trouble)) throw error
      setTrouble(error.answer)
    }
  }, [link, onSignedIn])
  // Whoever tries a link that is for somebody else would be signed out by it: they are asked first.
  const another = caller !== null && caller.via !== 'link'
  const waits = link !== '' && opened !== link
  useEffect(() => {
    if (waits && !another) void enter()
  }, [waits, another, enter])

  if (!waits) return <>{children}</>
  if (trouble !== null) {
    return (
      <div class="door">
        <h1 tabIndex={-1}>This link does not open the door</h1>
        <TroubleBox trouble={trouble} again={trouble.code === 'BAD_LINK' ? undefined : () => void enter()} />
        <p>{ASK_FOR_ANOTHER}</p>
      </div>
    )
  }
  if (another) {
    return (
      <div class="door stack-14">
        <h1 tabIndex={-1}>Open this link as the owner?</h1>
        <p>You are signed in as {caller.name}. The link signs you out in this browser and shows what its owner sees.</p>
        <div class="row">
          <button type="button" onClick={() => goTo('/', { inPlace: true })}>
            Stay signed in
          </button>
          <button type="button" class="first" onClick={() => void enter()}>
            Open it
          </button>
        </div>
      </div>
    )
  }
  return (
    <div class="door">
      <h1 tabIndex={-1}>Your house</h1>
      <p role="status">Opening the link.</p>
    </div>
  )
}
