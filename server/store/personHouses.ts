/** Which houses a technician works at and an owner owns. */
import type { Database } from './open.ts'
import { revokeLinksOf } from './ownerLinks.ts'
import { type HouseAct, noteAtHouse } from './peopleHistory.ts'
import type { Role } from './schema.ts'
import { statement } from './unitsOfWork.ts'

/** The keys of a person's houses as JSON, for a query in which the people are `p`. */
export const HOUSES_OF_P = `(select json_group_array(key) from (select h.key from person_houses ph
  join houses h on h.id = ph.house_id where ph.person_id = p.id order by h.key))`

/** The first of these keys that is no house's. */
export function unknownHouse(db: Database, keys: readonly string[]): string | undefined {
  return keys.find((key) => statement(db, 'select 1 from houses where key = ?').get(key) === undefined)
}

interface Giver {
  now: number
  who: string
}

/** A person's role, name and number. */
export interface Given {
  id: number
  name: string
  role: Role
}

/** From now on the person has these houses and no other; what changes stands in the history of each. */
export function setHouses(db: Database, person: Given, keys: readonly string[], giver: Giver): void {
  // A contractor reaches all of them; what one had in another role says nothing any more.
  const wanted = new Set(person.role === 'contractor' ? [] : keys)
  for (const { id, key } of housesOf(db, person.id)) if (!wanted.has(key)) takeHouse(db, person, id, giver)
  const had = new Set(housesOf(db, person.id).map(({ key }) => key))
  for (const key of wanted) {
    if (had.has(key)) continue
    giveHouse(db, person, statement(db, 'select id from houses where key = ?').pluck().get(key) as number, giver)
  }
}

export const housesOf = (db: Database, personId: number): { id: number; key: string }[] =>
  statement(
    db,
    'select h.id, h.key from person_houses ph join houses h on h.id = ph.house_id where ph.person_id = ? order by h.key',
  ).all(personId) as { id: number; key: string }[]

/** @returns false when the person had it already */
export function giveHouse(
  db: Database,
  { id, name, role }: Given,
  houseId: number,
  giver: Giver,
  act: HouseAct = role === 'owner' ? 'gave the house to the owner' : 'gave the house to the technician',
): boolean {
  const { changes } = statement(
    db,
    'insert into person_houses (person_id, house_id, since) values (?, ?, ?) on conflict do nothing',
  ).run(id, houseId, giver.now)
  if (changes > 0) noteAtHouse(db, { houseId, act, name }, giver)
  return changes > 0
}

/** With the links to it, sessions by those, and letters about it that have not gone yet. */
export function takeHouse(db: Database, { id, name, role }: Given, houseId: number, giver: Giver): void {
  statement(db, 'delete from person_houses where person_id = ? and house_id = ?').run(id, houseId)
  revokeLinksOf(db, { personId: id, houseId }, giver.now)
  statement(db, 'delete from letters_stopped where person_id = ? and house_id = ?').run(id, houseId)
  statement(
    db,
    `update letters set state = 'not wanted' where person_id = ? and house_id = ? and state = 'waiting'`,
  ).run(id, houseId)
  if (role === 'contractor') return
  const act = role === 'owner' ? 'took the house from the owner' : 'took the house from the technician'
  noteAtHouse(db, { houseId, act, name }, giver)
}
