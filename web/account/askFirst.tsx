/** Something that cannot be taken back is asked about first, in its place. */
import type { ComponentChildren } from 'preact'
import { useEffect, useRef, useState } from 'preact/hooks'

export function AskFirst({
  act,
  about,
  question,
  yes,
  no = 'Keep it',
  busy,
  onYes,
}: {
  act: string
  /** Who or what, for those who hear the button alone. */
  about: string
  question: ComponentChildren
  yes: string
  no?: string
  busy: boolean
  onYes: () => void
}) {
  const [asking, setAsking] = useState(false)
  const keep = useRef<HTMLButtonElement>(null)
  useEffect(() => {
    if (asking) keep.current?.focus()
  }, [asking])
  if (!asking) {
    return (
      <button type="button" disabled={busy} aria-label={`${act}: ${about}`} onClick={() => setAsking(true)}>
        {act}
      </button>
    )
  }
  return (
    <div class="ask-first stack" role="group" aria-label={`${act}: ${about}`}>
      <p>{question}</p>
      <div class="row">
        <button ref={keep} type="button" onClick={() => setAsking(false)}>
          {no}
        </button>
        <button
          type="button"
          class="grave"
          disabled={busy}
          onClick={() => {
            setAsking(false)
            onYes()
          }}
        >
          {yes}
        </button>
      </div>
    </div>
  )
}
