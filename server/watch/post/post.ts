/** How a letter leaves the house, whichever way it goes. */
import type { Letter } from '../../store/letters.ts'

export type Outcome =
  | { kind: 'sent' }
  /** For good: there is no such address. */
  | { kind: 'address refused'; problem: string }
  /** For good, but not because of whom it goes to. */
  | { kind: 'letter refused'; problem: string }
  /** Not now: a server that knows us not yet, a full mailbox, too much at once. */
  | { kind: 'later'; problem: string }
  /** Nothing goes at all: the server is away, or does not let us in. */
  | { kind: 'no post'; problem: string }

export interface Post {
  /** Where letters go, in words, without a password. */
  readonly goesTo: string
  /** Never throws for what the way out has against it. */
  send(letter: Letter): Promise<Outcome>
  close(): void
}
