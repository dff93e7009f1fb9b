/** Letters that went to the owners of a house, as their page lists them. */
import type { Database } from './open.ts'
import { statement } from './unitsOfWork.ts'

export interface OwnerLetter {
  id: number
  at: number
  subject: string
  to: string
}

/** Newest first, of what was sent and carried no secret. @param personId null: to any owner of the house */
export async function listOwnerLetters(
  db: Database,
  { houseId, personId, most }: { houseId: number; personId: number | null; most: number },
): Promise<OwnerLetter[]> {
  return statement(
    db,
    `select l.id, l.sent_at as at, l.subject, p.name as "to" from letters l join people p on p.id = l.person_id
     where l.house_id = cast(:houseId as integer) and l.state = 'sent' and not l.secret and p.role = 'owner'
     and (:personId is null or p.id = :personId) order by l.sent_at desc, l.id desc limit cast(:most as integer)`,
  ).all({ houseId, personId, most }) as OwnerLetter[]
}
