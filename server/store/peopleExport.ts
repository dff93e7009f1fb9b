/** Everything that is kept about a person, for whoever asks what that is. Hashes of secrets are left out: they tell nothing. */
import type { Database } from './open.ts'
import { listedPerson, personById } from './people.ts'
import { inTransaction, statement } from './unitsOfWork.ts'

/** The parts that carry the person's number. */
const BY_NUMBER = {
  houses: `select h.key as house, h.name, ph.since from person_houses ph join houses h on h.id = ph.house_id
    where ph.person_id = ? order by h.key`,
  sessions: `select id, created_at as createdAt, seen_at as seenAt, ends_at as endsAt, agent, address,
    link_id as link from sessions where person_id = ? order by id`,
  codes: `select kind, created_at as createdAt, ends_at as endsAt, used_at as usedAt from person_codes
    where person_id = ? order by id`,
  tokens: `select id, name, scope, created_at as createdAt, ends_at as endsAt, used_at as usedAt, revoked_at as revokedAt
    from api_tokens where person_id = ? order by id`,
  links: `select l.id, h.key as house, l.created_at as createdAt, l.ends_at as endsAt, l.used_at as usedAt,
    l.revoked_at as revokedAt from owner_links l join houses h on h.id = l.house_id where l.person_id = ? order by l.id`,
  lettersStopped: `select h.key as house, s.letter_class as letterClass, s.at from letters_stopped s
    join houses h on h.id = s.house_id where s.person_id = ? order by s.at`,
} as const

/** Those that carry the name, as of when the account was made; a house that is gone is null. */
const BY_NAME = {
  changesOfHouses: `select h.key as house, t.at, t.what, t.subject from history t left join houses h on h.id = t.house_id
    where (t.who = :name or t.subject = :name and t.before is null and t.after is null) and t.at >= :since order by t.id`,
  noticesAcknowledged: `select h.key as house, n.watch, n.cause, n.acknowledged_at as at from notices n
    join houses h on h.id = n.house_id where n.acknowledged_by = :name and n.acknowledged_at >= :since order by n.id`,
  changesOfNotices: `select h.key as house, n.watch, n.cause, c.at, c.change from notice_changes c
    join notices n on n.id = c.notice_id join houses h on h.id = n.house_id where c.who = :name and c.at >= :since order by c.id`,
  sensorChecks: `select id, kind, started_at as startedAt, state from sensor_checks where who = :name and started_at >= :since
    order by id`,
  surveys: `select h.key as house, s.at_local as at, s.note from surveys s join houses h on h.id = s.house_id
    where s.by = :name and :since is not null order by s.at`,
} as const

/** @returns undefined when there is no such person */
export async function exportPerson(db: Database, id: number): Promise<Record<string, unknown> | undefined> {
  return inTransaction(db, () => {
    const [person, stored] = [listedPerson(db, id), personById(db, id)]
    if (person === undefined || stored === undefined) return undefined
    const rest = statement(
      db,
      'select units, password_at as passwordAt, closed_at as closedAt from people where id = ?',
    ).get(id) as Record<string, unknown>
    const { houses: _, ...account } = person
    const parts = (queries: Record<string, string>, ...values: unknown[]) =>
      Object.fromEntries(Object.entries(queries).map(([name, query]) => [name, statement(db, query).all(...values)]))
    return {
      account: { ...account, ...rest },
      ...parts(BY_NUMBER, id),
      letters: statement(
        db,
        `select kind, to_address as toAddress, to_name as toName, created_at as createdAt, sent_at as sentAt, state,
           subject, case when secret then null else text end as text
         from letters where person_id = ? or lower(to_address) = ? order by id`,
      ).all(id, person.email),
      ...parts(BY_NAME, { name: person.name, since: stored.createdAt }),
    }
  })
}
