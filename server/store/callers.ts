/** Who makes a request, by the hash of the secret that came with it: one row of an index, for every request. */
import type { Database } from './open.ts'
import { HOUSES_OF_P } from './personHouses.ts'
import type { Role, TokenScope } from './schema.ts'
import { inTransaction, statement } from './unitsOfWork.ts'

export interface CallerRow {
  personId: number
  name: string
  email: string
  role: Role
  houses: string[]
}

const PERSON = `p.id as personId, p.name, p.email, p.role`

/** Of an open account; whether its time is over is for the caller to say. */
export interface SessionCaller extends CallerRow {
  sessionId: number
  seenAt: number
  endsAt: number
  /** Undefined for a session by password; the one house of the link, null where the link lets nobody in any more. */
  linkHouse: string | null | undefined
}

export async function findSessionCaller(
  db: Database,
  secretHash: string,
  now: number,
): Promise<SessionCaller | undefined> {
  const row = statement(
    db,
    `select ${PERSON}, s.id as sessionId, s.seen_at as seenAt, s.ends_at as endsAt, s.link_id is not null as viaLink,
       case when s.link_id is null then ${HOUSES_OF_P} else '[]' end as houses,
       case when s.link_id is not null then
         (select h.key from owner_links l join person_houses ph on ph.house_id = l.house_id and ph.person_id = p.id
          join houses h on h.id = l.house_id
          where l.id = s.link_id and l.revoked_at is null and l.ends_at > ? and p.role = 'owner') end as linkHouse
     from sessions s join people p on p.id = s.person_id where s.secret_hash = ? and p.closed_at is null`,
  ).get(now, secretHash) as (CallerRow & Record<string, unknown>) | undefined
  if (row === undefined) return undefined
  const { viaLink, houses, linkHouse, ...rest } = row as Record<string, unknown>
  return {
    ...(rest as Omit<SessionCaller, 'houses' | 'linkHouse'>),
    houses: JSON.parse(houses as string) as string[],
    linkHouse: viaLink === 1 ? (linkHouse as string | null) : undefined,
  }
}

export async function noteSeen(db: Database, sessionId: number, now: number): Promise<void> {
  inTransaction(db, () => statement(db, 'update sessions set seen_at = ? where id = ?').run(now, sessionId))
}

export interface TokenCaller extends CallerRow {
  tokenId: number
  scope: TokenScope
  usedAt: number | null
}

/** Neither revoked nor over, of an open account. */
export async function findTokenCaller(db: Database, secretHash: string, now: number): Promise<TokenCaller | undefined> {
  const row = statement(
    db,
    `select ${PERSON}, t.id as tokenId, t.scope, t.used_at as usedAt, ${HOUSES_OF_P} as houses
     from api_tokens t join people p on p.id = t.person_id
     where t.secret_hash = ? and t.revoked_at is null and t.ends_at > ? and p.closed_at is null`,
  ).get(secretHash, now) as (Omit<TokenCaller, 'houses'> & { houses: string }) | undefined
  return row && { ...row, houses: JSON.parse(row.houses) as string[] }
}

export async function noteTokenUsed(db: Database, tokenId: number, now: number): Promise<void> {
  inTransaction(db, () => statement(db, 'update api_tokens set used_at = ? where id = ?').run(now, tokenId))
}
