/** Links by which an owner looks at one house. A link is signed, not stored; its row says until when, and takes it back. */
import type { Database } from './open.ts'
import { noteAtHouse } from './peopleHistory.ts'
import { insertSession, type NewSession } from './sessions.ts'
import { inTransaction, statement } from './unitsOfWork.ts'

export interface ListedLink {
  id: number
  house: string
  personId: number
  name: string
  email: string
  createdAt: number
  endsAt: number
  usedAt: number | null
}

/** Those not taken back, the newest first, with those whose time is over. */
export async function listLinks(db: Database, house: string): Promise<ListedLink[]> {
  return statement(
    db,
    `select l.id, h.key as house, p.id as personId, p.name, p.email, l.created_at as createdAt, l.ends_at as endsAt,
       l.used_at as usedAt
     from owner_links l join houses h on h.id = l.house_id join people p on p.id = l.person_id
     where h.key = ? and l.revoked_at is null order by l.id desc`,
  ).all(house) as ListedLink[]
}

/** An open account of an owner who has this house. */
const OWNER_OF = `from person_houses ph join people p on p.id = ph.person_id join houses h on h.id = ph.house_id
  where p.role = 'owner' and p.closed_at is null`

/** @returns null when the person does not own this house */
export async function addLink(
  db: Database,
  { house, personId, endsAt }: { house: string; personId: number; endsAt: number },
  by: { now: number; who: string },
): Promise<number | null> {
  return inTransaction(db, () => {
    const owner = statement(db, `select p.name, h.id as houseId ${OWNER_OF} and h.key = ? and p.id = ?`).get(
      house,
      personId,
    ) as { name: string; houseId: number } | undefined
    if (owner === undefined) return null
    const id = insertLink(db, { personId, houseId: owner.houseId, endsAt }, by.now)
    noteAtHouse(db, { houseId: owner.houseId, act: 'made a link for the owner', name: owner.name }, by)
    return id
  })
}

/** For who is inside a transaction of its own. */
export const insertLink = (
  db: Database,
  { personId, houseId, endsAt }: { personId: number; houseId: number; endsAt: number },
  now: number,
): number =>
  statement(db, 'insert into owner_links (person_id, house_id, created_at, ends_at) values (?, ?, ?, ?) returning id')
    .pluck()
    .get(personId, houseId, now, endsAt) as number

/** @returns false when the house has no such link, or it was taken back before */
export async function revokeLink(
  db: Database,
  { house, id }: { house: string; id: number },
  by: { now: number; who: string },
): Promise<boolean> {
  return inTransaction(db, () => {
    const link = statement(
      db,
      `select l.house_id as houseId, p.name from owner_links l join houses h on h.id = l.house_id
       join people p on p.id = l.person_id where l.id = ? and h.key = ? and l.revoked_at is null`,
    ).get(id, house) as { houseId: number; name: string } | undefined
    if (link === undefined) return false
    statement(db, 'delete from sessions where link_id = ?').run(id)
    statement(db, 'update owner_links set revoked_at = ? where id = ?').run(by.now, id)
    noteAtHouse(db, { houseId: link.houseId, act: 'took back the link of the owner', name: link.name }, by)
    return true
  })
}

/** Those of a person at one house, or at all; sessions by them end. For who is inside a transaction of its own. */
export function revokeLinksOf(
  db: Database,
  { personId, houseId = null }: { personId: number; houseId?: number | null },
  now: number,
): void {
  const those = 'person_id = :personId and (:houseId is null or house_id = :houseId)'
  const values = { personId, houseId, now }
  statement(db, `delete from sessions where link_id in (select id from owner_links where ${those})`).run(values)
  statement(db, `update owner_links set revoked_at = :now where ${those} and revoked_at is null`).run(values)
}

/**
 * Begins a session by a link whose signature was looked at.
 * @param endsAt as the link says it
 * @returns null when the link lets nobody in: unknown, over, taken back, or its person does not own the house any more
 */
export async function enterByLink(
  db: Database,
  { id, endsAt, session }: { id: number; endsAt: number; session: NewSession },
  now: number,
): Promise<{ personId: number; name: string; email: string; house: string; sessionId: number } | null> {
  return inTransaction(db, () => {
    const owner = statement(
      db,
      `select p.id as personId, p.name, p.email, h.key as house ${OWNER_OF} and exists (select 1 from owner_links l
         where l.id = ? and l.ends_at = ? and l.ends_at > ? and l.revoked_at is null
           and l.person_id = p.id and l.house_id = h.id)`,
    ).get(id, endsAt, now) as { personId: number; name: string; email: string; house: string } | undefined
    if (owner === undefined) return null
    statement(db, 'update owner_links set used_at = ? where id = ?').run(now, id)
    const sessionId = insertSession(db, owner.personId, { ...session, linkId: id }, now)
    return { ...owner, sessionId }
  })
}

/** The link that lets an owner in for longest, for letters that write it again. */
export async function findOpenLink(
  db: Database,
  { houseId, personId, now }: { houseId: number; personId: number; now: number },
): Promise<{ id: number; endsAt: number } | null> {
  return (statement(
    db,
    `select l.id, l.ends_at as endsAt from owner_links l join person_houses ph
       on ph.person_id = l.person_id and ph.house_id = l.house_id join people p on p.id = l.person_id
     where l.person_id = ? and l.house_id = ? and l.revoked_at is null and l.ends_at > ?
       and p.role = 'owner' and p.closed_at is null order by l.ends_at desc, l.id desc limit 1`,
  ).get(personId, houseId, now) ?? null) as { id: number; endsAt: number } | null
}
