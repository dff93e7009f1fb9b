/** One act of the service of a logger: folded until it is wanted, with what came of it. */
import type { ComponentChildren } from 'preact'
import type { Logger } from '../../server/http/contract/loggers.ts'
import type { Acting } from '../base/acting.ts'
import { TroubleBox } from '../base/parts.tsx'

export interface ActGiven {
  logger: Logger
  others: readonly Logger[]
  /** @param said what was done, for the page to tell where this form goes with it */
  onDone: (changed: readonly Logger[], said?: string) => void
}

export const addressOf = ({ key }: Logger, rest = ''): string => `/api/loggers/${encodeURIComponent(key)}${rest}`

/** Folded until it is wanted. */
export function Act({ title, acting, children }: { title: string; acting: Acting; children: ComponentChildren }) {
  return (
    <details class="act unfolds">
      <summary>{title}</summary>
      <div class="stack-14">
        {children}
        {acting.trouble && <TroubleBox trouble={acting.trouble} />}
        <p role="status">{acting.said}</p>
      </div>
    </details>
  )
}
