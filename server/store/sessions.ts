/** Browsers that are signed in. Only hashes of their secrets are here. */
import type { Database } from './open.ts'
import { inTransaction, statement } from './unitsOfWork.ts'

export interface NewSession {
  secretHash: string
  endsAt: number
  agent: string
  address: string
  /** Signed in by this link. */
  linkId?: number
}

/** Beyond it, the session of a person that was seen longest ago ends. A proposal. */
const MOST_OF_A_PERSON = 50

export async function addSession(db: Database, personId: number, session: NewSession, now: number): Promise<number> {
  return inTransaction(db, () => insertSession(db, personId, session, now))
}

/** For who is inside a transaction of its own. What is over goes. */
export function insertSession(
  db: Database,
  personId: number,
  { secretHash, endsAt, agent, address, linkId }: NewSession,
  now: number,
): number {
  statement(db, 'delete from sessions where ends_at <= ?').run(now)
  statement(
    db,
    `delete from sessions where id in (select id from sessions where person_id = ? order by seen_at desc, id desc
     limit -1 offset cast(? as integer))`,
  ).run(personId, MOST_OF_A_PERSON - 1)
  return statement(
    db,
    `insert into sessions (person_id, secret_hash, link_id, created_at, seen_at, ends_at, agent, address)
     values (?, ?, ?, ?, ?, ?, ?, ?) returning id`,
  )
    .pluck()
    .get(personId, secretHash, linkId ?? null, now, now, endsAt, agent, address) as number
}

export interface ListedSession {
  id: number
  createdAt: number
  seenAt: number
  endsAt: number
  agent: string
  address: string
  viaLink: boolean
}

/** Those that still let somebody in, the one seen last first. @param seenAfter before it they ended by themselves */
export async function listSessions(
  db: Database,
  personId: number,
  { now, seenAfter }: { now: number; seenAfter: number },
): Promise<ListedSession[]> {
  return statement(
    db,
    `select id, created_at as createdAt, seen_at as seenAt, ends_at as endsAt, agent, address,
       link_id is not null as viaLink
     from sessions where person_id = ? and ends_at > ? and seen_at > ? order by seen_at desc, id desc`,
  )
    .all(personId, now, seenAfter)
    .map((row) => {
      const r = row as Omit<ListedSession, 'viaLink'> & { viaLink: number }
      return { ...r, viaLink: r.viaLink === 1 }
    })
}

export async function removeSession(db: Database, id: number): Promise<void> {
  inTransaction(db, () => statement(db, 'delete from sessions where id = ?').run(id))
}

/** @returns false when the person has no such session */
export async function removeSessionOf(db: Database, personId: number, id: number): Promise<boolean> {
  return inTransaction(
    db,
    () => statement(db, 'delete from sessions where id = ? and person_id = ?').run(id, personId).changes > 0,
  )
}

/** @param keptId the one that stays; null ends all */
export async function removeOtherSessions(db: Database, personId: number, keptId: number | null): Promise<number> {
  return inTransaction(db, () => deleteSessions(db, personId, keptId))
}

/** The same, for who is inside a transaction of its own. */
export const deleteSessions = (db: Database, personId: number, keptId: number | null = null): number =>
  statement(db, 'delete from sessions where person_id = ? and id is not ?').run(personId, keptId).changes

/** Whether the person of this e-mail address has signed in from there with a password and is still signed in. */
export async function knownFrom(
  db: Database,
  { email, address, now }: { email: string; address: string; now: number },
): Promise<boolean> {
  return (
    statement(
      db,
      `select exists (select 1 from sessions s join people p on p.id = s.person_id
       where p.email = ? and s.address = ? and s.link_id is null and s.ends_at > ?)`,
    )
      .pluck()
      .get(email, address, now) === 1
  )
}
