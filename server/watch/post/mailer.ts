/**
 * Takes letters out of the outbox and hands them to the post, one after the other and not too many a minute. What becomes
 * of each is written down before the next is taken; a program that dies in between leaves a letter that is taken again.
 */

import type { Letter } from '../../store/letters.ts'
import {
  countRefusals,
  countTried,
  markDelayed,
  markGivenUp,
  markNotWanted,
  markSent,
  takeLetter,
} from '../../store/letters.ts'
import { stoppedClasses } from '../../store/lettersStopped.ts'
import type { Database } from '../../store/open.ts'
import { classOfKind } from '../letters/kinds.ts'
import { delayMs, tooOld } from './delays.ts'
import type { Outcome, Post } from './post.ts'

export interface MailerOptions {
  db: Database
  post: Post
  now: () => number
  /** Letters a minute at most; 30 when left out. */
  perMinute?: number
  /** A letter that somebody had to get will not arrive: whoever runs the service must know. */
  onUndelivered(letter: Letter, problem: string): Promise<void>
  /** The way out is closed, or open again (null). */
  onPost(problem: string | null): void
}

export interface Mailer {
  /** Sends what is due; ends when nothing is, when the minute is full, or when there is no way out. */
  run(): Promise<void>
  /** Why nothing goes out; null while it does. */
  problem(): string | null
  /** Ends after the letter that is under way. */
  stop(): Promise<void>
}

const MINUTE_MS = 60_000
/** Longer than a server may take over one letter. */
const SILENT_MS = 10 * MINUTE_MS
/** After so many refusals in a row an address is left alone. */
const MOST_REFUSALS = 2

export function createMailer({ db, post, now, perMinute = 30, onUndelivered, onPost }: MailerOptions): Mailer {
  let stopped = false
  let closed: string | null = null
  let underWay: Promise<void> = Promise.resolve()

  async function sendDue(): Promise<void> {
    while (!stopped && (await countTried(db, now() - MINUTE_MS)) < perMinute) {
      const letter = await takeLetter(db, now(), now() - SILENT_MS)
      if (letter === null) return
      if (await isStopped(letter)) {
        await markNotWanted(db, letter)
        continue
      }
      if (!(await conclude(letter, await outcomeFor(letter)))) return
    }
  }

  async function isStopped({ kind, personId, houseId }: Letter): Promise<boolean> {
    const letterClass = classOfKind(kind)
    if (letterClass === null || personId === null || houseId === null) return false
    return (await stoppedClasses(db, { personId, houseId })).has(letterClass)
  }

  async function outcomeFor(letter: Letter): Promise<Outcome> {
    if ((await countRefusals(db, letter.toAddress)) < MOST_REFUSALS) return post.send(letter)
    return {
      kind: 'letter refused',
      problem: `Not tried: the address was refused ${MOST_REFUSALS} times before. Mend it, or try one of the letters again.`,
    }
  }

  /** @returns whether the next letter can go */
  async function conclude(letter: Letter, outcome: Outcome): Promise<boolean> {
    if (outcome.kind === 'sent') {
      await markSent(db, letter, now())
      wayOut(null)
      return true
    }
    const { kind, problem } = outcome
    if (kind === 'address refused' || kind === 'letter refused') {
      wayOut(null)
      await giveUp(letter, problem, kind === 'address refused')
      return true
    }
    if (tooOld(letter, now())) await giveUp(letter, `${problem} It is more than five days old.`, false)
    else {
      const notBeforeAt = now() + delayMs(letter.attempts, letter.kind === 'urgent' || letter.secret)
      await markDelayed(db, letter, { problem, notBeforeAt })
    }
    if (kind === 'no post') wayOut(problem)
    return kind === 'later'
  }

  async function giveUp(letter: Letter, problem: string, addressRefused: boolean): Promise<void> {
    const lastStraw = addressRefused && (await countRefusals(db, letter.toAddress)) === MOST_REFUSALS - 1
    // Told first: a program that dies in between tells it again, rather than never.
    if (lastStraw || letter.kind === 'urgent') await onUndelivered(letter, problem)
    await markGivenUp(db, letter, { problem, addressRefused })
  }

  function wayOut(problem: string | null): void {
    // Each attempt says it in other words; that it closed, or opened again, is what is news.
    if ((problem === null) !== (closed === null)) onPost(problem)
    closed = problem
  }

  return {
    run() {
      underWay = underWay.catch(() => {}).then(sendDue) // whoever started the one before heard of it
      return underWay
    },
    problem: () => closed,
    async stop() {
      stopped = true
      await underWay.catch(() => {})
      post.close()
    },
  }
}
