/** What a house's history says of people: who was given it, and by which name its entries know somebody. */
import type { Database } from './open.ts'
import { statement } from './unitsOfWork.ts'

/** What was done at a house about a person, whose name follows. */
export type HouseAct =
  | 'gave the house to the technician'
  | 'gave the house to the owner'
  | 'took the house from the technician'
  | 'took the house from the owner'
  | 'handed the house over to the owner'
  | 'made a link for the owner'
  | 'took back the link of the owner'

export function noteAtHouse(
  db: Database,
  { houseId, act, name }: { houseId: number; act: HouseAct; name: string },
  { now, who }: { now: number; who: string },
): void {
  statement(db, 'insert into history (house_id, at, who, what, subject) values (?, ?, ?, ?, ?)').run(
    houseId,
    now,
    who,
    `${act} ${name}`,
    name,
  )
}

/** Who did something, in each table that says so. */
const WHO = [
  ['history', 'who', 'at'],
  ['notices', 'acknowledged_by', 'acknowledged_at'],
  ['notice_changes', 'who', 'at'],
  ['sensor_checks', 'who', 'started_at'],
] as const

/**
 * Another name wherever the service wrote this one down. No two people have one name, and what was written before the
 * account was made is somebody else's.
 */
export function renameEverywhere(db: Database, { from, to, since }: { from: string; to: string; since: number }): void {
  for (const [table, column, at] of WHO) {
    statement(db, `update ${table} set ${column} = ? where ${column} = ? and ${at} >= ?`).run(to, from, since)
  }
  // Only entries about a person end with their subject, for those of a house name the house.
  statement(
    db,
    `update history set subject = :to, what = substr(what, 1, length(what) - length(:from)) || :to
     where subject = :from and at >= :since and before is null and after is null
       and substr(what, -length(:from) - 1) = ' ' || :from`,
  ).run({ from, to, since })
}
