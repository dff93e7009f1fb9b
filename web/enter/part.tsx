/** A part of the entering page, and a list in it whose elements can be added and taken out. */
import type { ComponentChildren } from 'preact'
import { Section } from '../base/parts.tsx'

export const Part = (given: { id: string; title: string; note?: ComponentChildren; children: ComponentChildren }) => (
  <Section class="part" {...given} />
)

/** One element of a list; it stands open when it is new, or when something in it is wrong. */
export function Element({
  title,
  open = false,
  onRemove,
  children,
}: {
  title: string
  open?: boolean
  onRemove?: () => void
  children: ComponentChildren
}) {
  return (
    <details class="element" open={open}>
      <summary>{title}</summary>
      <div class="fields" role="group" aria-label={title}>
        {children}
      </div>
      {onRemove && (
        <button type="button" class="plain" onClick={onRemove}>
          Take out {title}
        </button>
      )}
    </details>
  )
}
