/** A part of the entering page, and a list in it whose elements can be added and taken out. */
import type { ComponentChildren } from 'preact'

export function Part({ id, title, note, children }: { id: string; title: string; note?: ComponentChildren; children: ComponentChildren }) {
  return (
    <section id={id} class="part" aria-labelledby={`${id}-head`}>
      <h2 id={`${id}-head`}>{title}</h2>
      {note !== undefined && <p class="small quiet">{note}</p>}
      {children}
    </section>
  )
}

export function Element({ title, onRemove, children }: { title: string; onRemove?: () => void; children: ComponentChildren }) {
  return (
    <fieldset class="element">
      <legend>{title}</legend>
      <div class="fields">{children}</div>
      {onRemove && (
        <button type="button" class="plain" onClick={onRemove}>
          Take out {title}
        </button>
      )}
    </fieldset>
  )
}
