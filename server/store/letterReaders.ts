/** Who is written to about a house. */
import type { Database } from './open.ts'
import type { Role } from './schema.ts'
import { statement } from './unitsOfWork.ts'

export interface Reader {
  personId: number
  name: string
  email: string
  role: Role
  units: 'us' | 'si'
  /** Classes of letters about this house that they do not want. */
  stopped: ReadonlySet<string>
}

/** Owners and technicians of the house, and every contractor: open accounts only, contractors first. */
export async function findReaders(db: Database, houseId: number): Promise<Reader[]> {
  return statement(
    db,
    `select p.id as personId, p.name, p.email, p.role, p.units,
       (select json_group_array(letter_class) from letters_stopped s where s.person_id = p.id and s.house_id = :houseId) as stopped
     from people p where p.closed_at is null and (p.role = 'contractor'
       or exists (select 1 from person_houses h where h.person_id = p.id and h.house_id = :houseId))
     order by case p.role when 'contractor' then 0 when 'technician' then 1 else 2 end, p.id`,
  )
    .all({ houseId })
    .map((row) => {
      const r = row as Omit<Reader, 'stopped'> & { stopped: string }
      return { ...r, stopped: new Set(JSON.parse(r.stopped) as string[]) }
    })
}

/** Every contractor with an open account, for what concerns the firm alone. */
export async function findContractors(db: Database): Promise<Omit<Reader, 'stopped'>[]> {
  return statement(
    db,
    `select id as personId, name, email, role, units from people where role = 'contractor' and closed_at is null order by id`,
  ).all() as Omit<Reader, 'stopped'>[]
}

/** How many letters of these kinds an owner was meant to get about a house since then. */
export async function countLettersTo(
  db: Database,
  { personId, houseId, kinds, since }: { personId: number; houseId: number; kinds: readonly string[]; since: number },
): Promise<number> {
  return statement(
    db,
    `select count(*) from letters where person_id = ? and house_id = ? and created_at >= ? and state <> 'not wanted'
     and kind in (select value from json_each(?))`,
  )
    .pluck()
    .get(personId, houseId, since, JSON.stringify(kinds)) as number
}
