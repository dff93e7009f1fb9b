/** Small parts that several pages share: states, heads, chips, intervals, evidence, holds. */
import type { ComponentChildren } from 'preact'
import type { ErrorAnswer } from '../../server/http/contract/error.ts'
import type { Loaded } from './load.ts'
import type { Estimate, Shown } from './units.ts'
import { plain } from './units.ts'

/** A section of a page, reachable by its id. */
export function Section({
  id,
  title,
  note,
  class: kind = 'section',
  children,
}: {
  id: string
  title: string
  note?: ComponentChildren
  class?: string
  children: ComponentChildren
}) {
  return (
    <section id={id} class={kind} aria-labelledby={`${id}-head`}>
      <h2 id={`${id}-head`} tabIndex={-1}>
        {title}
      </h2>
      {note !== undefined && <p class="quiet small section-note">{note}</p>}
      {children}
    </section>
  )
}

/** A wide table or text in a frame of its own that scrolls sideways; keys reach it, too. */
export function Scrolls({
  label,
  class: more = '',
  children,
}: {
  label: string
  class?: string
  children: ComponentChildren
}) {
  return (
    <div class={`scrolls ${more}`} role="group" aria-label={label} tabIndex={0}>
      {children}
    </div>
  )
}

export function TroubleBox({ trouble, again }: { trouble: ErrorAnswer; again?: () => void }) {
  return (
    <div class="trouble" role="alert">
      <p>
        <strong>{trouble.message}</strong> {trouble.hint}
      </p>
      {again && (
        <button type="button" onClick={again}>
          Try again
        </button>
      )}
    </div>
  )
}

/** What stands where something is awaited; `what` names it: "the findings of this house". */
export function Awaiting({ loaded, what, again }: { loaded: Loaded<unknown>; what: string; again?: () => void }) {
  if (loaded.state === 'failed') return <TroubleBox trouble={loaded.trouble} again={again} />
  if (loaded.state === 'being made') {
    return (
      <div class="awaiting" role="status">
        <p>
          Working out {what}. {loaded.message}
        </p>
        <progress max={1} value={loaded.done ?? undefined} aria-label={`Working out ${what}`} />
      </div>
    )
  }
  return loaded.state === 'loading' ? (
    <p class="awaiting quiet" role="status">
      Loading {what}.
    </p>
  ) : null
}

/** Filled: said firmly. Outlined: nothing changed. Dashed: cannot tell yet, or unsure. */
export function Chip({ kind, children }: { kind: 'firm' | 'open' | 'unsure'; children: ComponentChildren }) {
  return <span class={`chip chip-${kind}`}>{children}</span>
}

export const verdictChip = (verdict: string): 'firm' | 'open' | 'unsure' =>
  verdict === 'cannot tell' ? 'unsure' : verdict === 'no clear change' ? 'open' : 'firm'

/** An interval on a common axis, with a deep tick at its middle. The numbers stand beside it in words. */
export function IntervalBar({ estimate, from, to, how }: { estimate: Estimate; from: number; to: number; how: Shown }) {
  const place = (value: number) => ((Math.min(Math.max(value, from), to) - from) / (to - from || 1)) * 100
  const [low, mid, high] = [place(estimate.low), place(estimate.mid), place(estimate.high)]
  const label = `${plain(estimate.mid, how)} ${how.unit}, 90 % interval ${plain(estimate.low, how)} to ${plain(estimate.high, how)}`
  return (
    <svg class="interval" viewBox="0 0 100 16" preserveAspectRatio="none" role="img" aria-label={label}>
      {[0, 25, 50, 75, 100].map((x) => (
        <path key={x} d={`M${x} 11v5`} stroke="var(--hair)" vector-effect="non-scaling-stroke" />
      ))}
      <path d="M0 16h100" stroke="var(--hair)" vector-effect="non-scaling-stroke" />
      {from < 0 && to > 0 && <path d={`M${place(0)} 0v16`} stroke="var(--ink2)" vector-effect="non-scaling-stroke" />}
      <rect x={low} y={3} width={Math.max(0.6, high - low)} height={8} fill="var(--bar)" />
      <path d={`M${mid} 0v14`} stroke="var(--deep)" stroke-width={2.6} vector-effect="non-scaling-stroke" />
    </svg>
  )
}

export interface EvidenceGiven {
  evidenceFor: readonly string[]
  evidenceAgainst: readonly string[]
  wouldChangeIt: string
  missing?: readonly string[]
}

export function Evidence({ given, title = 'Why, and what would change it' }: { given: EvidenceGiven; title?: string }) {
  return (
    <details class="evidence small">
      <summary>{title}</summary>
      <dl>
        <Told term="For" texts={given.evidenceFor} />
        <Told term="Against" texts={given.evidenceAgainst} />
        <Told term="Missing" texts={given.missing ?? []} />
        <Told term="Would change it" texts={given.wouldChangeIt === '' ? [] : [given.wouldChangeIt]} />
      </dl>
    </details>
  )
}

function Told({ term, texts }: { term: string; texts: readonly string[] }) {
  if (texts.length === 0) return null
  return (
    <>
      <dt>{term}</dt>
      {texts.map((text) => (
        <dd key={text}>{text}</dd>
      ))}
    </>
  )
}

export function Holds({
  holds,
}: {
  holds: readonly { topic: string; kind: 'stop' | 'record first'; sentence: string }[]
}) {
  if (holds.length === 0) return null
  return (
    <ul class="holds" aria-label="Held">
      {holds.map(({ topic, kind, sentence }) => (
        <li key={topic}>
          <strong>{kind === 'stop' ? 'Held' : 'Held: record this first'}.</strong> {sentence}
        </li>
      ))}
    </ul>
  )
}

export const DEFERS = 'Model guidance. Local code officials, the floodplain office and licensed trades decide.'

export function InventedStamp() {
  return <span class="stamp">invented house</span>
}
