/** A form with one thing to send, what was wrong with it, and the button. */
import type { ComponentChildren } from 'preact'
import type { Acting } from '../base/acting.ts'
import { TroubleBox } from '../base/parts.tsx'

export function Form({
  acting,
  label,
  submit,
  ready,
  onSend,
  children,
  beside,
}: {
  acting: Acting
  /** Names the form where the page has several. */
  label?: string
  submit: string
  ready: boolean
  onSend: () => void
  children: ComponentChildren
  beside?: ComponentChildren
}) {
  return (
    <form
      class="account-form stack-14"
      aria-label={label}
      noValidate
      onSubmit={(event) => {
        event.preventDefault()
        if (ready && !acting.busy) onSend()
      }}
    >
      {children}
      {acting.trouble && <TroubleBox trouble={acting.trouble} />}
      <div class="row">
        <button type="submit" class="first" disabled={!ready || acting.busy}>
          {submit}
        </button>
        {beside}
      </div>
      <p role="status">{acting.said}</p>
    </form>
  )
}
