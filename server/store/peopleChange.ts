/** Changes of an account: name, role, houses, closed or open again; and a house that goes to another owner. */

import type { Database } from './open.ts'
import { insertLink, revokeLinksOf } from './ownerLinks.ts'
import { insertPerson, type ListedPerson, listedPerson, personById, type StoredPerson, takenBy } from './people.ts'
import { renameEverywhere } from './peopleHistory.ts'
import { giveHouse, housesOf, setHouses, takeHouse, unknownHouse } from './personHouses.ts'
import type { Role } from './schema.ts'
import { deleteSessions } from './sessions.ts'
import { inTransaction, statement } from './unitsOfWork.ts'

export type Changed =
  | { done: true; person: ListedPerson }
  | { done: false; why: 'UNKNOWN_PERSON' | 'LAST_CONTRACTOR' | 'NAME_TAKEN' }
  | { done: false; why: 'UNKNOWN_HOUSE'; house: string }

/** What is left out stays. */
export async function changePerson(
  db: Database,
  id: number,
  asked: { name?: string; role?: Role; houses?: readonly string[]; closed?: boolean },
  by: { now: number; who: string },
): Promise<Changed> {
  return inTransaction(db, () => {
    const before = personById(db, id)
    if (before === undefined) return { done: false, why: 'UNKNOWN_PERSON' }
    const { name = before.name, role = before.role, closed = before.closedAt !== null } = asked
    if (takenBy(db, { name }, id)) return { done: false, why: 'NAME_TAKEN' }
    const house = unknownHouse(db, asked.houses ?? [])
    if (house !== undefined) return { done: false, why: 'UNKNOWN_HOUSE', house }
    if ((closed || role !== 'contractor') && isLastContractor(db, before))
      return { done: false, why: 'LAST_CONTRACTOR' }

    const closedAt = closed ? (before.closedAt ?? by.now) : null
    statement(db, 'update people set name = ?, role = ?, closed_at = ? where id = ?').run(name, role, closedAt, id)
    if (name !== before.name) renameEverywhere(db, { from: before.name, to: name, since: before.createdAt })
    const who = by.who === before.name ? name : by.who
    // A role that ends takes its houses along, so that the history says in which role they were had.
    const kept = housesOf(db, id).map(({ key }) => key)
    if (role !== before.role) setHouses(db, { id, name, role: before.role }, [], { now: by.now, who })
    setHouses(db, { id, name, role }, asked.houses ?? kept, { now: by.now, who })
    if (closed && before.closedAt === null) endEverything(db, id, by.now)
    return { done: true, person: listedPerson(db, id)! }
  })
}

/** Whether nobody else could let people in: an open contractor's account with a password. */
export const isLastContractor = (db: Database, { id, role, closedAt }: StoredPerson): boolean =>
  role === 'contractor' &&
  closedAt === null &&
  statement(
    db,
    `select not exists (select 1 from people where role = 'contractor' and closed_at is null
       and password_hash is not null and id <> ?)`,
  )
    .pluck()
    .get(id) === 1

/** Every way in: nothing of it comes back when the account is opened again, but for the password. */
function endEverything(db: Database, id: number, now: number): void {
  deleteSessions(db, id)
  revokeLinksOf(db, { personId: id }, now)
  statement(db, 'update api_tokens set revoked_at = ? where person_id = ? and revoked_at is null').run(now, id)
  statement(db, 'delete from person_codes where person_id = ?').run(id)
  statement(db, `delete from letters where person_id = ? and state = 'waiting' and secret`).run(id)
  statement(db, `update letters set state = 'not wanted' where person_id = ? and state = 'waiting'`).run(id)
}

export type HandedOver =
  | { done: true; person: ListedPerson; link: number }
  | { done: false; why: 'UNKNOWN_HOUSE' | 'EMAIL_TAKEN' | 'NAME_TAKEN' }

/**
 * The house has one owner from now on, with a link of their own. Somebody who owns another house already keeps account
 * and name.
 */
export async function handOverHouse(
  db: Database,
  { house, name, email, linkEndsAt }: { house: string; name: string; email: string; linkEndsAt: number },
  by: { now: number; who: string },
): Promise<HandedOver> {
  return inTransaction(db, () => {
    const houseId = statement(db, 'select id from houses where key = ?').pluck().get(house) as number | undefined
    if (houseId === undefined) return { done: false, why: 'UNKNOWN_HOUSE' }
    const known = statement(db, 'select id, name, role, closed_at as closedAt from people where email = ?').get(
      email,
    ) as Pick<StoredPerson, 'id' | 'name' | 'role' | 'closedAt'> | undefined
    if (known && (known.role !== 'owner' || known.closedAt !== null)) return { done: false, why: 'EMAIL_TAKEN' }
    if (!known && takenBy(db, { name })) return { done: false, why: 'NAME_TAKEN' }

    const owner = known ?? {
      id: insertPerson(db, { name, email, role: 'owner' }, by.now),
      name,
      role: 'owner' as const,
    }
    const former = statement(
      db,
      `select p.id, p.name, p.role from person_houses ph join people p on p.id = ph.person_id
       where ph.house_id = ? and p.role = 'owner' and p.id <> ? order by p.id`,
    ).all(houseId, owner.id) as Pick<StoredPerson, 'id' | 'name' | 'role'>[]
    for (const person of former) takeHouse(db, person, houseId, by)
    revokeLinksOf(db, { personId: owner.id, houseId }, by.now)
    giveHouse(db, owner, houseId, by, 'handed the house over to the owner')
    const link = insertLink(db, { personId: owner.id, houseId, endsAt: linkEndsAt }, by.now)
    return { done: true, person: listedPerson(db, owner.id)!, link }
  })
}
