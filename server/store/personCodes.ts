/** Codes that set a password, good once: of an invitation or for a forgotten password. Only their hashes are here. */
import type { Database } from './open.ts'
import { deleteSessions, insertSession, type NewSession } from './sessions.ts'
import { inTransaction, statement } from './unitsOfWork.ts'

export interface CodeOfPerson {
  kind: 'invitation' | 'forgotten password'
  secretHash: string
  endsAt: number
}

/** A newer invitation takes the place of an older one; letters about a forgotten password may cross on their way. */
export async function addCode(db: Database, personId: number, code: CodeOfPerson, now: number): Promise<void> {
  inTransaction(db, () => {
    if (code.kind === 'invitation') {
      statement(db, `delete from person_codes where person_id = ? and kind = 'invitation'`).run(personId)
    }
    insertCode(db, personId, code, now)
  })
}

/** For who is inside a transaction of its own. What is over goes. */
export function insertCode(
  db: Database,
  personId: number,
  { kind, secretHash, endsAt }: CodeOfPerson,
  now: number,
): void {
  statement(db, 'delete from person_codes where ends_at <= ?').run(now)
  statement(
    db,
    'insert into person_codes (person_id, kind, secret_hash, created_at, ends_at) values (?, ?, ?, ?, ?)',
  ).run(personId, kind, secretHash, now, endsAt)
}

const OPEN_CODE = `from person_codes c join people p on p.id = c.person_id
  where c.secret_hash = ? and c.used_at is null and c.ends_at > ? and p.closed_at is null`

/** Whose code it is, as long as it is good; nothing is used up by asking. */
export async function whoseCode(
  db: Database,
  secretHash: string,
  now: number,
): Promise<{ personId: number; name: string; email: string } | undefined> {
  return statement(db, `select p.id as personId, p.name, p.email ${OPEN_CODE}`).get(secretHash, now) as
    | { personId: number; name: string; email: string }
    | undefined
}

/**
 * Uses the code up with every other one of its person, sets the password, ends all sessions and begins this one.
 * @returns null when the code is not good, or not any more
 */
export async function setPasswordByCode(
  db: Database,
  { secretHash, passwordHash, session }: { secretHash: string; passwordHash: string; session: NewSession },
  now: number,
): Promise<{ personId: number; sessionId: number } | null> {
  return inTransaction(db, () => {
    const personId = statement(db, `select p.id ${OPEN_CODE}`).pluck().get(secretHash, now) as number | undefined
    if (personId === undefined) return null
    return { personId, sessionId: writePassword(db, personId, { passwordHash, session }, now) }
  })
}

/**
 * In place of the old password, as long as it is still the one that was looked at; all sessions end and this one begins.
 * @returns the session's number; null when the password was changed meanwhile, or the account closed
 */
export async function replacePassword(
  db: Database,
  personId: number,
  { oldHash, passwordHash, session }: { oldHash: string; passwordHash: string; session: NewSession },
  now: number,
): Promise<number | null> {
  return inTransaction(db, () => {
    const same = statement(db, 'select 1 from people where id = ? and password_hash = ? and closed_at is null').get(
      personId,
      oldHash,
    )
    return same === undefined ? null : writePassword(db, personId, { passwordHash, session }, now)
  })
}

function writePassword(
  db: Database,
  personId: number,
  { passwordHash, session }: { passwordHash: string; session: NewSession },
  now: number,
): number {
  statement(db, 'update people set password_hash = ?, password_at = ? where id = ?').run(passwordHash, now, personId)
  statement(db, 'update person_codes set used_at = ? where person_id = ? and used_at is null').run(now, personId)
  deleteSessions(db, personId)
  return insertSession(db, personId, session, now)
}
