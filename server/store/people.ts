/** Who may come in: finding people, the first one of the firm, and adding more. */
import type { Database } from './open.ts'
import { type CodeOfPerson, insertCode } from './personCodes.ts'
import { HOUSES_OF_P, setHouses, unknownHouse } from './personHouses.ts'
import type { Role } from './schema.ts'
import { insertSession, type NewSession } from './sessions.ts'
import { inTransaction, statement } from './unitsOfWork.ts'

export interface StoredPerson {
  id: number
  email: string
  name: string
  role: Role
  createdAt: number
  passwordHash: string | null
  closedAt: number | null
}

const STORED = `id, email, name, role, created_at as createdAt, password_hash as passwordHash, closed_at as closedAt`

/** @param email in lower case, as it is kept */
export async function findPersonByEmail(db: Database, email: string): Promise<StoredPerson | undefined> {
  return statement(db, `select ${STORED} from people where email = ?`).get(email) as StoredPerson | undefined
}

export async function findPerson(db: Database, id: number): Promise<StoredPerson | undefined> {
  return personById(db, id)
}

/** The same, for who is inside a transaction of its own. */
export const personById = (db: Database, id: number): StoredPerson | undefined =>
  statement(db, `select ${STORED} from people where id = ?`).get(id) as StoredPerson | undefined

/** A person as others see them, with the keys of the houses they are given. */
export interface ListedPerson {
  id: number
  name: string
  email: string
  role: Role
  createdAt: number
  /** Whether there is a password; without one they come by invitation or link. */
  hasPassword: boolean
  closed: boolean
  /** Empty for contractors, who reach all. */
  houses: string[]
}

const LISTED = `p.id, p.name, p.email, p.role, p.created_at as createdAt, p.password_hash is not null as hasPassword,
  p.closed_at is not null as closed, ${HOUSES_OF_P} as houses`

function toListed(row: unknown): ListedPerson {
  const r = row as Omit<ListedPerson, 'houses' | 'hasPassword' | 'closed'> & Record<string, unknown>
  return {
    ...r,
    hasPassword: r.hasPassword === 1,
    closed: r.closed === 1,
    houses: JSON.parse(r.houses as string) as string[],
  }
}

/** Open accounts before closed ones, by name. */
export async function listPeople(db: Database): Promise<ListedPerson[]> {
  return statement(db, `select ${LISTED} from people p order by p.closed_at is not null, p.name collate nocase, p.id`)
    .all()
    .map(toListed)
}

export async function findListedPerson(db: Database, id: number): Promise<ListedPerson | undefined> {
  return listedPerson(db, id)
}

/** The same, for who is inside a transaction of its own. */
export function listedPerson(db: Database, id: number): ListedPerson | undefined {
  const row = statement(db, `select ${LISTED} from people p where p.id = ?`).get(id)
  return row === undefined ? undefined : toListed(row)
}

/** Whether there is a contractor's account: from then on the firm lets people in itself. */
export async function hasContractor(db: Database): Promise<boolean> {
  return contractorThere(db)
}

const contractorThere = (db: Database): boolean =>
  statement(db, `select exists (select 1 from people where role = 'contractor' and closed_at is null)`)
    .pluck()
    .get() === 1

export type NotAdded =
  | { done: false; why: 'EMAIL_TAKEN' | 'NAME_TAKEN' | 'BEGUN' }
  | { done: false; why: 'UNKNOWN_HOUSE'; house: string }

export type Added = { done: true; person: ListedPerson } | NotAdded

/** Somebody new, who comes in by this invitation. */
export async function addPerson(
  db: Database,
  asked: { name: string; email: string; role: Role; houses: readonly string[] },
  { now, who, invitation }: { now: number; who: string; invitation: CodeOfPerson },
): Promise<Added> {
  return inTransaction(db, () => {
    const taken = takenBy(db, asked)
    if (taken) return { done: false, why: taken }
    const house = unknownHouse(db, asked.houses)
    if (house !== undefined) return { done: false, why: 'UNKNOWN_HOUSE', house }
    const id = insertPerson(db, asked, now)
    setHouses(db, { id, name: asked.name, role: asked.role }, asked.houses, { now, who })
    insertCode(db, id, invitation, now)
    return { done: true, person: listedPerson(db, id)! }
  })
}

/**
 * Names stand for people in the histories of houses, so that no two people have the same one.
 * @param but who may have it already: the person themselves
 */
export function takenBy(
  db: Database,
  { name, email }: { name: string; email?: string },
  but = 0,
): 'EMAIL_TAKEN' | 'NAME_TAKEN' | null {
  const others = (where: string, value: string) =>
    statement(db, `select exists (select 1 from people where ${where} and id <> ?)`).pluck().get(value, but) === 1
  if (email !== undefined && others('email = ?', email)) return 'EMAIL_TAKEN'
  return others('name = ? collate nocase', name) ? 'NAME_TAKEN' : null
}

/** For who is inside a transaction of its own. */
export function insertPerson(
  db: Database,
  { name, email, role, passwordHash = null }: { name: string; email: string; role: Role; passwordHash?: string | null },
  now: number,
): number {
  return statement(
    db,
    `insert into people (name, email, role, created_at, password_hash, password_at) values (?, ?, ?, ?, ?, ?) returning id`,
  )
    .pluck()
    .get(name, email, role, now, passwordHash, passwordHash === null ? null : now) as number
}

/** The firm's name and its first contractor, who is signed in; refused once there is a contractor. */
export async function beginFirm(
  db: Database,
  asked: { firm: string; name: string; email: string; passwordHash: string; session: NewSession },
  now: number,
): Promise<{ done: true; personId: number; sessionId: number } | NotAdded> {
  return inTransaction(db, () => {
    if (contractorThere(db)) return { done: false, why: 'BEGUN' }
    const taken = takenBy(db, asked)
    if (taken) return { done: false, why: taken }
    const { changes } = statement(db, 'update firm set name = ? where id = (select min(id) from firm)').run(asked.firm)
    if (changes === 0) statement(db, 'insert into firm (name) values (?)').run(asked.firm)
    const personId = insertPerson(db, { ...asked, role: 'contractor' }, now)
    return { done: true, personId, sessionId: insertSession(db, personId, asked.session, now) }
  })
}
