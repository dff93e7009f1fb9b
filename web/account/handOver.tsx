/** An address or a token that somebody else is given, shown once. */
import type { ComponentChildren } from 'preact'
import { useEffect, useRef } from 'preact/hooks'
import { Copy } from '../base/copy.tsx'

export function HandOver({
  title,
  text,
  what,
  children,
}: {
  title: string
  text: string
  what: string
  children: ComponentChildren
}) {
  const head = useRef<HTMLHeadingElement>(null)
  // It came by a button further down or up: whoever cannot see it is told by the focus.
  useEffect(() => head.current?.focus(), [])
  return (
    <div class="hand-over stack">
      <h3 ref={head} tabIndex={-1}>
        {title}
      </h3>
      <p class="hand-over-text">
        <code>{text}</code>
      </p>
      <p>
        <Copy text={text} what={what} />
      </p>
      <div class="small">{children}</div>
    </div>
  )
}
