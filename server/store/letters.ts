/**
 * The outbox. A letter is stored in the moment it is decided and goes out later, at least once: whoever takes it says so
 * first and marks it after, and one that was taken and never marked is taken again, under the same Message-ID.
 */
import { randomUUID } from 'node:crypto'
import type { Database } from './open.ts'
import type { LETTER_STATES } from './schema.ts'
import { noteServiceFact } from './serviceFacts.ts'
import { inTransaction, statement } from './unitsOfWork.ts'

export type LetterState = (typeof LETTER_STATES)[number]

/** What a letter is made of. Lines that head it (subject, names) may hold anything: the post makes them harmless. */
export interface NewLetter {
  /** Who asks twice for the same letter gets one, such as "notice 12 opened 3". */
  onceKey: string
  /** A word of what it is for, such as "invitation" or "urgent". */
  kind: string
  houseId?: number | null
  noticeId?: number | null
  personId?: number | null
  toAddress: string
  toName: string
  subject: string
  text: string
  html: string
  /** PNG, shown where the words name it as `cid:picture`, with what it shows in words. */
  picture?: { png: Buffer; alt: string } | null
  /** iCalendar, sent along as a file. */
  calendar?: string | null
  /** Where one click stops letters of its class. */
  unsubscribeUrl?: string | null
  /** Carries a secret: its words are wiped once it was sent, or given up. */
  secret?: boolean
  createdAt: number
  /** Quiet hours may hold it back; as `createdAt` when left out. */
  notBeforeAt?: number
}

export interface Letter {
  id: number
  onceKey: string
  houseId: number | null
  noticeId: number | null
  personId: number | null
  kind: string
  toAddress: string
  toName: string
  messageId: string
  threadId: string | null
  subject: string
  text: string
  html: string
  picture: Buffer | null
  pictureAlt: string | null
  calendar: string | null
  unsubscribeUrl: string | null
  secret: boolean
  state: LetterState
  createdAt: number
  notBeforeAt: number
  attempts: number
  triedAt: number | null
  sentAt: number | null
  problem: string | null
  addressRefused: boolean
}

/** Host part of Message-IDs until the post tells its own. */
const NO_DOMAIN = 'underjoist.invalid'
const DOMAIN_FACT = 'letters domain'

/** From now on the Message-IDs of new letters are of this host; those of stored ones stay. */
export async function noteLetterDomain(db: Database, domain: string): Promise<void> {
  await noteServiceFact(db, DOMAIN_FACT, domain)
}

/** @returns false when a letter of this key is stored already; nothing changes then */
export async function storeLetter(db: Database, letter: NewLetter): Promise<boolean> {
  return inTransaction(db, () => insertLetter(db, letter))
}

/** All or none, so that what led to them can be marked as told in one go. */
export async function storeLetters(db: Database, letters: readonly NewLetter[]): Promise<number> {
  return inTransaction(db, () => letters.filter((letter) => insertLetter(db, letter)).length)
}

/** The same, for who is inside a transaction of its own. */
export function insertLetter(db: Database, letter: NewLetter): boolean {
  const { noticeId = null, personId = null, picture = null } = letter
  const domain = statement(db, 'select value from service_facts where name = ?').pluck().get(DOMAIN_FACT)
  // A thread is a person's own: everybody answers the first letter that they were sent themselves.
  const threadId =
    noticeId === null
      ? null
      : statement(
          db,
          `select message_id from letters where notice_id = cast(? as integer) and person_id is ? and to_address = ?
           and state <> 'not wanted' order by id limit 1`,
        )
          .pluck()
          .get(noticeId, personId, letter.toAddress)
  return (
    statement(
      db,
      `insert into letters (once_key, kind, house_id, notice_id, person_id, to_address, to_name, message_id, thread_id,
        subject, text, html, picture, picture_alt, calendar, unsubscribe_url, secret, state, created_at, not_before_at)
       values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, 'waiting', ?, ?) on conflict (once_key) do nothing`,
    ).run(
      letter.onceKey,
      letter.kind,
      letter.houseId ?? null,
      noticeId,
      personId,
      letter.toAddress,
      letter.toName,
      `<${randomUUID()}@${domain ?? NO_DOMAIN}>`,
      threadId ?? null,
      letter.subject,
      letter.text,
      letter.html,
      picture?.png ?? null,
      picture?.alt ?? null,
      letter.calendar ?? null,
      letter.unsubscribeUrl ?? null,
      letter.secret ? 1 : 0,
      letter.createdAt,
      letter.notBeforeAt ?? letter.createdAt,
    ).changes > 0
  )
}

/** Which attempt at which letter: only the latest may mark it. */
export interface Taken {
  id: number
  attempts: number
}

/**
 * Takes the letter that is due first, alarms and account letters before the rest, and says that it is being sent.
 * One that somebody took before `silentSince` and never marked is due again.
 */
export async function takeLetter(db: Database, at: number, silentSince: number): Promise<Letter | null> {
  const row = inTransaction(db, () =>
    statement(
      db,
      `update letters set state = 'sending', attempts = attempts + 1, tried_at = ? where id = (
         select id from letters where (state = 'waiting' and not_before_at <= ?) or (state = 'sending' and tried_at < ?)
         order by kind <> 'urgent' and not secret, not_before_at, id limit 1)
       returning *`,
    ).get(at, at, silentSince),
  )
  return row === undefined ? null : toLetter(row)
}

/** How many attempts began since then, for the rate. */
export async function countTried(db: Database, since: number): Promise<number> {
  return statement(db, 'select count(*) from letters where tried_at > ?').pluck().get(since) as number
}

const HELD = `id = ? and attempts = ? and state = 'sending'`
const WIPED = `text = case secret when 1 then '' else text end, html = case secret when 1 then '' else html end,
  unsubscribe_url = case secret when 1 then null else unsubscribe_url end`

export async function markSent(db: Database, { id, attempts }: Taken, at: number): Promise<void> {
  inTransaction(db, () =>
    statement(db, `update letters set state = 'sent', sent_at = ?, problem = null, ${WIPED} where ${HELD}`).run(
      at,
      id,
      attempts,
    ),
  )
}

/** It did not go, and is tried again then. */
export async function markDelayed(
  db: Database,
  { id, attempts }: Taken,
  { problem, notBeforeAt }: { problem: string; notBeforeAt: number },
): Promise<void> {
  inTransaction(db, () =>
    statement(db, `update letters set state = 'waiting', problem = ?, not_before_at = ? where ${HELD}`).run(
      problem,
      notBeforeAt,
      id,
      attempts,
    ),
  )
}

/** It will not go: nobody tries again by themselves. */
export async function markGivenUp(
  db: Database,
  { id, attempts }: Taken,
  { problem, addressRefused = false }: { problem: string; addressRefused?: boolean },
): Promise<void> {
  inTransaction(db, () =>
    statement(
      db,
      `update letters set state = 'given up', problem = ?, address_refused = ?, ${WIPED} where ${HELD}`,
    ).run(problem, addressRefused ? 1 : 0, id, attempts),
  )
}

/** Its class was stopped after it was stored. */
export async function markNotWanted(db: Database, { id, attempts }: Taken): Promise<void> {
  inTransaction(db, () =>
    statement(db, `update letters set state = 'not wanted', problem = null where ${HELD}`).run(id, attempts),
  )
}

/** How often an address was refused for good since something last arrived there. */
export async function countRefusals(db: Database, toAddress: string): Promise<number> {
  return statement(
    db,
    `select count(*) from letters where lower(to_address) = lower(:toAddress) and address_refused and id > coalesce(
       (select max(id) from letters where lower(to_address) = lower(:toAddress) and state = 'sent'), 0)`,
  )
    .pluck()
    .get({ toAddress }) as number
}

/** Somebody mended what was wrong: this letter goes again, and what its address was refused for is forgotten. */
export async function tryLetterAgain(db: Database, id: number, at: number): Promise<boolean> {
  return inTransaction(db, () => {
    const letter = statement(
      db,
      `update letters set state = 'waiting', not_before_at = ?, attempts = 0, problem = null
       where id = ? and state = 'given up' and not secret returning to_address as toAddress`,
    ).get(at, id) as { toAddress: string } | undefined
    if (letter === undefined) return false
    statement(db, 'update letters set address_refused = 0 where lower(to_address) = lower(?)').run(letter.toAddress)
    return true
  })
}

/** What there is beside the words and pictures. */
export type LetterHead = Omit<Letter, 'text' | 'html' | 'picture' | 'pictureAlt' | 'calendar' | 'unsubscribeUrl'>

/** The house it is about: key and name. */
interface OfHouse {
  house: string | null
  houseName: string | null
}

/** A row of the list. */
export type LetterRow = LetterHead & OfHouse

const LISTED = `l.id, once_key, house_id, notice_id, person_id, kind, to_address, to_name, message_id, thread_id, subject,
  secret, state, l.created_at, not_before_at, attempts, tried_at, sent_at, problem, address_refused`
const OF_HOUSE = 'h.key as house, h.name as house_name from letters l left join houses h on h.id = l.house_id'
const toOfHouse = (r: Row): OfHouse => ({ house: r.house as string | null, houseName: r.house_name as string | null })

/** Newest first. @param before id of the last one already seen */
export async function listLetters(
  db: Database,
  { before = Number.MAX_SAFE_INTEGER, most, house }: { before?: number; most: number; house?: string },
): Promise<LetterRow[]> {
  const ofOne = house === undefined ? '' : 'and l.house_id = (select id from houses where key = :house)'
  return statement(
    db,
    `select ${LISTED}, ${OF_HOUSE} where l.id < cast(:before as integer) ${ofOne}
     order by l.id desc limit cast(:most as integer)`,
  )
    .all({ before, most, ...(house !== undefined && { house }) })
    .map((row) => ({ ...toHead(row as Row), ...toOfHouse(row as Row) }))
}

export async function findLetter(db: Database, id: number): Promise<(Letter & OfHouse) | null> {
  const row = statement(db, `select l.*, ${OF_HOUSE} where l.id = ?`).get(id)
  return row === undefined ? null : { ...toLetter(row), ...toOfHouse(row as Row) }
}

type Row = Record<string, string | number | Buffer | null>

function toLetter(row: unknown): Letter {
  const r = row as Row
  return {
    ...toHead(r),
    text: r.text as string,
    html: r.html as string,
    picture: r.picture as Buffer | null,
    pictureAlt: r.picture_alt as string | null,
    calendar: r.calendar as string | null,
    unsubscribeUrl: r.unsubscribe_url as string | null,
  }
}

const toHead = (r: Row): LetterHead => ({
  id: r.id as number,
  onceKey: r.once_key as string,
  houseId: r.house_id as number | null,
  noticeId: r.notice_id as number | null,
  personId: r.person_id as number | null,
  kind: r.kind as string,
  toAddress: r.to_address as string,
  toName: r.to_name as string,
  messageId: r.message_id as string,
  threadId: r.thread_id as string | null,
  subject: r.subject as string,
  secret: r.secret === 1,
  state: r.state as LetterState,
  createdAt: r.created_at as number,
  notBeforeAt: r.not_before_at as number,
  attempts: r.attempts as number,
  triedAt: r.tried_at as number | null,
  sentAt: r.sent_at as number | null,
  problem: r.problem as string | null,
  addressRefused: r.address_refused === 1,
})
